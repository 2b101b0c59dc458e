"""What is drawn of one direction flats together: the profile as it will be taped, its trims and their offcuts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import shapely
from msgspec.structs import replace
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath, QPolygonF
from shapely.geometry.base import BaseGeometry

from app.faces.drawn import DrawnLine, drawn_trim, sawn_face
from geometry.project import Blank, Cut, CutName, Variant
from geometry.slots import areas_of, profile, soundly
from geometry.tolerances import LIVE_CHORD_MM
from geometry.trim_editing import edge_at
from geometry.trims import SawnTrim, saw_trims

HALVES: Final[dict[CutName, dict[int, tuple[int, int]]]] = {
    "front": {1: (1, 4), -1: (2, 3)},
    "side": {1: (2, 1), -1: (3, 4)},
}
"""Which quarters stand on either side of the seam: the one that is seen, and the one below it.

The left half of the blank stands at u > 0. Front: 1 and 4 are its left half, and the front faces of 1 and 2 are seen.
Side: 1 and 2 are the half towards the front, which is left on the right face, whose wood 2 and 3 carry.
"""


@dataclass(frozen=True, slots=True, eq=False)
class DrawnTrim:
    """A trim with its offcut; paths are in millimetres (u, z).

    Attributes
    ----------
    sawn : the trim, sawn or refused
    line : what is drawn along it
    offcut, kerf : the wood that comes off, and what the blade turns to dust
    number_at : where the offcut's number goes, or None where nothing comes off
    """

    sawn: SawnTrim
    line: DrawnLine
    offcut: QPainterPath
    kerf: QPainterPath
    number_at: tuple[float, float] | None


@dataclass(frozen=True, slots=True, eq=False)
class DrawnFlats:
    """One direction flats together.

    Attributes
    ----------
    profile : the wood before trimming
    outline : the same as a path
    trims : in the order in which they are drawn
    """

    profile: BaseGeometry
    outline: QPainterPath
    trims: tuple[DrawnTrim, ...]

    def edge(self, z: float, side: int) -> float:
        """Return how far the wood reaches from the seam at a height."""
        return edge_at(self.profile, z, side)


def drawn_flats(variant: Variant, cut: CutName) -> DrawnFlats:
    """Return what is drawn of one direction."""
    return _drawn(variant.cut(cut), cut, variant.blank, variant.sanding)


def flats_profile(variant: Variant, cut: CutName) -> BaseGeometry:
    """Return the profile of one direction before trimming, to be looked at."""
    return _profile(replace(variant.cut(cut), trims=()), cut, variant.blank, variant.sanding)


@lru_cache(maxsize=8)
def _profile(cut: Cut, name: CutName, blank: Blank, sanding: float) -> BaseGeometry:
    return profile(sawn_face(cut, name, blank, sanding))


@lru_cache(maxsize=8)
def _drawn(cut: Cut, name: CutName, blank: Blank, sanding: float) -> DrawnFlats:
    wood = _profile(replace(cut, trims=()), name, blank, sanding)
    # nothing comes off a tapered blank: its halves do not lie flat to flat
    from_wood = shapely.Polygon() if blank.is_tapered else wood
    trims = tuple(_trim(t) for t in saw_trims(cut.trims, from_wood, LIVE_CHORD_MM))
    return DrawnFlats(wood, path_of(wood), trims)


def _trim(sawn: SawnTrim) -> DrawnTrim:
    kerf = areas_of(soundly(shapely.difference, sawn.taken, sawn.offcut))
    at = None
    if not sawn.offcut.is_empty:
        largest = max(shapely.get_parts(sawn.offcut), key=lambda p: float(p.area))
        spot = shapely.get_coordinates(shapely.maximum_inscribed_circle(largest, tolerance=0.5))[0]
        at = (float(spot[0]), float(spot[1]))
    return DrawnTrim(sawn, drawn_trim(sawn.trim), path_of(sawn.offcut), path_of(kerf), at)


def path_of(region: BaseGeometry) -> QPainterPath:
    """Return polygons, and what is cut out of them, as a path."""
    path = QPainterPath()
    for polygon in shapely.get_parts(region):
        for ring in (polygon.exterior, *polygon.interiors):
            points = np.asarray(ring.coords)
            if len(points):
                path.addPolygon(QPolygonF([QPointF(u, z) for u, z in points.tolist()]))
    return path


@dataclass(frozen=True, slots=True)
class FlatsRoom:
    """How much of the sheet either direction needs: half its width, and beyond foot and top, in millimetres."""

    halves: tuple[float, float]
    beyond: float


def room_for(variant: Variant) -> FlatsRoom:
    """Return the room for both directions and for trims that start and end beside the wood."""
    halves, beyond = [], max(0.04 * variant.blank.length, 10.0)
    for cut in ("front", "side"):
        name: CutName = "front" if cut == "front" else "side"
        low, _, high, _ = flats_profile(variant, name).bounds or (0.0, 0.0, 0.0, 0.0)
        places = [n.at for t in variant.cut(name).trims for n in t.nodes]
        least = (variant.blank.width if name == "front" else variant.blank.depth) / 2.0
        wood = max(least, abs(low), abs(high))
        # beside the wood there is room for a trim to begin
        halves.append(_rounded_up(max(1.25 * wood, *(1.08 * abs(u) for u, _ in places), 0.0), 5.0))
        beyond = max([beyond, *(4.0 + max(-z, z - variant.blank.length) for _, z in places)])
    return FlatsRoom((halves[0], halves[1]), _rounded_up(beyond, 5.0))


def _rounded_up(value: float, step: float) -> float:
    return float(np.ceil(value / step - 1e-9) * step)
