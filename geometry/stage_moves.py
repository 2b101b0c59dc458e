"""How bodies move within a stage of the work at the bench: rigid moves as functions of a share t from 0 to 1."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np

from geometry.project import Blank
from geometry.solids import FloatArray, Solid
from geometry.turning import placements


class Pose(NamedTuple):
    """Where a body stands: moved by (x, y, z) from where it was in the blank, then turned about the blank's axis."""

    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    turn_rad: float = 0.0

    def shifted(self, dx: float = 0.0, dy: float = 0.0) -> Pose:
        """Return the pose moved on across the blank."""
        return self._replace(x=self.x + dx, y=self.y + dy)

    @property
    def matrix(self) -> FloatArray:
        """The rigid 4 by 4 move."""
        c, s = np.cos(self.turn_rad), np.sin(self.turn_rad)
        turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        move = np.eye(4)
        move[:3, :3] = turn
        move[:3, 3] = turn @ (self.x, self.y, self.z)
        return move


class Motion(Protocol):
    """A rigid move for every share of a stage."""

    def at(self, t: float) -> FloatArray:
        """Return the 4 by 4 move at a share 0..1; outside it the nearer end."""
        ...


@dataclass(frozen=True, slots=True)
class Carried:
    """From pose to pose, each leg as long as the others, starting and stopping gently."""

    poses: tuple[Pose, ...]

    def at(self, t: float) -> FloatArray:
        """Return the 4 by 4 move at a share 0..1; outside it the nearer end."""
        legs = len(self.poses) - 1
        if legs == 0:
            return self.poses[0].matrix
        along = min(max(t, 0.0), 1.0) * legs
        leg = min(int(along), legs - 1)
        part = along - leg
        part = part * part * (3.0 - 2.0 * part)
        mixed = (1.0 - part) * np.array(self.poses[leg]) + part * np.array(self.poses[leg + 1])
        return Pose(*mixed.tolist()).matrix


@dataclass(frozen=True, slots=True, eq=False)
class Turned:
    """A quarter's part in `turning.placements`, from one of its stages to another."""

    blank: Blank
    quarters: Sequence[Solid]
    number: int
    start: float
    stop: float

    def at(self, t: float) -> FloatArray:
        """Return the 4 by 4 move at a share 0..1; outside it the nearer end."""
        turn = self.start + min(max(t, 0.0), 1.0) * (self.stop - self.start)
        return placements(self.blank, self.quarters, turn)[self.number - 1]
