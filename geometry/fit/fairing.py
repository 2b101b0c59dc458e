"""A drawn line as a linear function of where its nodes stand across, so that it can be solved for.

A line's splines run over the chord length of its nodes. For nodes at given heights that stand about where a guess
puts them, the chords, the directions and the speeds are those of the guess, and place, slope and bend are linear in
the unknown places across. A few rounds settle it. So what is solved for is the very line that nodes will draw, not a
stand-in that is fitted afterwards.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, cast

import numpy as np
from scipy.interpolate import CubicSpline

from geometry.project import Node
from geometry.solids import FloatArray

U_DECIMALS: Final = 4
Z_DECIMALS: Final = 2
"""Fitted nodes stand at heights of a hundredth and places of a ten-thousandth of a millimetre: short to read."""

PAST_END_MM: Final = 3.0
"""How far past a free end the line's straight run is looked at: a slot that leans still borders on the face there."""


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Places along a line whose nodes stand across at x (k,): place ``c0 @ x``, derivatives ``c1 @ x``, ``c2 @ x``.

    Attributes
    ----------
    c0, c1, c2 : (n, k) place across and its derivatives by the chord length
    z, dz, ddz : (n,) height and its derivatives
    is_curve : (n,) True where the line bends: neither on a post nor past an end
    """

    c0: FloatArray
    c1: FloatArray
    c2: FloatArray
    z: FloatArray
    dz: FloatArray
    ddz: FloatArray
    is_curve: FloatArray

    def normals(self, x: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return the unit vectors to the left of the line, (n,) across and (n,) up."""
        du = self.c1 @ x
        speed = np.hypot(du, self.dz)
        return cast(FloatArray, -self.dz / speed), cast(FloatArray, du / speed)

    def bends(self, x: FloatArray) -> FloatArray:
        """Return the rows (m, k) that give the curvature in 1/mm, with the speeds of the guess ``x``."""
        curve = self.is_curve > 0.0
        speed = np.hypot(self.c1[curve] @ x, self.dz[curve])
        rows = self.ddz[curve, None] * self.c1[curve] - self.dz[curve, None] * self.c2[curve]
        return cast(FloatArray, rows / speed[:, None] ** 3)


@dataclass(frozen=True, slots=True)
class Heights:
    """Where the nodes of a line stand: those of its curve, and the far ends of posts below and above it.

    Attributes
    ----------
    curve : heights of the curve's nodes, rising
    foot, top : height of the end of a post below or above the curve, or None
    """

    curve: tuple[float, ...]
    foot: float | None = None
    top: float | None = None

    def nodes(self, x: FloatArray) -> tuple[Node, ...]:
        """Return the nodes that stand across at ``x`` (k,), the places of the curve's nodes."""
        across = [round(float(u), U_DECIMALS) + 0.0 for u in x]
        straight = len(self.curve) == 2
        nodes = [Node((u, z), "corner" if straight else "smooth") for u, z in zip(across, self.curve, strict=True)]
        if self.foot is not None:
            nodes[0] = Node(nodes[0].at, "corner", True)
            nodes.insert(0, Node((across[0], self.foot), "corner"))
        if self.top is not None:
            nodes[-1] = Node(nodes[-1].at, "corner", True)
            nodes.append(Node((across[-1], self.top), "corner"))
        return tuple(nodes)

    def rows(
        self, x: FloatArray, spacing: float, past_end: float = PAST_END_MM, also: FloatArray | None = None
    ) -> Rows:
        """Return the rows of the line whose nodes stand across at about ``x``.

        Parameters
        ----------
        x : (k,) the guess
        spacing : how far apart the places are to be, in millimetres
        past_end : how far past a free end to look
        also : (m,) heights that are to be looked at as well
        """
        z = np.array(self.curve)
        chords = np.hypot(np.diff(x), np.diff(z))
        s = np.concatenate([[0.0], np.cumsum(chords)])
        counts = np.maximum(2, np.ceil(chords / spacing).astype(int))
        t = np.concatenate([*(a + np.arange(n) * (c / n) for a, c, n in zip(s, chords, counts, strict=False)), s[-1:]])
        k = len(x)
        # one spline for the nodes' shares and, in the last column, for the height
        free, upright = np.zeros(k + 1), np.append(np.zeros(k), 1.0)
        ends = tuple((2, free) if post is None else (1, upright) for post in (self.foot, self.top))
        spline = CubicSpline(s, np.column_stack([np.eye(k), z]), bc_type=ends)
        if also is not None and len(also):
            inside = also[(also > z[0]) & (also < z[-1])]
            t = np.unique(np.concatenate([t, np.interp(inside, spline(t)[:, k], t)]))
        place, first_by, second_by = spline(t), spline(t, 1), spline(t, 2)
        parts = [
            Rows(
                place[:, :k], first_by[:, :k], second_by[:, :k], place[:, k], first_by[:, k], second_by[:, k],
                np.ones(len(t)),
            )
        ]  # fmt: skip
        for end, post, way in ((0, self.foot, -1.0), (-1, self.top, 1.0)):
            first = parts[0]
            if post is None:
                far = np.array([past_end]) * way
                c0 = first.c0[end] + far[:, None] * first.c1[end]
                c1, at = first.c1[[end]], first.z[end] + far * first.dz[end]
                dz = first.dz[[end]]
            else:
                steps = max(2, int(abs(post - z[end]) / (4.0 * spacing)))
                at = np.linspace(z[end], post, steps + 1)[1:]
                c0 = np.repeat(first.c0[[end]], steps, axis=0)
                c1, dz = np.zeros((steps, k)), np.ones(steps)
            none = np.zeros(len(at))
            parts.append(Rows(c0, c1, np.zeros_like(c1), at, dz, none, none))
        return Rows(*(np.concatenate([getattr(p, f) for p in parts]) for f in Rows.__slots__))


