"""Trims as drawings to print: the stock flats together as it lies on the saw, with the trims of one direction."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from geometry.curvature import tightest_bend
from geometry.drawing.items import Item, Stroke, Text
from geometry.drawing.placing import Box, box_round, text_corners
from geometry.drawing.shapes import hatching, line_path, paths_of, strokes
from geometry.drawing.words import fitted
from geometry.piece import Piece
from geometry.project import CutName
from geometry.sampling import sample
from geometry.templates import layers, words
from geometry.templates.face_words import on_white
from geometry.templates.faces import GAP_MM, UPRIGHT_SHEET_MM, Titled, Told, frame_of
from geometry.templates.labels import Room, rule
from geometry.templates.titles import Paragraph, block, numbered
from geometry.tolerances import EXPORT_CHORD_MM

_NARROWEST_BESIDE_MM = 55.0
_FURTHEST_MM = 40.0
_BESIDE_MM = 6.0
"""How far the ends of the stock are drawn past it: there trims begin and end."""


def trims_drawing(piece: Piece, cut: CutName, told: Told) -> Titled:
    """Return the trims of one direction in the flats-together view, seen square to the face that lies on top.

    The seam, where the halves lie flat to flat, is u = 0; what stands on either side is said beside it.
    """
    sawn, variant = piece.cut(cut), piece.variant
    length = variant.blank.length
    low, _, high, _ = sawn.untrimmed.bounds
    items: list[Item] = []
    for trim in sawn.trims:
        items += strokes(hatching(trim.offcut, layers.HATCH_SPACING_MM), layers.WASTE, layers.HATCH)
    items += strokes(paths_of(sawn.untrimmed), layers.OUTLINE, layers.THIN)
    items.append(rule((0.0, 0.0), (0.0, length), layers.CENTRE, layers.CENTRED))
    for z in (0.0, length):
        items.append(rule((low - _BESIDE_MM, z), (high + _BESIDE_MM, z), layers.OUTLINE, layers.THIN))
    items += [Stroke(line_path(trim.line), layers.TRIM[cut], layers.SAWN) for trim in sawn.trims]
    items += _words_on(piece, cut, told)
    sawn_along = shapely.union_all([shapely.LineString(trim.path) for trim in sawn.trims])
    items += _foot_words(words.TRIM_FOOT[cut], max(high - low, 80.0), sawn_along)
    box = _with_lines(frame_of(items), sawn_along)
    paragraphs = [
        Paragraph(told.project, 4.2, bold=True),
        Paragraph(words.made_for(variant.name, told.date), 3.2),
        *numbered((*words.TRIM_STEPS[cut], words.TRIM_LAST)),
    ]
    beside = UPRIGHT_SHEET_MM - box.width - GAP_MM
    if beside > _NARROWEST_BESIDE_MM:
        said, _ = block(paragraphs, box.right + GAP_MM, box.top - 10.0, min(beside, 90.0))
    else:
        said, _ = block(paragraphs, box.left, box.bottom - GAP_MM, max(box.width, 100.0))
    return Titled(words.TRIMS_TITLE[cut], (*items, *said))


def _foot_words(text: str, width: float, sawn_along: BaseGeometry) -> list[Item]:
    """Return the words below the foot, as near as the trims that run out there let them stand."""
    for y in range(5, int(_FURTHEST_MM), 3):
        item = Text((0.0, -float(y)), fitted(text, 3.2, width), 3.2, layers.WORDS, "middle")
        if not shapely.Polygon(text_corners(item)).buffer(1.0).intersects(sawn_along):
            return [item]
    return []


def _with_lines(box: Box, sawn_along: BaseGeometry) -> Box:
    """Return a box that also holds the trims, as far as they do not run off too far."""
    if sawn_along.is_empty:
        return box
    near = box.grown(_FURTHEST_MM)
    inside = shapely.intersection(sawn_along, shapely.box(near.left, near.bottom, near.right, near.top))
    return box if inside.is_empty else box_round([box, Box(*inside.bounds)])


def _words_on(piece: Piece, cut: CutName, told: Told) -> list[Item]:
    """Return the words and marks on the profile and in its offcuts."""
    sawn, h = piece.cut(cut), piece.variant.blank.length
    low, _, high, _ = sawn.untrimmed.bounds
    paths = [shapely.LineString(sample(t.line, EXPORT_CHORD_MM).points).buffer(1.0) for t in sawn.trims]
    seam = shapely.box(-0.4, 0.0, 0.4, h)
    kept = sawn.profile
    room = Room(shapely.buffer(kept, -1.0), [*paths, seam])
    left, right = words.TRIM_HALVES[cut]
    out = room.words(words.TRIMS_HEAD[cut], 7.0, (low, 0.6 * h), layers.WORDS, bold=True)
    out += room.up_arrow(words.UP, (high, 0.88 * h), layers.MARKS)
    out += room.up_arrow(words.UP, (high, 0.1 * h), layers.MARKS)
    out += room.words(left, 3.2, (low / 2.0, 0.75 * h), layers.WORDS)
    out += room.words(right, 3.2, (high / 2.0, 0.75 * h), layers.WORDS)
    out += room.words(words.TRIM_SEAM, 2.8, (1.0, 0.4 * h), layers.WORDS)
    for trim in sawn.trims:
        if trim.fault is not None:
            near = (float(trim.path[len(trim.path) // 2][0]), float(trim.path[len(trim.path) // 2][1]))
            out += room.words(words.refused_trim(trim.number), 3.2, near, layers.WORDS, bold=True)
        if trim.offcut.is_empty:
            continue
        middle = trim.offcut.representative_point()
        near = (middle.x, middle.y)
        waste = Room(trim.offcut, [])
        label = waste.words(words.offcut_name(trim.number), 3.2, near, layers.WORDS) or waste.words(
            str(trim.number), 6.0, near, layers.WORDS, upright=True, bold=True
        )
        out += on_white(label)
        bend = tightest_bend(trim.line)
        blade = words.blade_words(trim.trim.blade, bend.radius_mm if bend else None, told.units)
        out += room.words(f"{words.trim_name(trim.turn, trim.number)}, {blade}", 2.8, near, layers.WORDS)
        if bend is not None:
            out += room.words(words.tight_words(bend.radius_mm, told.units), 2.8, bend.at, layers.WORDS)
    return out
