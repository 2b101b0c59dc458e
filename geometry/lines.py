"""A drawn line as exact cubic pieces: straight stretches and free drafting splines.

The same pieces serve the screen, the radius check, the saw and the paper; nothing re-fits them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from scipy.interpolate import CubicSpline

from geometry.project import Cut, Node
from geometry.solids import BoolArray, FloatArray, IntArray
from geometry.tolerances import SAME_NODE_MM


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A plane path from the foot end to the top end.

    Attributes
    ----------
    pieces : (n, 4, 2) float64
        Bézier points of each cubic piece, in millimetres, as (u, z): across and up
    is_straight : (n,) bool
        True for a stretch that is straight by construction
    kinks : tuple of int
        numbers of the pieces that start at a corner where the direction may jump (the line's ends never do)
    """

    pieces: FloatArray
    is_straight: BoolArray
    kinks: tuple[int, ...]

    @property
    def start(self) -> FloatArray:
        """First point, (u, z)."""
        return cast(FloatArray, self.pieces[0, 0])

    @property
    def end(self) -> FloatArray:
        """Last point, (u, z)."""
        return cast(FloatArray, self.pieces[-1, 3])

    @property
    def start_direction(self) -> FloatArray:
        """Unit vector along the line where it begins."""
        return first_direction(self.pieces[0])

    @property
    def end_direction(self) -> FloatArray:
        """Unit vector along the line where it ends."""
        return -first_direction(self.pieces[-1, ::-1])

    def at(self, piece: IntArray, t: FloatArray) -> FloatArray:
        """Return the points (k, 2) at parameters ``t`` (k,) in 0..1 of the pieces numbered ``piece`` (k,)."""
        p = self.pieces[piece]
        s = 1.0 - t
        w = np.stack([s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t], axis=-1)
        return cast(FloatArray, np.einsum("ki,kij->kj", w, p))

    def velocity(self, piece: IntArray, t: FloatArray) -> FloatArray:
        """Return the first derivatives (k, 2) by the parameter of each piece."""
        d = 3.0 * np.diff(self.pieces[piece], axis=1)
        s = 1.0 - t
        w = np.stack([s * s, 2 * s * t, t * t], axis=-1)
        return cast(FloatArray, np.einsum("ki,kij->kj", w, d))

    def acceleration(self, piece: IntArray, t: FloatArray) -> FloatArray:
        """Return the second derivatives (k, 2) by the parameter of each piece."""
        d = 6.0 * np.diff(self.pieces[piece], n=2, axis=1)
        w = np.stack([1.0 - t, t], axis=-1)
        return cast(FloatArray, np.einsum("ki,kij->kj", w, d))


def first_direction(bezier: FloatArray) -> FloatArray:
    """Return the unit vector (2,) in which a cubic (4, 2) leaves its first point, even where its speed is zero."""
    for k in (1, 2, 3):
        d = bezier[k] - bezier[0]
        length = float(np.hypot(*d))
        if length > 0.0:
            return cast(FloatArray, d / length)
    return np.array([0.0, 1.0])


def line_of(cut: Cut, length_mm: float) -> Line:
    """Return the line of a cut; without nodes the straight centre line from (0, 0) to (0, length)."""
    if not cut.nodes:
        return line_through((Node((0.0, 0.0), "corner"), Node((0.0, length_mm), "corner")))
    return line_through(cut.nodes)


def line_through(nodes: Sequence[Node]) -> Line:
    """Return the line through two or more nodes, in order from foot to top.

    Between two consecutive corners the line is straight. A run of smooth nodes, with the corner or the end on either
    side of it, is one interpolating cubic spline over the chord length, continuous in curvature, with no curvature
    at its ends (a free drafting spline). Where a run meets a straight stretch at a corner marked ``tangent`` it
    leaves along that stretch instead: its derivative there is the unit vector along the stretch.
    """
    nodes = _apart(nodes)
    points = np.array([n.at for n in nodes], dtype=np.float64)
    last = len(nodes) - 1
    breaks = [0, *(i for i in range(1, last) if nodes[i].kind == "corner"), last]
    runs = list(zip(breaks[:-1], breaks[1:], strict=True))
    straight = [j == i + 1 and nodes[i].kind == "corner" and nodes[j].kind == "corner" for i, j in runs]
    pieces: list[FloatArray] = []
    flags: list[bool] = []
    kinks: list[int] = []
    for r, (i, j) in enumerate(runs):
        if r:
            kinks.append(sum(len(p) for p in pieces))
        if straight[r]:
            pieces.append(_straight_piece(points[i], points[j])[None])
        else:
            before = _unit(points[i] - points[i - 1]) if r and straight[r - 1] and nodes[i].tangent else None
            follows = r + 1 < len(runs) and straight[r + 1] and nodes[j].tangent
            after = _unit(points[j + 1] - points[j]) if follows else None
            pieces.append(_spline_pieces(points[i : j + 1], before, after))
        flags += [straight[r]] * len(pieces[-1])
    return Line(np.concatenate(pieces), np.array(flags), tuple(kinks))


def _apart(nodes: Sequence[Node]) -> Sequence[Node]:
    """Return the nodes without those that differ from the one before only by rounding; both ends stay."""
    kept = [nodes[0]]
    for node in nodes[1:-1]:
        if math.dist(node.at, kept[-1].at) > SAME_NODE_MM:
            kept.append(node)
    while len(kept) > 1 and math.dist(nodes[-1].at, kept[-1].at) <= SAME_NODE_MM:
        kept.pop()
    return [*kept, nodes[-1]]


def _unit(v: FloatArray) -> FloatArray:
    return cast(FloatArray, v / np.hypot(*v))


def _straight_piece(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.stack([a, a + (b - a) / 3.0, b - (b - a) / 3.0, b])


def _spline_pieces(points: FloatArray, before: FloatArray | None, after: FloatArray | None) -> FloatArray:
    """Return the Bézier points (n - 1, 4, 2) of the spline through (n, 2) points."""
    chords = np.hypot(*np.diff(points, axis=0).T)
    s = np.concatenate([[0.0], np.cumsum(chords)])
    free = (2, np.zeros(2))
    ends = (free if before is None else (1, before), free if after is None else (1, after))
    slopes = CubicSpline(s, points, bc_type=ends)(s, 1)
    h = chords[:, None] / 3.0
    return np.stack([points[:-1], points[:-1] + h * slopes[:-1], points[1:] - h * slopes[1:], points[1:]], axis=1)
