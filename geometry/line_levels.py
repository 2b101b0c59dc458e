"""Where a line crosses borders, found on its exact cubic pieces."""

from __future__ import annotations

from functools import lru_cache
from typing import Final, cast

import numpy as np

from geometry.lines import Line
from geometry.solids import FloatArray, IntArray

_HALVINGS = 54
"""From a whole piece down to the rounding of its parameter."""

MOST_BORDERS: Final = 20_000
"""No pattern that anybody can see has as many; a file can ask for millions."""


class TooManyBorders(Exception):
    """A line crosses so many borders that to list them says nothing."""


def quadratic_roots(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """Return the real roots (n, 2) in 0..1 of a + b t + c t², row by row; 0 stands for a root that is not there."""
    root = np.sqrt(np.maximum(b * b - 4.0 * a * c, 0.0))
    q = -(b + np.where(b < 0.0, -root, root)) / 2.0
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        both = np.stack([q / c, a / q], axis=1)
    there = np.isfinite(both) & (both > 0.0) & (both < 1.0) & (b * b >= 4.0 * a * c)[:, None]
    return np.where(there, both, 0.0)


def border_crossings(line: Line, across: float, up: float, borders: FloatArray) -> tuple[IntArray, FloatArray]:
    """Return (piece, t) of every place where across · u + up · z takes the value of one of the borders.

    Each piece is parted where the value turns, so that it rises or falls all through; there every border between the
    values at both ends is met once, and is closed in on by halving.

    Parameters
    ----------
    line : the line
    across, up : the direction square to the borders
    borders : (n,) sorted

    Raises
    ------
    TooManyBorders
        the line crosses more than `MOST_BORDERS`
    """
    if not len(borders):
        return np.zeros(0, dtype=np.int64), np.zeros(0)
    b = line.pieces @ np.array([across, up])
    d = np.diff(b, axis=1)
    turns = quadratic_roots(d[:, 0], 2.0 * (d[:, 1] - d[:, 0]), d[:, 0] - 2.0 * d[:, 1] + d[:, 2])
    ends = np.sort(np.concatenate([np.zeros((len(b), 1)), turns, np.ones((len(b), 1))], axis=1), axis=1)
    piece = np.repeat(np.arange(len(b)), 3)
    t0, t1 = ends[:, :-1].ravel(), ends[:, 1:].ravel()
    v0, v1 = _value(b, piece, t0), _value(b, piece, t1)
    first = np.searchsorted(borders, np.minimum(v0, v1), side="left")
    count = np.searchsorted(borders, np.maximum(v0, v1), side="right") - first
    count = np.where(t1 > t0, count, 0)
    if count.sum() > MOST_BORDERS:
        raise TooManyBorders
    span = np.repeat(np.arange(len(count)), count)
    border = borders[np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + first[span]]
    lo, hi, which = t0[span], t1[span], piece[span]
    rises = v1[span] >= v0[span]
    for _ in range(_HALVINGS):
        middle = (lo + hi) / 2.0
        below = (_value(b, which, middle) < border) == rises
        lo, hi = np.where(below, middle, lo), np.where(below, hi, middle)
    return which, cast(FloatArray, (lo + hi) / 2.0)


def _value(b: FloatArray, piece: IntArray, t: FloatArray) -> FloatArray:
    """Evaluate Bézier cubics (n, 4) by de Casteljau's scheme, which never leaves the range of its points."""
    p = b[piece]
    for _ in range(3):
        p = p[:, :-1] + t[:, None] * (p[:, 1:] - p[:, :-1])
    return cast(FloatArray, p[:, 0])


@lru_cache(maxsize=1)
def _gauss() -> tuple[FloatArray, FloatArray]:
    x, w = np.polynomial.legendre.leggauss(16)
    return (x + 1.0) / 2.0, w / 2.0


def stretch_lengths(line: Line, piece: IntArray, lo: FloatArray, hi: FloatArray) -> FloatArray:
    """Return the arc length (k,) in mm of the stretches lo..hi (k,) of the pieces numbered ``piece`` (k,)."""
    x, w = _gauss()
    t = lo[:, None] + (hi - lo)[:, None] * x
    v = line.velocity(np.repeat(piece, len(x)), t.ravel())
    return cast(FloatArray, (hi - lo) * (np.hypot(v[:, 0], v[:, 1]).reshape(t.shape) @ w))


def steepest_run(line: Line) -> float:
    """Return the largest |du/dz| along the line; infinite where it runs level or climbs back.

    On a cubic the direction turns back at its inflections (where velocity and acceleration are parallel, a quadratic
    equation); those and the ends of the pieces are looked at.
    """
    p0, p1, p2, p3 = (line.pieces[:, i] for i in range(4))
    one, two, three = 3.0 * (p1 - p0), 3.0 * (p0 - 2.0 * p1 + p2), p3 - p0 + 3.0 * (p1 - p2)

    def cross(a: FloatArray, b: FloatArray) -> FloatArray:
        return cast(FloatArray, a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])

    bends = quadratic_roots(2.0 * cross(one, two), 6.0 * cross(one, three), 6.0 * cross(two, three))
    t = np.concatenate([bends, np.zeros((len(bends), 1)), np.ones((len(bends), 1))], axis=1)
    v = line.velocity(np.repeat(np.arange(len(t)), t.shape[1]), t.ravel())
    turns = quadratic_roots(one[:, 1], 2.0 * two[:, 1], 3.0 * three[:, 1])
    lowest = line.velocity(np.repeat(np.arange(len(t)), 2), turns.ravel())[:, 1]
    if min(float(v[:, 1].min()), float(lowest.min())) <= 0.0:
        return float("inf")
    return float(np.abs(v[:, 0] / v[:, 1]).max())
