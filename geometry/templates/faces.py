"""The faces as drawings to print: both side by side, to fold round the corner they share, or each by itself."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import shapely

from geometry.curvature import extent
from geometry.drawing.items import Item, Stroke
from geometry.drawing.placing import Box, Move, bounds_of, placed
from geometry.drawing.shapes import segment
from geometry.findings import findings_of
from geometry.layup_words import wood_in_words
from geometry.piece import Piece
from geometry.project import CUT_NAMES, CutName, DisplayUnits
from geometry.sampling import sample
from geometry.templates import layers, words
from geometry.templates.face import Face, face_lines, face_of, room_on
from geometry.templates.face_words import corner_mark, face_words, flap, foot_words
from geometry.templates.labels import Room
from geometry.templates.titles import Paragraph, block, numbered
from geometry.tolerances import EXPORT_CHORD_MM

GAP_MM = 4.0
_NARROWEST_BLOCK_MM = 90.0
UPRIGHT_SHEET_MM = 176.0
"""What an upright A4 sheet has to give across, between its margins and the bars."""


@dataclass(frozen=True, slots=True)
class Titled:
    """A drawing and what it is called."""

    title: str
    items: tuple[Item, ...]

    @property
    def frame(self) -> Box:
        """The box to be put on paper."""
        return frame_of(self.items)


def frame_of(items: Iterable[Item]) -> Box:
    """Return the box round all that is drawn but the lines to saw, which belong on the wood that is."""
    return bounds_of(item for item in items if item.layer not in layers.SAWN_ALONG)


@dataclass(frozen=True, slots=True)
class Told:
    """What every drawing of a template is told beside the piece.

    Attributes
    ----------
    project : the project's name
    units : the maker's unit
    date : as it is to be printed
    """

    project: str
    units: DisplayUnits
    date: str


def faces_together(piece: Piece, told: Told) -> Titled:
    """Return front and right face side by side, the corner they share upright between them and foot to foot."""
    front, side = face_of(piece, "front"), face_of(piece, "side")
    rooms = {face.cut: room_on(face) for face in (front, side)}
    _keep_clear_of_strays(rooms["side"], front, front.half + side.half)
    _keep_clear_of_strays(rooms["front"], side, -front.half - side.half)
    marks = dict(zip(CUT_NAMES, corner_mark(front, rooms["front"], side, rooms["side"]), strict=True))
    out: list[Item] = []
    for face in (front, side):
        items = [*_face_items(piece, face, rooms[face.cut], told, apart=False), *marks[face.cut]]
        if face.cut == "front":
            items += flap(face, piece)
        out += placed(items, seat(face))
    out.append(Stroke(segment((0.0, 0.0), (0.0, front.edge_length)), layers.FOLD, layers.FOLDED))
    steps = (*words.TOGETHER_STEPS, *_order(piece, told.units))
    return Titled(words.FACES_TITLE, (*out, *_title(piece, told, out, steps, beside_flap=front)))


def _keep_clear_of_strays(room: Room, other: Face, across: float) -> None:
    """Keep the words of a face clear of the other face's line where that runs off its own face onto this one.

    Such a design cannot be sawn, but it can be printed. ``across`` is how far the other face lies to the left.
    """
    reach = extent(other.line)
    if reach.greatest_u[0] > other.half or reach.least_u[0] < -other.half:
        points = sample(other.line, EXPORT_CHORD_MM).points - (across, 0.0)
        room.take(shapely.LineString(points).buffer(1.0))


def seat(face: Face) -> Move:
    """Return how a face lies on the sheet: the foot of the shared corner at the origin, its edge straight up.

    A straight blank's faces only move across; a tapered blank's turn a little as well, the front clockwise, so that
    the slanting edges they share fall together (both are the corner's own length).
    """
    sign = -1.0 if face.cut == "front" else 1.0
    foot = Move(dx=sign * face.half)
    if face.half == face.half_at_top:
        return foot
    lean = math.degrees(math.atan2(face.half - face.half_at_top, face.height))
    return foot.then(Move.turned(sign * lean))


def face_apart(piece: Piece, cut: CutName, told: Told) -> Titled:
    """Return one face by itself, with a flap of its own."""
    face = face_of(piece, cut)
    items = [*_face_items(piece, face, room_on(face), told, apart=True), *flap(face, piece)]
    steps = (*words.APART_STEPS, *_order(piece, told.units))
    return Titled(words.FACE_TITLE[cut], (*items, *_title(piece, told, items, steps, beside_flap=None)))


def _face_items(piece: Piece, face: Face, room: Room, told: Told, *, apart: bool) -> list[Item]:
    variant = piece.variant
    caption = words.heading(told.project, variant.name, words.FACE_TITLE[face.cut], told.date)
    blade = _blade(piece, face.cut, told.units)
    return [
        *face_lines(face, variant.horn, apart=apart),
        *face_words(face, room, blade, told.units, caption, variant.horn, apart=apart),
        *foot_words(face),
    ]


def _blade(piece: Piece, cut: CutName, units: DisplayUnits) -> str:
    bend = piece.cut(cut).bend
    return words.blade_words(piece.variant.cut(cut).blade, bend.radius_mm if bend else None, units)


def _order(piece: Piece, units: DisplayUnits) -> tuple[str, ...]:
    """Return the steps of sawing with what each line needs."""
    details: dict[CutName, str] = {}
    for cut in CUT_NAMES:
        bend = piece.cut(cut).bend
        kerf = words.kerf_words(piece.variant.cut(cut).kerf, units)
        said = [_blade(piece, cut, units), kerf]
        if bend is not None:
            said.append(words.tight_place(bend.radius_mm, bend.at[1], units))
        details[cut] = ", ".join(said)
    blank = piece.variant.blank
    through: dict[CutName, str] = {
        "front": words.size_of(max(blank.depth, blank.depth_at_top), units),
        "side": words.size_of(max(blank.width, blank.width_at_top), units),
    }
    has_trims = bool(piece.front.trims or piece.side.trims)
    return words.order_steps(details["front"], details["side"], through, has_trims)


def blank_sizes(piece: Piece, units: DisplayUnits) -> str:
    """Return the blank's sizes, those at the top as well where it tapers."""
    blank = piece.variant.blank
    foot = f"{words.size_of(blank.width, units)} × {words.size_of(blank.depth, units)}"
    length = words.size_of(blank.length, units)
    if not blank.is_tapered:
        return f"{foot} × {length}"
    top = f"{words.size_of(blank.width_at_top, units)} × {words.size_of(blank.depth_at_top, units)}"
    return words.tapered_sizes(foot, top, length)


def _title(
    piece: Piece, told: Told, items: list[Item], steps: tuple[str, ...], *, beside_flap: Face | None
) -> list[Item]:
    """Return the block of words: beside the flap, above the right face, where that has room; else below the foot."""
    variant = piece.variant
    stops = [f for f in findings_of(piece, told.units) if f.severity == "stop"]
    paragraphs = [
        Paragraph(told.project, 4.2, bold=True),
        Paragraph(words.made_for(variant.name, told.date), 3.2),
        Paragraph(words.blank_words(blank_sizes(piece, told.units), wood_in_words(variant.layup, told.units))),
        *(Paragraph(f"{words.CANNOT} {f.message}", 2.8, bold=True) for f in stops[:2]),
        *numbered(steps),
    ]
    box = frame_of(items)
    if beside_flap is not None:
        top_of_face = bounds_of(placed([Stroke(segment(*_top_edge(piece)), layers.SHEET)], Move())).top
        # as wide as the right face, or wider as long as an upright A4 sheet still takes it all
        widest = max(box.right - GAP_MM, UPRIGHT_SHEET_MM + box.left - GAP_MM)
        wanted = min(max(box.right - GAP_MM, 75.0), 130.0)
        for width in (w for w in (wanted, 90.0, 105.0, 120.0, 60.0, 50.0, 40.0) if w <= widest):
            words_there, height = block(paragraphs, GAP_MM, box.top, width)
            if height < box.top - top_of_face - GAP_MM:
                return words_there
    width = max(box.width, _NARROWEST_BLOCK_MM)
    return block(paragraphs, box.left, box.bottom - GAP_MM, width)[0]


def _top_edge(piece: Piece) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the top edge of the right face on the sheet."""
    side = face_of(piece, "side")
    move = seat(side)
    return move.point(side.corners[2]), move.point(side.corners[3])
