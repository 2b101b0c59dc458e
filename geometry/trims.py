"""Trims: cuts made flats together, after both lines are sawn, that taper part of the length.

Plane work in the flats-together view of a face: the profile P in (u, z), which the stock shows when its two halves
lie flat to flat, full depth. The left half of the blank stands at u > 0 there, the right half at u < 0.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, cast

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.lines import Line, line_through
from geometry.project import Trim
from geometry.sampling import sample
from geometry.slots import SawnFace, areas_of, soundly
from geometry.solids import FloatArray
from geometry.tolerances import PLACE_MM, SPECK_MM2

LEAST_HOLD_MM = 10.0
"""Over less than this the wood beside an offcut does not hold the halves apart (common practice, no source)."""

TrimFault = Literal["trim-crosses-axis", "trim-misses"]

END_OFFCUT_LEFT_OUT_MM = 40.0
"""An offcut at an end that is shorter than this may be left out of the squared stock (common practice, no source)."""


@dataclass(frozen=True, slots=True, eq=False)
class SawnTrim:
    """One trim, sawn or refused.

    Attributes
    ----------
    number : number of its offcut, as pencilled on it, from 1 in the order in which the trims are drawn
    trim, line : what was drawn, and its exact pieces
    side : +1 where the waste lies at u > 0, -1 where it lies at u < 0
    waste : all that lies on the waste side, wood or not, the kerf included
    path : the sampled line (n, 2) the waste ends at
    taken : the wood that goes, offcut and kerf; wood an earlier trim took is not there to be taken again
    offcut : what comes off the profile, without the kerf
    turn : its place in the order of sawing, from 1; 0 where it is refused
    fault, fault_at : why the trim cannot be sawn and where (u, z), or None; such a trim takes nothing off
    """

    number: int
    trim: Trim
    line: Line
    side: int
    waste: BaseGeometry
    path: FloatArray
    taken: BaseGeometry
    offcut: BaseGeometry
    turn: int = 0
    fault: TrimFault | None = None
    fault_at: tuple[float, float] | None = None

    @property
    def reach(self) -> tuple[float, float] | None:
        """Lowest and highest z of the wood that goes, or None where nothing comes off."""
        return None if self.taken.is_empty else (self.taken.bounds[1], self.taken.bounds[3])


def saw_trims(trims: Sequence[Trim], profile: BaseGeometry, chord_mm: float) -> tuple[SawnTrim, ...]:
    """Saw the trims of one direction out of a profile.

    A trim may start or end where another has taken the wood away, so they are sawn in the order in which they are
    drawn, but for those that have to wait for a later one.

    Parameters
    ----------
    trims : in the flats-together view; none starts or ends within the wood or crosses u = 0, or it is refused
    profile : the profile before trimming
    chord_mm : how far the sampled trims may stray from the exact ones
    """
    found: dict[int, SawnTrim] = {}
    waiting = list(enumerate(trims, start=1))
    left = profile
    turn = 1
    while waiting:
        refused: list[tuple[int, Trim]] = []
        for number, trim in waiting:
            sawn = _saw(number, trim, profile, left, chord_mm)
            found[number] = sawn
            if sawn.fault is not None:
                refused.append((number, trim))
                continue
            found[number] = replace(sawn, turn=turn)
            left = areas_of(soundly(shapely.difference, left, sawn.waste))
            turn += 1
        if len(refused) == len(waiting):
            break
        waiting = refused
    return tuple(found[number] for number in sorted(found))


def _saw(number: int, trim: Trim, profile: BaseGeometry, left: BaseGeometry, chord_mm: float) -> SawnTrim:
    """Saw one trim out of what the earlier ones left of a profile."""
    line = line_through(trim.nodes)
    points = sample(line, chord_mm).points
    points = points[np.append(True, np.hypot(*np.diff(points, axis=0).T) > 0.0)]
    side = 1 if points[int(np.argmax(np.abs(points[:, 0]))), 0] >= 0.0 else -1

    def refused(fault: TrimFault, at: FloatArray) -> SawnTrim:
        nothing, place = shapely.Polygon(), (float(at[0]), float(at[1]))
        return SawnTrim(number, trim, line, side, nothing, points, nothing, nothing, fault=fault, fault_at=place)

    worst = points[int(np.argmin(side * points[:, 0]))]
    if side * worst[0] < -PLACE_MM:
        return refused("trim-crosses-axis", worst)
    boundary = shapely.boundary(left)
    for end in (points[0], points[-1]):
        spot = shapely.Point(end)
        if left.contains(spot) and boundary.distance(spot) > PLACE_MM:
            return refused("trim-misses", end)
    waste = _waste(points, side, left)
    # a trim through wood that an earlier one took all the same is no miss: it was marked on wood
    if areas_of(soundly(shapely.intersection, waste, profile)).is_empty:
        return refused("trim-misses", points[len(points) // 2])
    taken = areas_of(soundly(shapely.intersection, waste, left))
    offcut = areas_of(soundly(shapely.difference, taken, _beside(points, trim.kerf, waste)))
    return SawnTrim(number, trim, line, side, waste, points, taken, offcut)


def _waste(points: FloatArray, side: int, wood: BaseGeometry) -> BaseGeometry:
    """Return what lies on the waste side of a trim: all the plane out to the far side, closed level with its ends."""
    if wood.is_empty:
        return shapely.Polygon()
    reach = float(np.abs(wood.bounds).max() + np.abs(points).max()) + 1.0
    far = side * 2.0 * reach
    outward = [shapely.LineString([end, (far, end[1])]) for end in (points[0], points[-1])]
    ring = np.vstack([points, [far, points[-1, 1]], [far, points[0, 1]]])
    polygon = shapely.Polygon(ring)
    whole = areas_of(polygon if polygon.is_valid else shapely.make_valid(polygon))
    if all(shapely.intersection(way, wood).length <= PLACE_MM for way in outward):
        return whole
    return _cut_off(points, wood, waste_is_left=shapely.is_ccw(shapely.LinearRing(ring)))


def _cut_off(points: FloatArray, wood: BaseGeometry, *, waste_is_left: bool) -> BaseGeometry:
    """Return the waste of a trim that ends in a notch of the wood, with more wood further out: what it cuts off.

    The parts of the wood that border on the trim on its waste side, and on it only on that side, come off.
    """
    path = shapely.LineString(points)
    noded = shapely.union_all([shapely.boundary(wood), path])
    parts = [p for p in shapely.get_parts(shapely.polygonize([*shapely.get_parts(noded)])) if p.area > SPECK_MM2]
    parts = [p for p in parts if wood.contains(p.representative_point())]
    eps = 10.0 * PLACE_MM
    beside = {left: shapely.buffer(path, eps if left else -eps, single_sided=True) for left in (True, False)}
    off = [p for p in parts if _borders(p, beside[waste_is_left]) and not _borders(p, beside[not waste_is_left])]
    if not off:
        return shapely.Polygon()
    waste = shapely.union_all(off)
    kept = soundly(shapely.difference, wood, waste)
    # reach past the sawn faces, where there is no wood, so that no hairline is left along them
    return areas_of(soundly(shapely.difference, shapely.buffer(waste, 1e3 * PLACE_MM), kept))


def _borders(part: BaseGeometry, strip: BaseGeometry) -> bool:
    """Return True when a part of the wood runs along a hairline strip, not only up to it."""
    return bool(shapely.intersection(part, strip).area > 0.25 * SPECK_MM2)


def _beside(points: FloatArray, width: float, waste: BaseGeometry) -> BaseGeometry:
    """Return the strip of that width along the trim on its waste side."""
    if width <= PLACE_MM:
        return shapely.Polygon()
    strip = shapely.buffer(shapely.LineString(points), width, quad_segs=32, cap_style="square")
    return areas_of(soundly(shapely.intersection, strip, waste))


def trimmed(face: SawnFace, trims: Sequence[SawnTrim], sanding: float) -> SawnFace:
    """Return a face's regions less the waste of its trims, and less the sanding allowance on the trimmed faces.

    The profile's right half (u > 0) is the blank's left region moved by half the width, so a trim on that side comes
    off the left region; likewise the other way about.
    """
    regions: dict[str, BaseGeometry] = {}
    for side, names in ((1, ("left", "left_cutter")), (-1, ("right", "right_cutter"))):
        sawn = [t for t in trims if t.side == side and not t.waste.is_empty]
        if not sawn:
            continue
        gone = [t.waste for t in sawn]
        if sanding > PLACE_MM:
            gone += [shapely.buffer(shapely.LineString(t.path), sanding, quad_segs=32) for t in sawn]
        waste = shapely.union_all(gone)
        waste = shapely.transform(waste, _moved_by(-side * face.half))
        for name in names:
            regions[name] = areas_of(soundly(shapely.difference, getattr(face, name), waste))
    return replace(face, **regions) if regions else face


def _moved_by(across: float) -> Callable[[FloatArray], FloatArray]:
    def move(points: FloatArray) -> FloatArray:
        return cast(FloatArray, points + np.array([across, 0.0]))

    return move


# ---------------------------------------------------------------- which offcuts must go back


def may_be_left_out(
    offcut: SawnTrim, all_trims: Sequence[SawnTrim], length: float, limit_mm: float = END_OFFCUT_LEFT_OUT_MM
) -> bool:
    """Return True when an offcut of the first direction may be left out of the squared stock.

    That is so only where the quarters stay held at full spacing on both sides of it, or at an end over a length below
    the limit. The halves hold each other only at heights at which neither is trimmed, so offcuts on either side that
    meet or overlap in height, or leave too little between them to hold, are taken together.

    Parameters
    ----------
    offcut, all_trims : one trim of a direction, and all of them
    length : of the blank
    limit_mm : length over which an end may stand open
    """
    if offcut.reach is None:
        return True
    low, high = offcut.reach
    spans = [t.reach for t in all_trims if t.reach is not None]
    for _ in spans:  # grow until nothing more meets
        for a, b in spans:
            if a < high + LEAST_HOLD_MM and b > low - LEAST_HOLD_MM:
                low, high = min(low, a), max(high, b)
    at_end = low < LEAST_HOLD_MM or high > length - LEAST_HOLD_MM
    return high - low < limit_mm if at_end else True
