"""Bodies drawn by hand, so that what the pictures must show is known beforehand."""

from __future__ import annotations

import numpy as np
import pytest

from app.scene.body import Body
from geometry.solids import Solid


def prism(outline, height: float, foot: float = 0.0) -> Solid:
    """A convex outline (n, 2), counter-clockwise from above, raised straight up."""
    outline = np.asarray(outline, dtype=np.float64)
    n = len(outline)
    low = np.column_stack([outline, np.full(n, foot)])
    high = np.column_stack([outline, np.full(n, foot + height)])
    triangles = []
    for i in range(n):
        j = (i + 1) % n
        triangles += [(i, j, n + j), (i, n + j, n + i)]
    for i in range(1, n - 1):
        triangles += [(0, i + 1, i), (n, n + i, n + i + 1)]
    return Solid(np.vstack([low, high]), np.array(triangles, dtype=np.int64))


def box(low, high) -> Solid:
    """An upright box between two corners."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    return prism([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], z1 - z0, z0)


def moved(x: float = 0.0, y: float = 0.0, z: float = 0.0) -> np.ndarray:
    matrix = np.eye(4)
    matrix[:3, 3] = x, y, z
    return matrix


RED = (0.8, 0.1, 0.1)
GREEN = (0.1, 0.7, 0.1)


@pytest.fixture
def post() -> Body:
    return Body(box((-30, -30, 0), (30, 30, 300)), RED, name="post")
