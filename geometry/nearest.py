"""Where on a line a pointed place is: the foot of the shortest way to it, and what lies at a height."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.lines import Line
from geometry.solids import FloatArray

_STATIONS = 48
_CANDIDATES = 3
"""Places per piece that are looked at to tell the nearest pieces, and how many of those are solved exactly."""


@dataclass(frozen=True, slots=True)
class NearestPlace:
    """The place of a line that is nearest to a point.

    Attributes
    ----------
    piece, t : number of the piece and parameter 0..1 on it; piece i runs from node i to node i + 1
    at : the place, (u, z)
    distance_mm : from the point, in the stretched drawing if a stretch was given
    """

    piece: int
    t: float
    at: tuple[float, float]
    distance_mm: float


def nearest_place(line: Line, point: tuple[float, float], across_stretch: float = 1.0) -> NearestPlace:
    """Return the place of a line nearest to a point.

    Parameters
    ----------
    line : the line
    point : (u, z) in millimetres
    across_stretch : how many times wider than true the face is drawn, so that the nearest place is the one that
        looks nearest; the distance returned is that of the stretched drawing
    """
    wide = np.array([across_stretch, 1.0])
    n = len(line.pieces)
    stations = np.linspace(0.0, 1.0, _STATIONS + 1)
    points = line.at(np.repeat(np.arange(n), _STATIONS + 1), np.tile(stations, n))
    square = ((points - np.array(point)) * wide) ** 2
    rough = square.sum(axis=1).reshape(n, -1).min(axis=1)
    best: NearestPlace | None = None
    for i in np.argsort(rough, kind="stable")[:_CANDIDATES]:
        t = _square_to(line.pieces[i] * wide, np.array(point) * wide)
        places = line.at(np.full(len(t), i), t)
        distances = np.hypot(*((places - np.array(point)) * wide).T)
        k = int(distances.argmin())
        if best is None or distances[k] < best.distance_mm:
            best = NearestPlace(int(i), float(t[k]), (float(places[k, 0]), float(places[k, 1])), float(distances[k]))
    assert best is not None  # a line has at least one piece
    return best


def _square_to(bezier: FloatArray, point: FloatArray) -> FloatArray:
    """Return the parameters (k,) of a cubic (4, 2) where the way to a point is square to it, and those of its ends.

    With p(t) the cubic less the point, p · p' = 0: a polynomial of degree 5.
    """
    p0, p1, p2, p3 = bezier
    power = np.stack([p3 - p0 + 3 * (p1 - p2), 3 * (p0 - 2 * p1 + p2), 3 * (p1 - p0), p0 - point])  # highest first
    slope = power[:3] * [[3.0], [2.0], [1.0]]
    product = np.convolve(power[:, 0], slope[:, 0]) + np.convolve(power[:, 1], slope[:, 1])
    product = np.where(np.abs(product) < 1e-14 * np.abs(product).max(), 0.0, product)
    roots = np.roots(product)
    # a double root splits into a pair a little off the axis
    real = roots.real[(np.abs(roots.imag) < 1e-4) & (roots.real > 0.0) & (roots.real < 1.0)]
    return np.concatenate([[0.0, 1.0], real])


def passes_of_height(line: Line, z_mm: float) -> list[tuple[int, float, float]]:
    """Return (piece, t, u) of each place where the line is at a height, in the order of the line.

    Exact: the real roots of each piece's cubic in z. A stretch that lies level at that height counts at its start.
    """
    found: list[tuple[int, float, float]] = []
    z = line.pieces[:, :, 1] - z_mm
    crossed = np.flatnonzero((z.min(axis=1) <= 0.0) & (z.max(axis=1) >= 0.0))
    for i in crossed:
        a, b, c, d = z[i]
        scale = float(np.abs(z[i]).max())
        power = np.array([d - a + 3 * (b - c), 3 * (a - 2 * b + c), 3 * (b - a), a])
        if scale == 0.0:
            found.append((int(i), 0.0, float(line.pieces[i, 0, 0])))
            continue
        roots = np.roots(np.where(np.abs(power) < 1e-13 * scale, 0.0, power))
        real = np.sort(roots.real[(np.abs(roots.imag) < 1e-6) & (roots.real > -1e-9) & (roots.real < 1.0 + 1e-9)])
        for t in np.clip(real, 0.0, 1.0):
            u = float(line.at(np.array([i]), np.array([t]))[0, 0])
            # the end of one piece is the start of the next: one place, not two
            if found and found[-1][0] + found[-1][1] >= i + t - 1e-6 and abs(found[-1][2] - u) < 1e-6:
                continue
            found.append((int(i), float(t), u))
    return found
