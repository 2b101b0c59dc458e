"""Where a line's nodes go when it is eased: the least move that satisfies the radius and the walls.

See `geometry.easing`, which judges what comes out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, cast

import numpy as np
from msgspec.structs import replace
from scipy.optimize import nnls

from geometry.curvature import curvature
from geometry.line_levels import quadratic_roots
from geometry.lines import Line, line_through
from geometry.project import Node
from geometry.solids import BoolArray, FloatArray, IntArray
from geometry.tolerances import PLACE_MM

_PROBES = 13
"""Places on each piece at which the conditions are looked at, its ends among them."""

_ROUNDS = 60
_STILL_MM = 5e-4
_CLOSE = 1e-3
"""At most so many rounds; less than this from one to the next, and the nodes have come to rest, if the conditions are
met this closely: the margins they are asked with are larger."""

_KEPT = 12
"""Rounds whose walls are still heeded, so that the nodes do not swing to and fro."""

_OPENS: Final = 0.75
"""The share of its curvature a bend keeps at least in one round: so far the straight reckoning holds."""

_MATTERS = np.log(0.4)
"""A place that bends less than this share of what is allowed cannot become too tight within a round."""

_STRIDE = 14
"""Nodes so far apart are tried at once: a spline forgets a node at a rate of 0.27 for each node in between."""

_TRY_MM = 1e-4

_LEVEL = 0.05
"""An end that climbs less than this for its run lies along the end of the face and has no width across."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What an eased line must satisfy.

    Attributes
    ----------
    radius_mm : nowhere tighter than this, square to the blade; 0 for no such condition
    stretch : how much longer the line is square to the blade than drawn
    half_foot, half_top : half the face's width at the foot and at the top
    length_mm : of the face
    kerf_mm, wall_mm : of the slot, and the wall to be left beside it
    """

    radius_mm: float
    stretch: float
    half_foot: float
    half_top: float
    length_mm: float
    kerf_mm: float
    wall_mm: float

    def room(self, z: FloatArray) -> FloatArray:
        """Return how far from the middle of the face the line may be at heights z."""
        half = self.half_foot + z / self.length_mm * (self.half_top - self.half_foot)
        return cast(FloatArray, half - self.kerf_mm / 2.0 - self.wall_mm)


def movable(nodes: Sequence[Node], length_mm: float) -> BoolArray:
    """Return which coordinates (n, 2) of nodes may be moved: none at a straight stretch, no end off its end."""
    n = len(nodes)
    free = np.ones((n, 2), dtype=np.bool_)
    for i in range(n - 1):
        # the first and the last node close a straight stretch or a curve whatever their kind; between two nodes alone
        # and between two corners it is straight
        ends = [nodes[k].kind == "corner" for k in (i, i + 1)]
        if all(ends):
            free[i : i + 2] = False
    for i, z in ((0, 0.0), (n - 1, length_mm)):
        if abs(nodes[i].at[1] - z) <= PLACE_MM:
            free[i, 1] = False
    return free


def least_moves(nodes: Sequence[Node], start: FloatArray, wanted: Wanted) -> FloatArray | None:
    """Return where (n, 2) nodes go, moved as little as can be from where they were drawn; None where it is not found.

    Parameters
    ----------
    nodes : as drawn
    start : (n, 2) where to begin looking
    wanted : the conditions
    """
    free = movable(nodes, wanted.length_mm)
    drawn = np.array([n.at for n in nodes], dtype=np.float64)
    if not free.any():
        return None
    gaps = np.hypot(*np.diff(drawn, axis=0).T)
    trust = 0.2 * float(np.median(gaps))
    x = (start - drawn)[free]
    _, is_bend = _piece_of(len(nodes) - 1)
    # how far a piece reaches is the furthest of its places, so what held before still holds
    planes: list[tuple[FloatArray, FloatArray]] = []
    values = _conditions(_placed(nodes, drawn, free, x), wanted)
    for _ in range(_ROUNDS):
        matters = values > np.where(is_bend, _MATTERS, -2.0 * trust - 1.0)
        slopes = _slopes(nodes, drawn, free, x, values, wanted)[matters]
        allowed = np.where(is_bend[matters], np.maximum(0.0, values[matters] + np.log(_OPENS)), 0.0)
        # values + slopes (y - x) ≤ allowed, with the least y
        g, h = -slopes, values[matters] - allowed - slopes @ x
        y = _least_point(np.vstack([g, *(p[0] for p in planes)]), np.concatenate([h, *(p[1] for p in planes)]))
        walls = ~is_bend[matters]
        planes = [*planes[1 - _KEPT :], (g[walls], h[walls])]
        if y is None:
            return None
        step = y - x
        longest = float(np.abs(step).max(initial=0.0))
        at_rest = abs(float(np.linalg.norm(y) - np.linalg.norm(x))) <= _STILL_MM * (1.0 + float(np.linalg.norm(y)))
        if (at_rest and _worst(values) <= _CLOSE) or (longest <= _STILL_MM and not allowed.any()):
            return _at(drawn, free, x)
        for _ in range(12):
            shorter = step * min(1.0, trust / longest) if longest > 0.0 else step
            new = _conditions(_placed(nodes, drawn, free, x + shorter), wanted)
            if _worst(new) <= max(_worst(values) * 1.02 + 0.02, 0.05):
                break
            trust /= 2.0
        x, values = x + shorter, new
        trust = min(trust * 1.5, float(gaps.max()))
    return _at(drawn, free, x)


def straightened(nodes: Sequence[Node], wanted: Wanted) -> FloatArray:
    """Return the places (n, 2) of nodes with every curve between places that stay drawn straight, within the walls."""
    free = movable(nodes, wanted.length_mm)
    places = np.array([n.at for n in nodes], dtype=np.float64)
    ends = {0, len(nodes) - 1}
    room = np.maximum(wanted.room(places[:, 1]), 0.0)
    stay = [i for i in range(len(nodes)) if i in ends or not free[i].any()]
    for i in ends:
        if free[i, 0]:
            places[i, 0] = np.clip(places[i, 0], -room[i], room[i])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])
    for a, b in zip(stay[:-1], stay[1:], strict=True):
        if along[b] > along[a]:
            part = (along[a : b + 1] - along[a]) / (along[b] - along[a])
            places[a : b + 1] = places[a] + part[:, None] * (places[b] - places[a])
    return cast(FloatArray, places)


# ---------------------------------------------------------------- one round


def _at(drawn: FloatArray, free: BoolArray, x: FloatArray) -> FloatArray:
    places = drawn.copy()
    places[free] += x
    return places


def _placed(nodes: Sequence[Node], drawn: FloatArray, free: BoolArray, x: FloatArray) -> Line:
    places = _at(drawn, free, x)
    return line_through([replace(n, at=(float(u), float(z))) for n, (u, z) in zip(nodes, places, strict=True)])


def _conditions(line: Line, wanted: Wanted) -> FloatArray:
    """Return what must not be above 0, laid out as `_piece_of` tells.

    First the bends, as the logarithm of the curvature over that allowed, at even places of each piece; then by how
    many millimetres each piece falls short of the right and of the left wall at its furthest; then the same at the
    line's two ends, where the slot is wider across if they are met at a slant.
    """
    count = len(line.pieces)
    bends = np.full(count * _PROBES, -np.inf)
    if wanted.radius_mm > 0.0:
        pieces = line.pieces.copy()
        pieces[:, :, 1] *= wanted.stretch
        t = np.tile(np.linspace(0.0, 1.0, _PROBES), count)
        piece = np.repeat(np.arange(count), _PROBES)
        bent = np.abs(curvature(Line(pieces, line.is_straight, line.kinks), piece, t)) * wanted.radius_mm
        bends = np.log(np.clip(bent, 1e-4, 1e4))
    u, room = line.pieces[:, :, 0], wanted.room(line.pieces[:, :, 1])
    # the room is straight in z, so what a piece falls short by is a cubic with the same kind of points
    walls = np.stack([_furthest(u - room), _furthest(-u - room)], axis=1).ravel()
    ends = []
    for k, direction in ((0, line.start_direction), (-1, line.end_direction)):
        place = line.start if k == 0 else line.end
        slope = max(abs(float(direction[1])), _LEVEL)
        short = abs(float(place[0])) + wanted.kerf_mm / 2.0 * (1.0 / slope - 1.0) - float(wanted.room(place[1:])[0])
        ends.append(short if slope > _LEVEL else -np.inf)
    return np.concatenate([bends, walls + 2.0 * _CLOSE, np.array(ends) + 2.0 * _CLOSE])


def _furthest(b: FloatArray) -> FloatArray:
    """Return the greatest value (n,) of Bézier cubics (n, 4)."""
    d = np.diff(b, axis=1)
    t = quadratic_roots(d[:, 0], 2.0 * (d[:, 1] - d[:, 0]), d[:, 0] - 2.0 * d[:, 1] + d[:, 2])
    s = 1.0 - t
    inner = s**3 * b[:, :1] + 3.0 * s * s * t * b[:, 1:2] + 3.0 * s * t * t * b[:, 2:3] + t**3 * b[:, 3:]
    return cast(FloatArray, np.maximum(inner.max(axis=1), np.maximum(b[:, 0], b[:, 3])))


def _piece_of(count: int) -> tuple[IntArray, BoolArray]:
    """Return the number of the piece each condition belongs to, and whether it is one of a bend."""
    piece = np.concatenate([np.repeat(np.arange(count), _PROBES), np.repeat(np.arange(count), 2), [0, count - 1]])
    return piece.astype(np.int64), np.arange(len(piece)) < count * _PROBES


def _worst(values: FloatArray) -> float:
    return float(values.max())


def _slopes(
    nodes: Sequence[Node], drawn: FloatArray, free: BoolArray, x: FloatArray, values: FloatArray, wanted: Wanted
) -> FloatArray:
    """Return how the conditions (m,) change with each coordinate that moves: (m, k), by trying."""
    number = np.full(free.shape, -1)
    number[free] = np.arange(len(x))
    n = len(nodes)
    stride = min(n, _STRIDE)
    row_piece, _ = _piece_of(n - 1)
    out = np.zeros((len(values), len(x)))
    rows = np.arange(len(values))
    finite = np.isfinite(values)
    for first in range(stride):
        for axis in (0, 1):
            tried = np.arange(first, n, stride)
            tried = tried[number[tried, axis] >= 0]
            if not len(tried):
                continue
            moved = x.copy()
            moved[number[tried, axis]] += _TRY_MM
            new = _conditions(_placed(nodes, drawn, free, moved), wanted)
            # each place answers to the node nearest to it of those that were tried
            nearest = tried[np.abs(row_piece[:, None] + 0.5 - tried[None, :]).argmin(axis=1)]
            change = np.where(finite, new - np.where(finite, values, 0.0), 0.0) / _TRY_MM
            out[rows, number[nearest, axis]] = change
    return out


def _least_point(g: FloatArray, h: FloatArray) -> FloatArray | None:
    """Return the point nearest to the origin with g y ≥ h, or None where there is none (Lawson and Hanson, 23.27)."""
    k = g.shape[1]
    if not len(h) or float(h.max()) <= 0.0:
        return np.zeros(k)
    size = np.maximum(np.sqrt((g * g).sum(axis=1)), 1e-12)
    e = np.vstack([(g / size[:, None]).T, h / size])
    f = np.zeros(k + 1)
    f[-1] = 1.0
    try:
        u, _ = nnls(e, f, maxiter=50 * k + 200)
    except RuntimeError:
        return None
    r = e @ u - f
    if abs(r[-1]) < 1e-10:
        return None
    return cast(FloatArray, -r[:-1] / r[-1])