def spread(low: float, high: float, count: int, z: FloatArray, u: FloatArray) -> tuple[float, ...]:
    """Return heights for ``count`` nodes from ``low`` to ``high``, closer together where a curve bends more.

    Parameters
    ----------
    low, high, count : of the nodes
    z, u : (n,) the curve, at even heights
    """
    if count <= 2:
        return (low, high)
    inside = (z >= low) & (z <= high)
    even = np.linspace(low, high, 97)
    curve = np.interp(even, z[inside], u[inside]) if inside.sum() > 3 else np.zeros(97)
    bend = np.abs(np.gradient(np.gradient(curve, even), even))
    bend = np.convolve(np.pad(bend, 4, mode="edge"), np.ones(9) / 9.0, mode="valid") ** 0.4
    density = bend / max(float(bend.mean()), 1e-12) + 0.6
    total = np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2.0)])
    places = np.interp(np.linspace(0.0, total[-1], count), total, even)
    return (low, *(round(float(p), Z_DECIMALS) for p in places[1:-1]), high)


CLOSEST_MM: Final = 3.0
"""Nodes closer together than this draw no curve that a blade follows."""


def where_needed(
    ends: Heights, z: FloatArray, u: FloatArray, nearness: Sequence[float], most: int
) -> Iterator[Heights]:
    """Give node heights with which a line comes near a curve, a node at a time where it is furthest off.

    Parameters
    ----------
    ends : the heights to begin with, and the posts
    z, u : (n,) the curve, at rising heights
    nearness : how near the line is to come, wide to narrow; heights are given for each
    most : number of nodes at which to stop
    """
    curve = list(ends.curve)
    spacing = max((curve[-1] - curve[0]) / 240.0, 0.5)
    wanted = list(nearness)
    while wanted:
        heights = Heights(tuple(curve), ends.foot, ends.top)
        rows = heights.rows(np.interp(curve, z, u), spacing, past_end=0.0)
        inside = rows.is_curve > 0.0
        c0, target = rows.c0[inside], np.interp(rows.z[inside], z, u)
        off = np.abs(c0 @ np.linalg.lstsq(c0, target, rcond=None)[0] - target)
        reached = [w for w in wanted if off.max() <= w]
        if reached or len(curve) >= most:
            yield heights
            wanted = [w for w in wanted if w not in reached]
            if len(curve) >= most:
                return
            if not wanted:
                return
        gaps = np.diff(curve)
        which = np.clip(np.searchsorted(curve, rows.z[inside], side="right") - 1, 0, len(gaps) - 1)
        off[gaps[which] < 2.0 * CLOSEST_MM] = 0.0
        if off.max() <= 0.0:
            yield heights
            return
        # every stretch that is far off gets its node at once: fewer rounds, hardly more nodes
        bad = np.unique(which[off >= max(0.5 * float(off.max()), min(wanted[0], float(off.max())))])
        for k in bad[::-1][-(most - len(curve)) :]:
            curve.insert(int(k) + 1, round((curve[k] + curve[k + 1]) / 2.0, Z_DECIMALS))
