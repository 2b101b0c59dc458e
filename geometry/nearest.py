"""Where on a line a pointed place is: the foot of the shortest way to it, and what lies at a height."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.lines import Line

_STATIONS = 48
"""Places per piece that are looked at first; a cubic has at most a few bends, so its nearest place is not missed."""


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
    target = np.array(point) * wide
    piece = np.repeat(np.arange(n), _STATIONS + 1)
    t = np.tile(np.linspace(0.0, 1.0, _STATIONS + 1), n)
    square = ((line.at(piece, t) * wide - target) ** 2).sum(axis=1)
    best = int(square.argmin())
    which, centre, width = int(piece[best]), float(t[best]), 1.0 / _STATIONS
    for _ in range(10):
        near = np.clip(centre + width * np.linspace(-1.0, 1.0, 21), 0.0, 1.0)
        places = line.at(np.full(len(near), which), near)
        square = ((places * wide - target) ** 2).sum(axis=1)
        centre = float(near[int(square.argmin())])
        width /= 8.0
    u, z = line.at(np.array([which]), np.array([centre]))[0]
    distance = float(np.hypot(*(np.array([u, z]) * wide - target)))
    return NearestPlace(which, centre, (float(u), float(z)), distance)


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
