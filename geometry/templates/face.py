"""One face at its true size: outline, lines, and all that says which face it is and which way up."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.drawing.items import Item, Point, Stroke
from geometry.drawing.shapes import hatching, line_path, paths_of, polyline, strokes
from geometry.lines import Line
from geometry.piece import Piece, SawnLine
from geometry.project import CutName, Horn
from geometry.sampling import sample
from geometry.solids import FloatArray
from geometry.tapering import slopes, true_size
from geometry.templates import layers
from geometry.templates.labels import Room, rule
from geometry.tolerances import EXPORT_CHORD_MM

_CLEAR_MM = 1.0
"""Words keep this far from a line to be sawn and from the edges of a face."""


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """A face in its own plane: u across from its centre line, t up from its foot, both true.

    Attributes
    ----------
    cut : which face
    sawn : its cut
    line : the line at true size
    half, half_at_top, height : sizes of the face at true size
    stretch : t = stretch · z
    gone : width of the slot the saw leaves, without the sanding
    """

    cut: CutName
    sawn: SawnLine
    line: Line
    half: float
    half_at_top: float
    height: float
    stretch: float
    gone: float

    @property
    def corners(self) -> list[Point]:
        """Its four corners: foot left, foot right, top right, top left."""
        return [(-self.half, 0.0), (self.half, 0.0), (self.half_at_top, self.height), (-self.half_at_top, self.height)]

    @property
    def polygon(self) -> BaseGeometry:
        """Its plane region."""
        return shapely.Polygon(self.corners)

    @property
    def edge_length(self) -> float:
        """Length of its upright edges, true."""
        return math.hypot(self.height, self.half - self.half_at_top)

    def half_at(self, t: float) -> float:
        """Return half its width at a height of the face."""
        return self.half + (self.half_at_top - self.half) * t / self.height

    def slot(self, width: float, ends: float) -> BaseGeometry:
        """Return the slot of a width about the line, extended straight on past both ends, with round joins."""
        points = sample(self.line, EXPORT_CHORD_MM, width / 2.0).points
        return shapely.buffer(_extended(self.line, points, ends), width / 2.0, quad_segs=16, cap_style="flat")


def _extended(line: Line, points: FloatArray, by: float) -> BaseGeometry:
    start, end = points[0] - by * line.start_direction, points[-1] + by * line.end_direction
    return shapely.LineString(np.vstack([start, points, end]))


def face_of(piece: Piece, cut: CutName) -> Face:
    """Return a face of a piece's blank at true size (a tapered one stretched along z)."""
    blank, sawn = piece.variant.blank, piece.cut(cut)
    s = slopes(blank)
    stretch = math.sqrt(1.0 + (s.m if cut == "front" else s.k) ** 2)
    line = true_size(sawn.line, blank, cut) if blank.is_tapered else sawn.line
    return Face(
        cut, sawn, line, sawn.face.half, sawn.face.half_at_top, blank.length * stretch, stretch,
        piece.variant.cut(cut).kerf,
    )  # fmt: skip


# ---------------------------------------------------------------- what is drawn


def face_lines(face: Face, horn: Horn, *, apart: bool) -> list[Item]:
    """Return the outline of a face, its centre line, its line, the kerf's edges and its horns.

    What is folded is dashed: the top edge where a flap hangs on it. The corner shared with the other face is left
    out where they lie side by side.
    """
    out: list[Item] = []
    for t0, t1 in ((0.0, horn.foot * face.stretch), (face.height - horn.top * face.stretch, face.height)):
        t0, t1 = max(t0, 0.0), min(t1, face.height)
        if t1 > t0:
            a, b = face.half_at(t0), face.half_at(t1)
            waste = shapely.Polygon([(-a, t0), (a, t0), (b, t1), (-b, t1)])
            out += strokes(hatching(waste, layers.HATCH_SPACING_MM), layers.WASTE, layers.HATCH)
            inner = t1 if t0 == 0.0 else t0
            out.append(rule((-face.half_at(inner), inner), (face.half_at(inner), inner), layers.WASTE, layers.THIN))
    out.append(rule((0.0, 0.0), (0.0, face.height), layers.CENTRE, layers.CENTRED))
    if face.gone > 0.0:
        slot = face.slot(face.gone, 2.0 * face.gone + 1.0)
        edges = shapely.intersection(shapely.boundary(slot), face.polygon)
        out += strokes(
            paths_of(shapely.line_merge(edges) if edges.geom_type == "MultiLineString" else edges),
            layers.KERF,
            layers.LIGHT,
        )
    out.append(Stroke(line_path(face.line), layers.LINE[face.cut], layers.SAWN))
    foot_left, foot_right, top_right, top_left = face.corners
    if apart:
        around = [top_left, foot_left, foot_right, top_right]
    elif face.cut == "front":
        around = [top_left, foot_left, foot_right]
    else:
        around = [foot_left, foot_right, top_right, top_left]
    out.append(Stroke(polyline(around), layers.OUTLINE, layers.EDGE))
    if apart or face.cut == "front":
        out.append(rule(top_left, top_right, layers.FOLD, layers.FOLDED))
    return out


def room_on(face: Face) -> Room:
    """Return the room for words on a face: within its edges, clear of slot and centre line."""
    inside = shapely.buffer(face.polygon, -_CLEAR_MM, join_style="mitre")
    centre = shapely.box(-0.3, 0.0, 0.3, face.height)
    return Room(inside, [shapely.buffer(face.slot(face.gone + 0.3, 0.0), _CLEAR_MM), centre])
