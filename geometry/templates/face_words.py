"""What is written on a face, and the flap that folds over the top end: here mistakes of face and end are prevented."""

from __future__ import annotations

import shapely

from geometry.drawing.items import WHITE, Fill, Item, Path, Stroke, Text
from geometry.drawing.placing import Box, box_of
from geometry.drawing.shapes import circle, polyline, rectangle
from geometry.drawing.words import fitted, width_of
from geometry.piece import Piece
from geometry.project import CutName, DisplayUnits, Horn
from geometry.templates import layers, words
from geometry.templates.face import Face
from geometry.templates.labels import SMALLEST_TYPE_MM, Room, number_in, rule

CORNERS: dict[CutName, tuple[int, int, int, int]] = {"front": (1, 2, 3, 4), "side": (2, 3, 4, 1)}
"""Quarters at the top end, seen from above with the face towards you: near left, near right, far right, far left."""

TRIANGLE_MM = (5.5, 15.0)
"""Half the width and the height of the mark across the shared corner."""


def face_words(
    face: Face, room: Room, blade: str, units: DisplayUnits, caption: str, horn: Horn, *, apart: bool
) -> list[Item]:
    """Return all that is written on a face, the most needed first; what finds no room stands in the title as well.

    Parameters
    ----------
    face, room : the face and the room left on it
    blade : which blade its line is for
    units : the maker's unit
    caption : name, variant and date
    horn : its horns
    apart : True where the two faces are not on one sheet
    """
    h, half = face.height, face.half_at(0.5 * face.height)
    out = _quarter_numbers(face, room)
    out += room.up_arrow(words.UP, (half, 0.86 * h), layers.MARKS)
    out += room.words(words.FACE[face.cut], 8.0, (-half, 0.6 * h), layers.WORDS, bold=True)
    out += room.up_arrow(words.UP, (half, 0.1 * h), layers.MARKS)
    out += _tight_mark(face, room, units)
    out += room.words(words.LINE[face.cut], 3.6, (half, 0.45 * h), layers.WORDS, bold=True)
    out += room.words(blade, 3.6, (half, 0.62 * h), layers.WORDS)
    out += room.words(words.FACE[face.cut], 5.0, (-half, 0.12 * h), layers.WORDS, bold=True)
    out += room.grain_arrow(words.GRAIN, (-half, 0.35 * h), layers.MARKS)
    left, right = words.LEFT_EDGE[face.cut], words.RIGHT_EDGE[face.cut]
    if apart:
        left, right = (left, words.APART_EDGE) if face.cut == "front" else (words.APART_EDGE, right)
    out += room.words(left, 2.6, (-half, 0.8 * h), layers.WORDS, ink=layers.SOFT_INK)
    out += room.words(right, 2.6, (half, 0.3 * h), layers.WORDS, ink=layers.SOFT_INK)
    out += room.words(caption, 2.6, (-half, 0.5 * h), layers.WORDS, ink=layers.SOFT_INK)
    for size, t in ((horn.foot, 0.0), (horn.top, h)):
        if size > 0.0:
            out += on_white(room.words(words.HORN, 2.6, (-half, t), layers.WORDS))
    return out


def _quarter_numbers(face: Face, room: Room) -> list[Item]:
    """Return the numbers of the two quarters beside the line at the top of a face."""
    near_left, near_right, *_ = CORNERS[face.cut]
    u = float(face.line.end[0])
    half = face.half_at_top
    out: list[Item] = []
    for number, lo, hi in ((near_left, -half, u), (near_right, u, half)):
        size = min(9.0, 0.8 * (hi - lo - 4.0))
        near = ((lo + hi) / 2.0, face.height - 7.0)
        out += room.words(str(number), size, near, layers.WORDS, upright=True, bold=True)
    return out


def _tight_mark(face: Face, room: Room, units: DisplayUnits) -> list[Item]:
    """Return a ring about the tightest place of the line, and how tight it is."""
    bend = face.sawn.bend
    if bend is None:
        return []
    u, t = bend.at[0], bend.at[1] * face.stretch
    room.take(shapely.Point(u, t).buffer(2.9))
    ring = Stroke(circle((u, t), 2.5), layers.MARKS, layers.THIN)
    return [ring, *room.words(words.tight_words(bend.radius_mm, units), 3.2, (u, t), layers.WORDS)]


