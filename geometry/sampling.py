"""From exact pieces to the fewest points a chord tolerance asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
import shapely

from geometry.curvature import curvature
from geometry.lines import Line
from geometry.solids import FloatArray, IntArray

_PROBES = 16
"""Places per piece at which the curvature is looked at to lay out the points; the chords are checked after."""

_MANY_NODES = 64
"""Fewer nodes than this are all kept: they cost nothing."""

_FINE = 0.2
"""Of the chord tolerance, what the points before thinning take; the rest is for the thinning."""


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """Points along a line, in order, with the exact direction at each.

    A corner stands twice, once with the direction it is reached in and once with the direction it is left in.

    Attributes
    ----------
    piece, t : (n,) where each point lies: number of the piece and parameter 0..1 on it
    points : (n, 2) float64, millimetres, (u, z)
    directions : (n, 2) unit vectors along the line
    """

    piece: IntArray
    t: FloatArray
    points: FloatArray
    directions: FloatArray

    @property
    def normals(self) -> FloatArray:
        """Unit vectors (n, 2) to the left of the line."""
        return np.stack([-self.directions[:, 1], self.directions[:, 0]], axis=1)


def sample(line: Line, chord_mm: float, offset_mm: float = 0.0) -> Samples:
    """Return points so close that no chord strays further than ``chord_mm`` from the line.

    With an offset the same holds for the two parallel curves at that distance, the edges of a slot, wherever the
    line bends less tightly than the offset.

    The points are laid out so that each chord strays about as far as allowed: a chord of length d strays
    κ d² / 8, so their density is sqrt(κ / (8 · chord)). Each chord is then checked and, where need be, halved.
    """
    n = len(line.pieces)
    probe_t = (np.arange(_PROBES) + 0.5) / _PROBES
    piece = np.repeat(np.arange(n), _PROBES)
    t = np.tile(probe_t, n)
    kappa = np.minimum(np.abs(curvature(line, piece, t)), 1.0 / chord_mm)
    speed = np.hypot(*line.velocity(piece, t).T)
    stray = kappa * (1.0 + np.minimum(kappa * offset_mm, 1.0))
    density = (speed * np.sqrt(stray / (8.0 * chord_mm))).reshape(n, _PROBES)
    cumulative = np.concatenate([np.zeros((n, 1)), np.cumsum(density, axis=1) / _PROBES], axis=1)
    # a hair more than the estimate: cheaper than halving a chord that strays by a thousandth too much
    counts = np.maximum(1, np.ceil(cumulative[:, -1] * 1.02 - 1e-9)).astype(np.int64)
    # a piece that takes one chord starts one; the others are laid out one by one
    one = np.flatnonzero(counts == 1)
    pieces: list[IntArray] = [one]
    params: list[FloatArray] = [np.zeros(len(one))]
    grid = np.linspace(0.0, 1.0, _PROBES + 1)
    for i in np.flatnonzero(counts > 1):
        c = int(counts[i])
        steps = cumulative[i] + np.linspace(0.0, 1e-9, _PROBES + 1)  # strictly rising, for the inverse
        inner = np.interp(np.arange(c) * steps[-1] / c, steps, grid)
        inner[0] = 0.0
        pieces.append(np.full(c, i))
        params.append(inner)
    # nodes much closer together than the tolerance asks for: most of them need not be corners of the polyline
    asked = float(cumulative[:, -1].sum())
    if n > _MANY_NODES and n > 2.0 * asked:
        fine = _laid_out(line, pieces, params, _FINE * chord_mm, offset_mm)
        bend = float(np.max(kappa)) if len(kappa) else 0.0
        return _thinned(fine, (1.0 - _FINE) * chord_mm / (1.0 + min(bend * offset_mm, 1.0)), line)
    return _laid_out(line, pieces, params, chord_mm, offset_mm)


def _laid_out(
    line: Line, pieces: list[IntArray], params: list[FloatArray], chord_mm: float, offset_mm: float
) -> Samples:
    piece, t = np.concatenate(pieces), np.concatenate(params)
    order = np.lexsort((t, piece))
    return _with_ends(line, *_halved(line, piece[order], t[order], chord_mm, offset_mm))


def _thinned(samples: Samples, chord_mm: float, line: Line) -> Samples:
    """Return as few of the samples as keep all others within a distance of the polyline (Douglas and Peucker).

    Corners and ends stay. Each point carries its number as a third coordinate, by which it is known again.
    """
    starts = np.isin(samples.piece, line.kinks) & (samples.t == 0.0)
    borders = [0, *np.flatnonzero(starts).tolist(), len(samples.t)]
    kept: list[IntArray] = []
    for a, b in zip(borders[:-1], borders[1:], strict=True):
        numbered = np.column_stack([samples.points[a:b], np.arange(a, b)])
        if b - a > 2:
            numbered = shapely.get_coordinates(
                shapely.simplify(shapely.LineString(numbered), chord_mm, preserve_topology=False), include_z=True
            )
        kept.append(numbered[:, 2].astype(np.int64))
    keep = np.concatenate(kept)
    return Samples(samples.piece[keep], samples.t[keep], samples.points[keep], samples.directions[keep])


def _halved(
    line: Line, piece: IntArray, t: FloatArray, chord_mm: float, offset_mm: float
) -> tuple[IntArray, FloatArray]:
    """Halve the chords that stray too far until none does; starts (k,) of chords in, starts of chords out."""
    done_piece, done_t = piece, t
    stop = np.where(np.append(piece[1:] == piece[:-1], False), np.append(t[1:], 1.0), 1.0)
    for _ in range(24):
        bad = chord_errors(line, piece, t, stop, offset_mm) > chord_mm
        if not bad.any():
            break
        piece, t, stop = piece[bad], t[bad], stop[bad]
        mid = (t + stop) / 2.0
        done_piece, done_t = np.concatenate([done_piece, piece]), np.concatenate([done_t, mid])
        piece = np.concatenate([piece, piece])
        t, stop = np.concatenate([t, mid]), np.concatenate([mid, stop])
    order = np.lexsort((done_t, done_piece))
    return done_piece[order], done_t[order]


def chord_errors(line: Line, piece: IntArray, lo: FloatArray, hi: FloatArray, offset_mm: float = 0.0) -> FloatArray:
    """Return how far each stretch lo..hi (k,) of a piece strays from its chord, in millimetres.

    Without an offset the answer is exact: the distance from the chord's line is a cubic in the parameter that is
    zero at both ends, so its extremes are the roots of a quadratic. With an offset the parallel curves are probed
    at seven places as well.
    """
    a, b = line.at(piece, lo), line.at(piece, hi)
    along = b - a
    length = np.hypot(along[:, 0], along[:, 1])
    safe = np.where(length > 0.0, length, 1.0)
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1) / safe[:, None]
    span = hi - lo
    va, vb = line.velocity(piece, lo) * span[:, None], line.velocity(piece, hi) * span[:, None]
    # distance as a Bézier cubic 0, p, q, 0: 3 s² t p + 3 s t² q
    p, q = np.einsum("ki,ki->k", va, normal) / 3.0, -np.einsum("ki,ki->k", vb, normal) / 3.0
    worst = np.zeros(len(lo))
    # derivative / 3: p + t (2 q - 4 p) + t² (3 p - 3 q)
    qa, qb, qc = 3.0 * (p - q), 2.0 * q - 4.0 * p, p
    root = np.sqrt(np.maximum(qb * qb - 4.0 * qa * qc, 0.0))
    denominator = -(qb + np.where(qb < 0.0, -root, root))
    with np.errstate(divide="ignore", invalid="ignore"):
        for t in (denominator / (2.0 * qa), 2.0 * qc / denominator):
            t = np.where(np.isfinite(t), np.clip(t, 0.0, 1.0), 0.5)
            worst = np.maximum(worst, np.abs(3.0 * (1.0 - t) * t * ((1.0 - t) * p + t * q)))
    worst = np.where(length > 0.0, worst, np.hypot(va[:, 0], va[:, 1]))
    # where the line sets out or arrives against the chord it runs past the chord's end: at most a quarter of its speed
    backwards = np.maximum(-np.einsum("ki,ki->k", va, along), -np.einsum("ki,ki->k", vb, along)) / safe
    worst = np.maximum(worst, backwards / 4.0)
    if offset_mm > 0.0:
        probes = np.arange(1, 8) / 8.0
        count = len(lo)
        many = np.repeat(piece, 9)
        t = (lo[:, None] + span[:, None] * np.concatenate([[0.0], probes, [1.0]])).ravel()
        points, velocity = line.at(many, t), line.velocity(many, t)
        speed = np.hypot(velocity[:, 0], velocity[:, 1])
        left = np.stack([-velocity[:, 1], velocity[:, 0]], axis=1) / np.where(speed > 0.0, speed, 1.0)[:, None]
        for side in (offset_mm, -offset_mm):
            edge = (points + side * left).reshape(count, 9, 2)
            worst = np.maximum(worst, _stray(edge))
    return cast(FloatArray, worst)


def _stray(polylines: FloatArray) -> FloatArray:
    """Return the largest distance (k,) of the points of (k, m, 2) from the chords of their ends."""
    a, b = polylines[:, :1], polylines[:, -1:]
    along = b - a
    length = np.hypot(along[..., 0], along[..., 1])
    rel = polylines - a
    cross = np.abs(along[..., 0] * rel[..., 1] - along[..., 1] * rel[..., 0])
    far = np.hypot(rel[..., 0], rel[..., 1])
    return cast(FloatArray, np.where(length > 0.0, cross / np.where(length > 0.0, length, 1.0), far).max(axis=1))


def _with_ends(line: Line, piece: IntArray, t: FloatArray) -> Samples:
    """Close each run of pieces with its end point, so that corners stand twice, and add directions."""
    last = len(line.pieces) - 1
    ends = np.array([*(k - 1 for k in line.kinks), last])
    piece, t = np.concatenate([piece, ends]), np.concatenate([t, np.ones(len(ends))])
    order = np.lexsort((t, piece))
    piece, t = piece[order], t[order]
    points = line.at(piece, t)
    velocity = line.velocity(piece, t)
    speed = np.hypot(velocity[:, 0], velocity[:, 1])
    if (speed <= 0.0).any():
        # at a cusp the speed is zero: a hair further on the direction is that of the acceleration
        stuck = speed <= 0.0
        velocity[stuck] = line.acceleration(piece[stuck], t[stuck]) * np.where(t[stuck] < 0.5, 1.0, -1.0)[:, None]
        speed = np.hypot(velocity[:, 0], velocity[:, 1])
        velocity[speed <= 0.0] = (0.0, 1.0)
        speed = np.where(speed > 0.0, speed, 1.0)
    return Samples(piece, t, points, velocity / speed[:, None])
