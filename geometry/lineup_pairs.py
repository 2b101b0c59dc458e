"""Which crossings on the two sides of a seam belong together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.solids import FloatArray, IntArray
from geometry.tolerances import PLACE_MM

Keyed = tuple[FloatArray, FloatArray, IntArray]
"""Crossings of one side, in order: place along the line (n,), height (n,), number of the two species (n,)."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two crossings that belong together: their numbers, their difference in height, and whether they meet."""

    low: int
    high: int
    step_mm: float
    meets: bool


def pairs_of(low: Keyed, high: Keyed, limit_mm: float) -> tuple[Pair, ...]:
    """Return the pairs of crossings that belong together, from the foot up.

    Two crossings between the same two species belong together when each is the other's nearest. So one that has run
    past the end of the piece on the other side is left alone instead of being paired with a stranger. Then what is
    left and lies within the limit of something else that is left meets it: the line goes on, in other colours.

    Parameters
    ----------
    low, high : the crossings of the two sides
    limit_mm : the step up to which two crossings meet
    """
    limit = limit_mm + PLACE_MM
    found: list[Pair] = []
    for key in np.intersect1d(low[2], high[2]):
        mine, theirs = np.flatnonzero(low[2] == key), np.flatnonzero(high[2] == key)
        i, j = _mutual(low[0][mine], high[0][theirs])
        found += _pairs(low, high, mine[i], theirs[j], limit)
    met = [p for p in found if p.meets]
    left = np.setdiff1d(np.arange(len(low[0])), [p.low for p in met])
    right = np.setdiff1d(np.arange(len(high[0])), [p.high for p in met])
    i, j = _mutual(low[0][left], high[0][right])
    met += [p for p in _pairs(low, high, left[i], right[j], limit) if p.meets]
    lows, highs = {p.low for p in met}, {p.high for p in met}
    apart = [p for p in found if not p.meets and p.low not in lows and p.high not in highs]
    return tuple(sorted(met + apart, key=lambda p: p.low))


def _pairs(low: Keyed, high: Keyed, i: IntArray, j: IntArray, limit: float) -> list[Pair]:
    steps = np.abs(low[1][i] - high[1][j]).tolist()
    return [Pair(a, b, s, s <= limit) for a, b, s in zip(i.tolist(), j.tolist(), steps, strict=True)]


def _mutual(a: FloatArray, b: FloatArray) -> tuple[IntArray, IntArray]:
    """Return the numbers of the places in sorted ``a`` and ``b`` that are each other's nearest."""
    if not len(a) or not len(b):
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    to_b, to_a = _nearest(a, b), _nearest(b, a)
    i = np.flatnonzero(to_a[to_b] == np.arange(len(a)))
    return i, to_b[i]


def _nearest(of: FloatArray, among: FloatArray) -> IntArray:
    right = np.clip(np.searchsorted(among, of), 0, len(among) - 1)
    left = np.maximum(right - 1, 0)
    return np.where(np.abs(of - among[left]) <= np.abs(of - among[right]), left, right)
