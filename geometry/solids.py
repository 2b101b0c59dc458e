"""A closed body of wood as plain arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Solid:
    """A body bounded by triangles; no triangles means no wood.

    Attributes
    ----------
    vertices : (n, 3) float64, millimetres
    triangles : (m, 3) int64 indices into ``vertices``, counter-clockwise seen from outside
    """

    vertices: FloatArray
    triangles: IntArray

    @property
    def is_empty(self) -> bool:
        """True when there is no wood at all."""
        return len(self.triangles) == 0
