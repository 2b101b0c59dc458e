"""Length, radius and extent of a line, found on its exact cubic pieces and not on samples."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import cast

import numpy as np

from geometry.lines import Line, first_direction
from geometry.solids import FloatArray, IntArray
from geometry.tolerances import CUSP_SPEED, STRAIGHT_CURVATURE_PER_MM


@dataclass(frozen=True, slots=True)
class TightestBend:
    """The tightest radius of a line in millimetres and its place (u, z)."""

    radius_mm: float
    at: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Extent:
    """The furthest a line goes: least and greatest u and z, each with its place (u, z)."""

    least_u: tuple[float, float]
    greatest_u: tuple[float, float]
    least_z: tuple[float, float]
    greatest_z: tuple[float, float]


def curvature(line: Line, piece: IntArray, t: FloatArray) -> FloatArray:
    """Return the signed curvature (k,) in 1/mm, positive where the line bends to the left; infinite at a cusp."""
    v, a = line.velocity(piece, t), line.acceleration(piece, t)
    cross = v[:, 0] * a[:, 1] - v[:, 1] * a[:, 0]
    speed = np.hypot(v[:, 0], v[:, 1])
    flat = np.abs(cross) <= STRAIGHT_CURVATURE_PER_MM * speed**3
    # at a cusp the line stops and turns back, be it straight back along itself
    legs = np.diff(line.pieces[piece], axis=1)
    stopped = speed <= CUSP_SPEED * np.hypot(legs[..., 0], legs[..., 1]).max(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(stopped, np.inf, np.where(flat, 0.0, cross / speed**3))


def _power_form(line: Line) -> FloatArray:
    """Return the coefficients (n, 4, 2) of 1, t, t², t³."""
    p0, p1, p2, p3 = (line.pieces[:, i] for i in range(4))
    return np.stack([p0, 3 * (p1 - p0), 3 * (p0 - 2 * p1 + p2), p3 - p0 + 3 * (p1 - p2)], axis=1)


def _product(a: FloatArray, b: FloatArray) -> FloatArray:
    """Multiply polynomials row by row: (n, i) times (n, j) to (n, i + j - 1)."""
    out = np.zeros((len(a), a.shape[1] + b.shape[1] - 1))
    for k in range(b.shape[1]):
        out[:, k : k + a.shape[1]] += a * b[:, k : k + 1]
    return out


def _derivative(a: FloatArray) -> FloatArray:
    return cast(FloatArray, a[:, 1:] * np.arange(1, a.shape[1]))


def _roots_inside(a: FloatArray) -> tuple[IntArray, FloatArray]:
    """Return (row, t) of the real roots in 0..1 of polynomials (n, k), lowest coefficient first.

    Roots of the companion matrices, row by row at once. A leading coefficient that is nothing beside the others
    sends its roots to infinity, which is where they belong; the rows are scaled first so that this is seen.
    """
    scale = np.abs(a).max(axis=1)
    rows = np.flatnonzero(scale > 0.0)
    if not len(rows) or a.shape[1] < 2:
        return np.zeros(0, dtype=np.int64), np.zeros(0)
    c = a[rows] / scale[rows, None]
    lead = c[:, -1]
    lead = np.where(np.abs(lead) < 1e-12, np.where(lead < 0, -1e-12, 1e-12), lead)
    degree = c.shape[1] - 1
    companion = np.zeros((len(rows), degree, degree))
    companion[:, np.arange(1, degree), np.arange(degree - 1)] = 1.0
    companion[:, :, -1] = -c[:, :-1] / lead[:, None]
    roots = np.linalg.eigvals(companion)
    # a double root splits into a pair a little off the axis: its real part is still the place to look at
    real = (np.abs(roots.imag) < 1e-3) & (roots.real > 0.0) & (roots.real < 1.0)
    which, _ = np.nonzero(real)
    return rows[which], cast(FloatArray, roots.real[real])


@lru_cache(maxsize=32)  # by identity: the saw, the checks and the report ask for the same lines
def tightest_bend(line: Line) -> TightestBend | None:
    """Return the tightest bend of the curved pieces, or None where the line is all straight.

    On a cubic the curvature is N / S^(3/2) with N = u'z'' - z'u'' (degree 2) and S = u'² + z'² (degree 4); where it
    is extreme, 2 N' S - 3 N S' = 0 (degree 5). Those roots, the speed's own minima (cusps) and the ends of the
    pieces are looked at; nothing is sampled. The jump of direction at a corner does not count.
    """
    curved = np.flatnonzero(~line.is_straight)
    if not len(curved):
        return None
    power = _power_form(line)[curved]
    du, dz = _derivative(power[:, :, 0]), _derivative(power[:, :, 1])
    n = _product(du, _derivative(dz)) - _product(dz, _derivative(du))
    n = n[:, :3]  # the cubic terms cancel
    s = _product(du, du) + _product(dz, dz)
    extreme = 2.0 * _product(_derivative(n), s) - 3.0 * _product(n, _derivative(s))
    rows, t = _roots_inside(extreme)
    slow_rows, slow_t = _roots_inside(_derivative(s))
    count = len(curved)
    piece = curved[np.concatenate([rows, slow_rows, np.arange(count), np.arange(count)])]
    t = np.concatenate([t, slow_t, np.zeros(count), np.ones(count)])
    k = np.abs(curvature(line, piece, t))
    best = int(np.argmax(k))
    if k[best] == 0.0:
        return None
    u, z = line.at(piece[best : best + 1], t[best : best + 1])[0]
    return TightestBend(0.0 if np.isinf(k[best]) else float(1.0 / k[best]), (float(u), float(z)))


def extent(line: Line) -> Extent:
    """Return how far the line goes in each direction, exactly."""
    power = _power_form(line)
    places = [line.pieces[:, 0], line.pieces[-1:, 3]]
    for axis in (0, 1):
        rows, t = _roots_inside(_derivative(power[:, :, axis]))
        places.append(line.at(rows, t))
    all_places = np.concatenate(places)

    def place(index: int) -> tuple[float, float]:
        return float(all_places[index, 0]), float(all_places[index, 1])

    u, z = all_places.T
    return Extent(place(int(u.argmin())), place(int(u.argmax())), place(int(z.argmin())), place(int(z.argmax())))


def highs_and_lows(line: Line) -> FloatArray:
    """Return the places (k, 2) at which the line turns from climbing to falling or back, with both ends, in order."""
    count = len(line.pieces)
    rows, t = _roots_inside(_derivative(_power_form(line)[:, :, 1]))
    rows, t = np.concatenate([np.arange(count), rows, [count - 1]]), np.concatenate([np.zeros(count), t, [1.0]])
    order = np.lexsort((t, rows))
    places = line.at(rows[order], t[order])
    # between these places the height only climbs or only falls; keep those where that changes
    places = places[np.append(True, np.diff(places[:, 1]) != 0.0)]
    climbs = np.diff(places[:, 1]) > 0.0
    return cast(FloatArray, places[np.concatenate([[True], climbs[1:] != climbs[:-1], [True]])[: len(places)]])


@lru_cache(maxsize=8)
def _gauss(count: int) -> tuple[FloatArray, FloatArray]:
    x, w = np.polynomial.legendre.leggauss(count)
    return (x + 1.0) / 2.0, w / 2.0


def piece_lengths(line: Line) -> FloatArray:
    """Return the arc length (n,) of each piece in millimetres, to about 1e-9 of it.

    Gauss-Legendre quadrature of the speed; pieces on which two orders disagree (near a cusp) are halved until
    they agree.
    """

    def quadrature(piece: IntArray, lo: FloatArray, hi: FloatArray, order: int) -> FloatArray:
        x, w = _gauss(order)
        t = lo[:, None] + (hi - lo)[:, None] * x
        v = line.velocity(np.repeat(piece, order), t.ravel())
        return cast(FloatArray, (hi - lo) * (np.hypot(v[:, 0], v[:, 1]).reshape(t.shape) @ w))

    chords = line.pieces[:, 3] - line.pieces[:, 0]
    lengths = np.where(line.is_straight, np.hypot(chords[:, 0], chords[:, 1]), 0.0)
    piece = np.flatnonzero(~line.is_straight)
    lo, hi = np.zeros(len(piece)), np.ones(len(piece))
    for _ in range(40):
        fine = quadrature(piece, lo, hi, 24)
        agree = np.abs(fine - quadrature(piece, lo, hi, 12)) <= 1e-10 * fine + 1e-13
        np.add.at(lengths, piece[agree], fine[agree])
        if agree.all():
            return lengths
        piece, lo, hi = piece[~agree], lo[~agree], hi[~agree]
        mid = (lo + hi) / 2.0
        piece = np.concatenate([piece, piece])
        lo, hi = np.concatenate([lo, mid]), np.concatenate([mid, hi])
    np.add.at(lengths, piece, quadrature(piece, lo, hi, 24))  # what is left is 2^-40 of a piece about a cusp
    return lengths


def corner_turns(line: Line) -> list[tuple[float, tuple[float, float]]]:
    """Return, for each corner within the line, the angle in radians by which it turns and its place (u, z)."""
    turns: list[tuple[float, tuple[float, float]]] = []
    for i in line.kinks:
        came, goes = -first_direction(line.pieces[i - 1, ::-1]), first_direction(line.pieces[i])
        angle = np.arctan2(came[0] * goes[1] - came[1] * goes[0], came @ goes)
        u, z = line.pieces[i, 0]
        turns.append((abs(float(angle)), (float(u), float(z))))
    return turns
