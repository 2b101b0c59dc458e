"""Least squares within linear limits, and the same with limits that give way together, as little as can be.

A line is asked to lie near an outline (least squares) and within its corridor (limits). Solved as a least-distance
problem by non-negative least squares (Lawson and Hanson, *Solving Least Squares Problems*, ch. 23).
"""

from __future__ import annotations

from typing import Final, cast

import numpy as np
from scipy.optimize import nnls

from geometry.solids import FloatArray

_NOTHING: Final = 1e-6
"""A residual this small means that no point keeps all the limits, or only one too far away to be a place."""

_KEPT: Final = 1e-6
"""A limit broken by less than this part of its own size is kept."""

_NO_ROW: Final = 1e-12
"""A limit whose row is this small beside the others is nothing but rounding."""

_RIDGE: Final = 1e-9
"""Keeps the least squares solvable where nothing is asked of an unknown; far below any length that matters."""

GIVE_WEIGHT: Final = 1e3
"""What it costs to let the limits give, against a mean deviation of the same size: so much that only need does it."""


def least_squares_within(a: FloatArray, b: FloatArray, g: FloatArray, h: FloatArray) -> FloatArray | None:
    """Return the x (n,) with the least ``|a x - b|`` among those with ``g x <= h``, or None where there is none.

    Parameters
    ----------
    a, b : (m, n) and (m,), the least squares
    g, h : (k, n) and (k,), the limits
    """
    n = a.shape[1]
    q, r = np.linalg.qr(np.vstack([a, _RIDGE * np.eye(n)]))
    c = q.T @ np.concatenate([b, np.zeros(n)])
    # the triangle is small; solving for a thousand limits at once would wake every core for nothing
    back = np.linalg.inv(r)
    rows = g @ back
    short = rows @ c - h  # by how much the plain least squares breaks each limit
    if not len(h) or short.max() <= 0.0:
        return cast(FloatArray, back @ c)
    size = np.linalg.norm(rows, axis=1)
    sized = size > _NO_ROW * float(size.max())  # what asks nothing of the unknowns is no limit
    rows, short = rows[sized] / size[sized, None], short[sized] / size[sized]
    scale = max(float(short.max()), _KEPT)
    target = np.zeros(n + 1)
    target[-1] = 1.0
    system = np.vstack([-rows.T, short[None] / scale])
    try:
        multipliers, left = nnls(system, target, maxiter=30 * (n + 1))
    except RuntimeError:  # it went round and round
        return None
    if left <= _NOTHING:
        return None
    residual = system @ multipliers - target
    if residual[-1] >= 0.0:
        return None
    y = -scale * residual[:-1] / residual[-1]
    if (rows @ y + short).max() > _KEPT * scale + _KEPT:
        return None
    return cast(FloatArray, back @ (y + c))


def least_squares_giving(
    a: FloatArray, b: FloatArray, g: FloatArray, h: FloatArray, gives: FloatArray
) -> tuple[FloatArray, float] | None:
    """Return the same with limits that may give, ``g x <= h + e·gives``, and by how much they had to: (x, e).

    Parameters
    ----------
    a, b, g, h : as in `least_squares_within`; a deviation of 1 mm everywhere is to measure about 1
    gives : (k,), 1 for a limit that may give and 0 for one that may not
    """
    n = a.shape[1]
    wide = np.zeros((len(a) + 1, n + 1))
    wide[:-1, :n], wide[-1, n] = a, GIVE_WEIGHT
    limits = np.zeros((len(g) + 1, n + 1))
    limits[:-1, :n], limits[:-1, n], limits[-1, n] = g, -gives, -1.0
    x = least_squares_within(wide, np.append(b, 0.0), limits, np.append(h, 0.0))
    return None if x is None else (x[:n], max(float(x[n]), 0.0))
