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

    def moved(self, matrix: FloatArray) -> Solid:
        """Return the body moved by a rigid or uniformly scaling 4 by 4 matrix."""
        return Solid(self.vertices @ matrix[:3, :3].T + matrix[:3, 3], self.triangles)

    @property
    def is_closed(self) -> bool:
        """True when there is wood and every edge is met by two triangles, once in each direction."""
        if self.is_empty:
            return False
        t = self.triangles
        edges = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
        code = edges[:, 0] * len(self.vertices) + edges[:, 1]
        back = edges[:, 1] * len(self.vertices) + edges[:, 0]
        return len(np.unique(code)) == len(code) and bool(np.array_equal(np.sort(code), np.sort(back)))


NO_WOOD = Solid(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