def on_white(items: list[Item]) -> list[Item]:
    """Return words with white behind them, where they stand on hatching."""
    out: list[Item] = []
    for item in items:
        box = box_of(item)
        out += [Fill(rectangle(box.left, box.bottom, box.width, box.height), layers.WASTE, WHITE), item]
    return out


def foot_words(face: Face) -> list[Item]:
    """Return the words below the foot of a face, outside its outline."""
    width = 2.0 * face.half - 1.0
    size = 3.2
    while size > SMALLEST_TYPE_MM and width_of(words.FOOT[face.cut], size) > width:
        size -= 0.1
    text = fitted(words.FOOT[face.cut], size, width)
    return [Text((0.0, -1.4 * size - 0.6), text, size, layers.WORDS, "middle")] if len(text) > 3 else []


def corner_mark(left: Face, left_room: Room, right: Face, right_room: Room) -> tuple[list[Item], list[Item]]:
    """Return the two halves of the triangle drawn across the shared corner, apex up, for either face.

    It stands where neither line comes near; on both faces it is kept clear of what follows.
    """
    wide, high = TRIANGLE_MM
    for share in (0.72, 0.8, 0.66, 0.5, 0.4, 0.3, 0.2):
        t = share * min(left.height, right.height)
        a, b = left.half_at(t), right.half_at(t)
        on_left, on_right = Box(a - wide, t, a, t + high), Box(-b, t, -b + wide, t + high)
        if left_room.is_free(on_left) and right_room.is_free(on_right):
            break
    else:
        return [], []
    out: list[list[Item]] = []
    for face, room, edge, sign, box in ((left, left_room, a, -1.0, on_left), (right, right_room, -b, 1.0, on_right)):
        room.take(shapely.box(*(box.left - 0.5, box.bottom - 0.5, box.right + 0.5, box.top + 0.5)))
        lean = (face.half_at(t + high) - face.half_at(t)) * -sign
        apex = (edge + lean, t + high)
        path = Path((edge, t), (((edge + sign * wide, t),), (apex,)))
        out.append([Stroke(path, layers.MARKS, layers.MARKED)])
    return out[0], out[1]


def flap(face: Face, piece: Piece) -> list[Item]:
    """Return the flap above a face that folds over the top end, with the quarters as pencilled there.

    Seen from above, the face towards you.
    """
    other = piece.side if face.cut == "front" else piece.front
    blank = piece.variant.blank
    deep = blank.depth_at_top if face.cut == "front" else blank.width_at_top
    half, h = face.half_at_top, face.height
    u = float(face.line.end[0])
    # how far from the face the other line meets the top: for the front it is y counted from the front face, for the
    # right face x counted from the right
    v = deep / 2.0 + (1.0 if face.cut == "front" else -1.0) * float(other.line.end[0])
    edge = polyline([(-half, h), (-half, h + deep), (half, h + deep), (half, h)])
    out: list[Item] = [Stroke(edge, layers.FOLD, layers.EDGE)]
    if not (-half < u < half and 0.0 < v < deep):
        return out
    out.append(rule((u, h), (u, h + deep), layers.FOLD, layers.THIN))
    out.append(rule((-half, h + v), (half, h + v), layers.FOLD, layers.THIN))
    size = max(SMALLEST_TYPE_MM, min(3.0, 0.08 * deep))
    band = 1.6 * size
    low, high = (h + band, h + v), (h + v, h + deep - band)
    cells = ((-half, u, low), (u, half, low), (u, half, high), (-half, u, high))
    for number, (lo, hi, (bottom, top)) in zip(CORNERS[face.cut], cells, strict=True):
        out += number_in(number, Box(lo, bottom, hi, top), layers.WORDS)
    # beside the line, in the wider half
    lo, hi = (-half, u) if u > 0.0 else (u, half)
    for text, y, bold in ((words.TOP_END, h + deep - 1.15 * size, True), (words.FOLD_OVER, h + 0.5 * size, False)):
        if width_of(text, size, bold) < hi - lo - 2.0:
            out.append(Text(((lo + hi) / 2.0, y), text, size, layers.WORDS, "middle", bold=bold))
    return out
