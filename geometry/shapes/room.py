"""The room a starting shape has: the face, the walls to be left, and the bend the blade follows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.blades import COMFORT, STOCK_BLADES, reach
from geometry.copying import half_across, other_face
from geometry.curvature import extent, tightest_bend
from geometry.lines import Line, line_of, line_through
from geometry.project import CutName, Node, Variant
from geometry.sampling import sample
from geometry.tolerances import EXPORT_CHORD_MM, PLACE_MM

UNCHOSEN_RADIUS_MM = next(b.radius_mm for b in STOCK_BLADES if b.width_mm == 6.35)
"""Without a chosen blade a shape is drawn for the one most often on the saw for such work, 6.35 mm."""

_LEAST_SWING = 0.25
"""On a face too narrow for the walls a shape still takes this share of its half: a wall that is thin, and said so."""


@dataclass(frozen=True, slots=True)
class Room:
    """What a starting shape must keep within.

    Attributes
    ----------
    width_mm : width of the face where it is narrowest
    length_mm : length of the blank
    kerf_mm : width of the slot
    wall_mm : wall to be left beside the slot
    radius_mm : tightest radius the blade follows; None where it cannot turn at all
    hooked : heights (low, high) between which the line of the other face climbs back; where both lines climb back at
        the same height, what stands up beside one and hangs down beside the other is sawn loose
    """

    width_mm: float
    length_mm: float
    kerf_mm: float = 0.9
    wall_mm: float = 6.0
    radius_mm: float | None = UNCHOSEN_RADIUS_MM
    hooked: tuple[tuple[float, float], ...] = ()

    @property
    def swing_mm(self) -> float:
        """How far a line may stand off the centre line."""
        half = self.width_mm / 2.0
        return max(half - self.kerf_mm / 2.0 - self.wall_mm, _LEAST_SWING * half)

    def holds(self, nodes: Sequence[Node]) -> bool:
        """Return True for a line that leaves its walls, stays between the ends and bends with comfort."""
        line = line_through(nodes)
        bend, far = tightest_bend(line), extent(line)
        if max(-far.least_u[0], far.greatest_u[0]) > self.swing_mm:
            return False
        if far.least_z[1] < -PLACE_MM or far.greatest_z[1] > self.length_mm + PLACE_MM:
            return False
        return bend is None or (self.radius_mm is not None and bend.radius_mm >= COMFORT * self.radius_mm)


def room_of(variant: Variant, face: CutName) -> Room:
    """Return the room on one face of a variant."""
    blank, cut = variant.blank, variant.cut(face)
    width = 2.0 * min(half_across(blank, face, 0.0), half_across(blank, face, blank.length))
    radius = UNCHOSEN_RADIUS_MM if cut.blade is None else reach(cut.blade).radius_mm
    beside = line_of(variant.cut(other_face(face)), blank.length)
    return Room(width, blank.length, cut.kerf, variant.limits.wall, radius, stretches_back(beside))


def stretches_back(line: Line) -> tuple[tuple[float, float], ...]:
    """Return the heights (low, high) of each stretch on which a line climbs back, in its order."""
    z = sample(line, EXPORT_CHORD_MM).points[:, 1]
    down = np.diff(z) < 0.0
    starts = np.flatnonzero(down & ~np.append(False, down[:-1]))
    stops = np.flatnonzero(down & ~np.append(down[1:], False)) + 1
    return tuple((float(z[stop]), float(z[start])) for start, stop in zip(starts, stops, strict=True))


def largest_share(nodes_at: Callable[[float], Sequence[Node]], room: Room) -> float:
    """Return the largest share 0..1 of a shape's swing that the room holds, to a thousandth.

    ``nodes_at`` gives the nodes of the shape at a share of its swing; at 0 it must be straight.
    """
    if room.holds(nodes_at(1.0)):
        return 1.0
    low, high = 0.0, 1.0
    while high - low > 1e-3:
        middle = (low + high) / 2.0
        if room.holds(nodes_at(middle)):
            low = middle
        else:
            high = middle
    return low
