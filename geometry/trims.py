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
from geometry.sampling import Samples, sample
from geometry.slots import SawnFace, areas_of, soundly
from geometry.solids import FloatArray
from geometry.tolerances import PLACE_MM

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
    waste : all the plane on the waste side, the kerf included
    offcut : what comes off the profile, without the kerf
    fault, fault_at : why the trim cannot be sawn and where (u, z), or None; such a trim takes nothing off
    """

    number: int
    trim: Trim
    line: Line
    side: int
    waste: BaseGeometry
    offcut: BaseGeometry
    fault: TrimFault | None = None
    fault_at: tuple[float, float] | None = None

    @property
    def reach(self) -> tuple[float, float] | None:
        """Lowest and highest z of the offcut, or None where nothing comes off."""
        return None if self.offcut.is_empty else (self.offcut.bounds[1], self.offcut.bounds[3])


def saw_trims(trims: Sequence[Trim], profile: BaseGeometry, chord_mm: float) -> tuple[SawnTrim, ...]:
    """Saw the trims of one direction out of a profile.

    Parameters
    ----------
    trims : in the flats-together view; none starts or ends within the profile or crosses u = 0, or it is refused
    profile : the profile before trimming
    chord_mm : how far the sampled trims may stray from the exact ones
    """
    out: list[SawnTrim] = []
    left = profile
    for number, trim in enumerate(trims, start=1):
        sawn = _saw(number, trim, profile, chord_mm)
        # what an earlier trim took off is not there to come off again
        sawn = replace(sawn, offcut=areas_of(soundly(shapely.intersection, sawn.offcut, left)))
        left = areas_of(soundly(shapely.difference, left, sawn.waste))
        out.append(sawn)
    return tuple(out)


def _saw(number: int, trim: Trim, profile: BaseGeometry, chord_mm: float) -> SawnTrim:
    line = line_through(trim.nodes)
    samples = sample(line, chord_mm)
    furthest = samples.points[int(np.argmax(np.abs(samples.points[:, 0])))]
    side = 1 if furthest[0] >= 0.0 else -1
    nothing = shapely.Polygon()
    fault = _fault(samples, side, profile)
    if fault is not None:
        return SawnTrim(number, trim, line, side, nothing, nothing, *fault)
    waste = _waste(samples, side, profile)
    kerf = _beside(samples, trim.kerf, side, waste)
    offcut = areas_of(soundly(shapely.intersection, soundly(shapely.difference, waste, kerf), profile))
    return SawnTrim(number, trim, line, side, waste, offcut)


def _fault(samples: Samples, side: int, profile: BaseGeometry) -> tuple[TrimFault, tuple[float, float]] | None:
    points = samples.points
    worst = points[int(np.argmin(side * points[:, 0]))]
    if side * worst[0] < -PLACE_MM:
        return "trim-crosses-axis", (float(worst[0]), float(worst[1]))
    boundary = shapely.boundary(profile)
    for end in (points[0], points[-1]):
        spot = shapely.Point(end)
        if profile.contains(spot) and boundary.distance(spot) > PLACE_MM:
            return "trim-misses", (float(end[0]), float(end[1]))
    touched = shapely.intersection(shapely.LineString(points), profile)
    if touched.is_empty or touched.length <= PLACE_MM:
        middle = points[len(points) // 2]
        return "trim-misses", (float(middle[0]), float(middle[1]))
    return None


def _waste(samples: Samples, side: int, profile: BaseGeometry) -> BaseGeometry:
    """Return all the plane between the trim and the far side, closed level with its two ends."""
    points = samples.points
    reach = float(np.abs(profile.bounds).max() + np.abs(points).max()) + 1.0
    far = side * 2.0 * reach
    ring = np.vstack([points, [far, points[-1, 1]], [far, points[0, 1]]])
    polygon = shapely.Polygon(ring)
    return areas_of(polygon if polygon.is_valid else shapely.make_valid(polygon))


def _beside(samples: Samples, width: float, side: int, waste: BaseGeometry) -> BaseGeometry:
    """Return the strip of that width along the trim on its waste side."""
    if width <= PLACE_MM:
        return shapely.Polygon()
    strip = shapely.buffer(shapely.LineString(samples.points), width, quad_segs=32, cap_style="square")
    return areas_of(soundly(shapely.intersection, strip, waste))


def trimmed(face: SawnFace, trims: Sequence[SawnTrim], sanding: float) -> SawnFace:
    """Return a face's regions less the waste of its trims, and less the sanding allowance on the trimmed faces.

    The profile's right half (u > 0) is the blank's left region moved by half the width, so a trim on that side comes
    off the left region; likewise the other way about.
    """
    regions: dict[str, BaseGeometry] = {}
    for side, names in ((1, ("left", "left_cutter")), (-1, ("right", "right_cutter"))):
        gone = [t.waste for t in trims if t.side == side and not t.waste.is_empty]
        if not gone:
            continue
        waste = shapely.union_all(gone)
        if sanding > PLACE_MM:
            waste = shapely.buffer(waste, sanding, quad_segs=32)
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
    the limit. Offcuts on the same side that meet or overlap in height are taken together: between them nothing holds.
    """
    if offcut.reach is None:
        return True
    low, high = offcut.reach
    spans = sorted(t.reach for t in all_trims if t.side == offcut.side and t.reach is not None)
    for _ in spans:  # grow until nothing more meets
        for a, b in spans:
            if a <= high + PLACE_MM and b >= low - PLACE_MM:
                low, high = min(low, a), max(high, b)
    at_end = low <= PLACE_MM or high >= length - PLACE_MM
    return high - low < limit_mm if at_end else True
