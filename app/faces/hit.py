"""What lies under the mouse: a node, the line, a face whose line can still grow, or nothing."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, QRectF

from app.faces.arrangement import Arrangement
from app.faces.drawn import DrawnLine
from app.faces.flats import DrawnFlats
from app.faces.selection import Selection, cut_of
from geometry.editing import CLOSEST_NODES_MM, Place
from geometry.nearest import nearest_place
from geometry.project import CUT_NAMES, CutName, Variant
from geometry.tolerances import PLACE_MM

NODE_REACH_PX: Final = 9.0
LINE_REACH_PX: Final = 6.0


@dataclass(frozen=True, slots=True)
class Hit:
    """What a point of the sheet means.

    Attributes
    ----------
    cut : the face it is on
    place : where on that face, (u, z)
    trim : number of the trim under it, or None; its offcut counts too
    node : number of the node under it, or None
    on_line : the place of the line that is under it, or None
    grows : a click here would put a node off the line: the face is still without nodes, or the line ends short of here
    """

    cut: CutName
    place: Place
    node: int | None = None
    on_line: Place | None = None
    grows: bool = False
    trim: int | None = None


def hit_at(
    point: QPointF, variant: Variant, drawn: Mapping[CutName, DrawnLine], arrangement: Arrangement, prefer: CutName
) -> Hit:
    """Return what lies under a point; of two nodes on top of each other that of the preferred face."""
    best: tuple[float, CutName, int] | None = None
    for cut in CUT_NAMES:
        face = arrangement.face(cut)
        for i, node in enumerate(variant.cut(cut).nodes):
            d = face.to_px(*node.at) - point
            far = math.hypot(d.x(), d.y())
            if far <= NODE_REACH_PX and (best is None or far - (cut == prefer) < best[0]):
                best = (far - (cut == prefer), cut, i)
    if best is not None:
        _, cut, i = best
        return Hit(cut, arrangement.face(cut).to_mm(point), i)
    here = arrangement.face_at(point)
    for cut in (here, *(c for c in CUT_NAMES if c != here)):
        face = arrangement.face(cut)
        near = nearest_place(drawn[cut].line, face.to_mm(point), face.across / face.up)
        if near.distance_mm * face.up <= LINE_REACH_PX:
            return Hit(cut, face.to_mm(point), None, near.at)
    place = arrangement.face(here).to_mm(point)
    inside = arrangement.box(here).adjusted(-4.0, -4.0, 4.0, 4.0).contains(point)
    return Hit(here, place, grows=inside and can_grow_to(variant, here, drawn[here], place))


def hit_on_flats(
    point: QPointF, variant: Variant, flats: Mapping[CutName, DrawnFlats], arrangement: Arrangement, prefer: Selection
) -> Hit:
    """Return what lies under a point flats together: a node of a trim, a trim, an offcut, or nothing."""
    best: tuple[float, Hit] | None = None
    for cut in CUT_NAMES:
        face = arrangement.face(cut)
        for t, trim in enumerate(variant.cut(cut).trims):
            for i, node in enumerate(trim.nodes):
                d = face.to_px(*node.at) - point
                far = math.hypot(d.x(), d.y())
                rank = far - prefer.is_on(cut, t)
                if far <= NODE_REACH_PX and (best is None or rank < best[0]):
                    best = (rank, Hit(cut, face.to_mm(point), i, trim=t))
    if best is not None:
        return best[1]
    here = arrangement.face_at(point)
    face = arrangement.face(here)
    place = face.to_mm(point)
    for t, drawn in enumerate(flats[here].trims):
        near = nearest_place(drawn.line.line, place, face.across / face.up)
        if near.distance_mm * face.up <= LINE_REACH_PX:
            return Hit(here, place, None, near.at, trim=t)
    for t, drawn in enumerate(flats[here].trims):
        if drawn.offcut.contains(QPointF(*place)):
            return Hit(here, place, trim=t)
    return Hit(here, place)


def can_grow_to(variant: Variant, cut: CutName, drawn: DrawnLine, place: Place) -> bool:
    """Return True where a click off the line adds a node: on a straight face, and beyond an end that stops short."""
    if not variant.cut(cut).nodes:
        return True
    line, length = drawn.line, variant.blank.length
    ends = (
        (line.start, -line.start_direction, line.start[1] > PLACE_MM),
        (line.end, line.end_direction, line.end[1] < length - PLACE_MM),
    )
    return any(
        short and (place[0] - end[0]) * out[0] + (place[1] - end[1]) * out[1] > CLOSEST_NODES_MM
        for end, out, short in ends
    )


def nodes_within(band: QRectF, variant: Variant, on: Selection, arrangement: Arrangement) -> set[int]:
    """Return the numbers of a line's or a trim's nodes within a rectangle of the sheet."""
    face = arrangement.face(on.cut)
    return {i for i, n in enumerate(cut_of(variant, on).nodes) if band.contains(face.to_px(*n.at))}
