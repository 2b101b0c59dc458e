"""What a scene shows: one body of wood, its colour, and where it stands."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from geometry.solids import Solid

Colour = tuple[float, float, float]
FloatArray = NDArray[np.float64]


def _in_place() -> FloatArray:
    return np.eye(4)


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """One closed body and how to show it.

    Attributes
    ----------
    solid : Solid
        In block coordinates (mm, z up the grain, foot at z = 0). It stays in these coordinates for good:
        wood grain, picking and the turning animation all rely on it.
    colour : (3,) floats, sRGB 0 to 1
    matrix : (4, 4) float64
        Rigid placement, block coordinates to the scene.
    name : str
    number : int or None
        The quarter's number, 1 to 4, where it has one.
    """

    solid: Solid
    colour: Colour
    matrix: FloatArray = field(default_factory=_in_place)
    name: str = ""
    number: int | None = None


def placed(points: FloatArray, matrix: FloatArray) -> FloatArray:
    """Points (n, 3) moved by a rigid (4, 4) matrix."""
    return points @ matrix[:3, :3].T + matrix[:3, 3]
