"""The hook: a line that turns over, climbs back for a while, and goes on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

import numpy as np

from geometry.blades import STOCK_BLADES
from geometry.curvature import extent, tightest_bend
from geometry.editing import tidy_place
from geometry.lines import line_through
from geometry.project import Node
from geometry.shapes.room import Room, stretches_back
from geometry.shapes.shape import Parameter

NARROW_RADIUS_MM = STOCK_BLADES[0].radius_mm
"""What the narrowest stock blade (3.2 mm) follows: a hook in a slender blank is drawn for it."""

_EASE = 1.08
"""A hook bends no tighter than this many times what its blade follows: the room is too small for full comfort."""

_NODES = 7
"""Nodes on the hook itself; more make the spline follow the meander closer but leave the hand more to move."""

_HANGS_DEG = (45.0, 35.0, 25.0, 15.0)
"""How steeply the middle of a hook climbs down: the steeper the clearer it is one, and the wider."""


@dataclass(frozen=True, slots=True)
class Hook:
    """A line that comes up on one side, turns over, climbs back down across the middle, and turns up again."""

    label: ClassVar[str] = "Hook"
    hint: ClassVar[str] = "A line that turns over, climbs back for a while and goes on: for a narrow blade."

    radius_mm: float
    height_mm: float
    hang_deg: float = 45.0
    right_first: bool = True

    @classmethod
    def fitted(cls, room: Room) -> Hook:
        """Return a hook about half height for the chosen blade where the walls allow, else for the narrowest.

        The blade comes first: where even a flat hook for the narrowest blade is too wide for the walls, they give way.
        """
        wanted = min(0.1 * room.width_mm, room.length_mm / 14.0)
        for follows in (room.radius_mm, NARROW_RADIUS_MM):
            if follows is None:
                continue
            need = _EASE * follows
            for hang in _HANGS_DEG:
                fits = cls._radius_that_fits(room, hang)
                if fits >= need and need <= room.length_mm / 14.0:
                    return cls._at_a_free_height(room, _tenths_up(min(fits, max(need, wanted))), hang)
        return cls._at_a_free_height(room, _tenths_up(_EASE * NARROW_RADIUS_MM), _HANGS_DEG[-1])

    @classmethod
    def _at_a_free_height(cls, room: Room, radius_mm: float, hang_deg: float) -> Hook:
        """Return a hook as near half height as it can be without one at the same height on the other face."""
        hooks = [
            cls(radius_mm, round(share * room.length_mm, 1), hang_deg)
            for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.25, 0.75)
        ]
        for hook in hooks if room.hooked else ():
            (low, high), *_ = stretches_back(line_through(hook.nodes(room.length_mm)))
            if all(low > top + room.wall_mm or high < foot - room.wall_mm for foot, top in room.hooked):
                return hook
        return hooks[0]

    @classmethod
    def _radius_that_fits(cls, room: Room, hang_deg: float) -> float:
        """Return the radius at which the hook reaches as far out as the walls allow (it grows in proportion)."""
        trial = room.length_mm / 20.0
        far = extent(line_through(cls(trial, room.length_mm / 2.0, hang_deg).nodes(room.length_mm)))
        return trial * room.swing_mm / max(-far.least_u[0], far.greatest_u[0])

    def nodes(self, length_mm: float) -> tuple[Node, ...]:
        """Return both ends on the centre line and seven nodes on the hook.

        They lie on the meander whose direction turns as over·(1 - cos 2πs)/2 from upright, over and back again: the
        curve that bends least for a given turn (Langbein and Leopold 1966, the sine-generated curve, from memory).
        It is drawn so much larger that the spline through the nodes, not the meander, has the radius asked for.
        """
        size = self.radius_mm
        for _ in range(3):
            nodes = self._drawn(size, length_mm)
            bend = tightest_bend(line_through(nodes))
            if bend is None or bend.radius_mm <= 0.0:
                return nodes
            size *= self.radius_mm / bend.radius_mm
        return self._drawn(size, length_mm)

    def _drawn(self, size_mm: float, length_mm: float) -> tuple[Node, ...]:
        sign = 1.0 if self.right_first else -1.0
        on_hook = [
            Node(tidy_place(round(sign * size_mm * u, 3), round(self.height_mm + size_mm * z, 3)))
            for u, z in _meander(self.hang_deg)
        ]
        return (Node((0.0, 0.0), "corner"), *on_hook, Node(tidy_place(0.0, length_mm), "corner"))

    def parameters(self, room: Room) -> tuple[Parameter, ...]:
        """Return the bend, the height, how steeply it hangs and which side comes first."""
        return (
            Parameter("radius_mm", "Bend", "The tightest radius; the blade must follow it.", "length",
                      NARROW_RADIUS_MM, max(NARROW_RADIUS_MM, room.length_mm / 10.0), 0.1),
            Parameter("height_mm", "Height", "How high up the middle of the hook is.", "length",
                      0.2 * room.length_mm, 0.8 * room.length_mm),
            Parameter("hang_deg", "Hangs by", "How steeply the middle climbs back down.", "angle", 5.0, 60.0, 5.0),
            Parameter("right_first", "Swings right first", "Coming from the foot.", "switch"),
        )  # fmt: skip


def _tenths_up(value: float) -> float:
    """Return a radius rounded up to a tenth: rounding must not take it from the blade."""
    return math.ceil(value * 10.0 - 1e-9) / 10.0


@lru_cache(maxsize=32)
def _meander(hang_deg: float) -> tuple[tuple[float, float], ...]:
    """Return nodes (u, z) on a meander of tightest radius 1 about (0, 0), from its right lower end upward."""
    over = math.radians(90.0 + hang_deg)
    total = math.pi * over  # its bend is over·π/total·sin(2πs), at most over·π/total = 1
    s = np.linspace(0.0, 1.0, 6 * 600 + 1)
    angle = over * (1.0 - np.cos(2.0 * np.pi * s)) / 2.0
    step = total * np.diff(s)
    du, dz = -np.sin(angle), np.cos(angle)
    u = np.concatenate([[0.0], np.cumsum((du[1:] + du[:-1]) / 2.0 * step)])
    z = np.concatenate([[0.0], np.cumsum((dz[1:] + dz[:-1]) / 2.0 * step)])
    pick = np.linspace(0, len(s) - 1, _NODES).astype(int)
    return tuple((float(u[i] - u[-1] / 2.0), float(z[i] - z[-1] / 2.0)) for i in pick)
