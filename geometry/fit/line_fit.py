"""The line whose band covers the outline: fair, on the face, no tighter than the blade.

The profile of a line is a band of one width, the blank's less the slot, that follows the line. Its right edge is the
slot's left edge moved by half the blank to the right, and the other way about; both are exact parallel curves here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal, cast

import numpy as np

from geometry.fit.fairing import Z_DECIMALS, Heights, Rows, spread, where_needed
from geometry.fit.outlines import Outline
from geometry.fit.saw import Saw
from geometry.fit.within import least_squares_giving
from geometry.project import Node
from geometry.solids import FloatArray

Follow = Literal["both", "right", "none"]
"""Which edges of the band lie on the outline: both (no trims), the right one, or neither."""

COVERS_WITHIN: Final = 0.02
"""Part of the tolerance by which the band may fall short of the outline: next to nothing, so that the blank comes out
as the closed form has it and not smaller by what the tolerance would forgive."""

SMOOTHING_MM: Final = 2.0
"""Features of an outline shorter than about six times this are ironed out where the tolerance allows."""

EASY_MM: Final = 60.0
"""The same for a line that is to be as easy as the corridor allows."""

_ROUNDS: Final = 4
_SETTLED_MM: Final = 2e-4


@dataclass(frozen=True, slots=True)
class Aim:
    """What a line is to do.

    Attributes
    ----------
    follow : which edges of its band are to lie on the outline
    easy : as fair as the tolerance allows, instead of as true as possible
    half : half the blank; None for as small as covers the outline
    """

    follow: Follow
    easy: bool = False
    half: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class LineFit:
    """A line and the half blank it needs.

    Attributes
    ----------
    nodes, half : the line and half the blank's size
    misses_mm : by how much its corridor had to give; 0 where it did not
    excess_mm : mean over the height of what the followed edge leaves too wide
    """

    nodes: tuple[Node, ...]
    half: float
    misses_mm: float
    excess_mm: float
    heights: Heights


@lru_cache(maxsize=64)
def centre_and_half(outline: Outline, saw: Saw) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return heights (n,), the middle of the outline there, and half the blank that a line down the middle needs."""
    z = np.linspace(0.0, outline.length, max(201, min(801, int(outline.length) + 1)))
    left, right = outline.left.at(z), outline.right.at(z)
    middle = (left + right) / 2.0
    slope = np.gradient(middle, z)
    return z, middle, cast(FloatArray, (right - left) / 2.0 + saw.half_slot * np.sqrt(1.0 + slope**2))


def fit_line(
    outline: Outline, saw: Saw, aim: Aim, heights: Heights, spacing: float, rounds: int = _ROUNDS
) -> LineFit | None:
    """Return the best line with nodes at given heights, or None where none keeps to the blade and the face.

    Parameters
    ----------
    outline : what is wanted
    saw : kerf, blade, wall, tolerance
    aim : what the line is to do
    heights : where its nodes stand
    spacing : how far apart the places are at which the corridor is looked at, in millimetres
    rounds : how often chords and directions are taken anew
    """
    z, middle, halves = centre_and_half(outline, saw)
    half = float(halves.max()) if aim.half is None else aim.half
    curve = np.array(heights.curve)
    wanted = middle if aim.follow != "right" else outline.right.at(z) - half + saw.half_slot
    x = np.interp(curve, z, wanted)
    found: tuple[FloatArray, float, float] | None = None
    lets_go = False
    left, right = (some[:MOST_CORNERS] for some in outline.corners)
    also = corners = np.array([*left, *right])
    for _ in range(rounds):
        rows = heights.rows(x, spacing, also=also)
        problem = _Problem(outline, saw, aim, rows, x, half)
        found = problem.solve(problem.softly(x, half) if lets_go else None)
        if found is None:
            return None
        new, half_new, gave = found
        if aim.follow == "right" and gave > 0.1 * saw.tolerance and not lets_go:
            # the edge cannot follow everywhere: rather a few long places too wide than many a little
            lets_go = True
            for _ in range(3):
                again = problem.solve(problem.softly(new, half_new))
                if again is None:
                    break
                new, half_new, gave = again
        moved = float(np.abs(new - x).max()) + abs(half_new - half)
        # an edge lies beside the line: the place that faces a corner of the outline lies a little below or above it
        up = rows.normals(new)[1]
        order = np.argsort(rows.z)
        beside = saw.half_slot * np.interp(corners, rows.z[order], up[order])
        also = corners + np.where(np.arange(len(corners)) < len(left), beside, -beside)
        x, half = new, half_new
        if moved < _SETTLED_MM:
            break
    rows = heights.rows(x, spacing, also=also)
    problem = _Problem(outline, saw, aim, rows, x, half)
    excess = problem.excess(x, half) if aim.follow == "right" else np.zeros(1)
    too_wide = float(np.maximum(excess - saw.within, 0.0).mean())
    assert found is not None
    return LineFit(heights.nodes(x), half, problem.short(x, half), too_wide, heights)


class _Problem:
    """One round: everything linear in the places across of the nodes and half the blank."""

    def __init__(self, outline: Outline, saw: Saw, aim: Aim, rows: Rows, x: FloatArray, half: float) -> None:
        self.outline, self.saw, self.aim, self.rows, self.guess, self.half = outline, saw, aim, rows, x, half
        across, up = rows.normals(x)
        self.lean = saw.half_slot * across  # what the slot takes off the band's right edge, less than nothing
        right_z, left_z = rows.z + saw.half_slot * up, rows.z - saw.half_slot * up
        self.on_right = (right_z >= -1e-9) & (right_z <= outline.length + 1e-9)
        self.on_left = (left_z >= -1e-9) & (left_z <= outline.length + 1e-9)
        self.right, self.left = outline.right.at(right_z), outline.left.at(left_z)
        self.least_half = float((self.right - self.left)[self.on_right & self.on_left].max()) / 2.0 + saw.half_slot

    def excess(self, x: FloatArray, half: float) -> FloatArray:
        """Return by how much the band's right edge lies outside the outline (n,)."""
        edge = self.rows.c0 @ x + half + self.lean
        return cast(FloatArray, np.where(self.on_right, edge - self.right, 0.0))

    def softly(self, x: FloatArray, half: float) -> FloatArray:
        """Return what it is to cost (n,) to stand out: the less, the further it does already (sums, not squares)."""
        return cast(FloatArray, 1.0 / np.sqrt(self.excess(x, half) ** 2 + self.saw.tolerance**2))

    def short(self, x: FloatArray, half: float) -> float:
        """Return by how much the band breaks its corridor where it may not: covering, and following both edges."""
        u = self.rows.c0 @ x
        right, left = (u + half + self.lean - self.right), (self.left - u + half + self.lean)
        right, left = right[self.on_right], left[self.on_left]
        cover = COVERS_WITHIN * self.saw.tolerance if self.aim.follow != "both" else self.saw.within
        worst = max(float((-right - cover).max()), float((-left - cover).max()))
        if self.aim.follow == "both":
            worst = max(worst, float((right - self.saw.within).max()), float((left - self.saw.within).max()))
        return max(worst, 0.0)

    def solve(self, soft: FloatArray | None) -> tuple[FloatArray, float, float] | None:
        """Return places across, half the blank, and by how much the corridor gave.

        ``soft`` (n,): how much it costs where the right edge lies outside; None where it may not at all.
        """
        rows, saw, aim, k = self.rows, self.saw, self.aim, len(self.guess)
        free = aim.half is None
        n = len(rows.z)
        one = np.ones((n, 1))

        def wide(c: FloatArray, by_half: float) -> FloatArray:
            return np.hstack([c, by_half * one[: len(c)]])

        # ---- limits
        cover = COVERS_WITHIN * saw.tolerance
        if aim.follow == "both" and not free:
            cover = saw.within
        limits: list[FloatArray] = []
        most: list[FloatArray] = []
        gives: list[float] = []

        def limit(c: FloatArray, h: FloatArray, by_half: float, give: float) -> None:
            limits.append(wide(c, by_half))
            most.append(h)
            gives.extend([give] * len(h))

        r, l_ = self.on_right, self.on_left
        limit(-rows.c0[r], (self.lean - self.right)[r] + cover, -1.0, 1.0)
        limit(rows.c0[l_], (self.lean + self.left)[l_] + cover, -1.0, 1.0)
        if aim.follow != "none" and soft is None:
            limit(rows.c0[r], (self.right - self.lean)[r] + saw.within, 1.0, 1.0)
        if aim.follow == "both":
            limit(-rows.c0[l_], (-self.left - self.lean)[l_] + saw.within, 1.0, 1.0)
        room = np.full(n, -saw.kerf / 2.0 - saw.wall - 1e-3)
        limit(rows.c0, room, -1.0, 0.0)
        limit(-rows.c0, room, -1.0, 0.0)
        if len(self.guess) > 2:
            bends = rows.bends(self.guess)
            tight = np.full(len(bends), saw.tightest_bend)
            limit(bends, tight, 0.0, 0.0)
            limit(-bends, tight, 0.0, 0.0)
        # ---- least squares
        a, b = self._wanted(soft)
        if free:
            # as small as covers; where both edges are followed they say so themselves
            pull = 0.02 if aim.follow == "both" else 30.0
            a, b = np.vstack([a, np.append(np.zeros(k), pull)]), np.append(b, pull * self.least_half)
        g, h = np.vstack(limits), np.concatenate(most)
        if not free:
            h, b = h - g[:, k] * self.half, b - a[:, k] * self.half
            g, a = g[:, :k], a[:, :k]
        found = least_squares_giving(a, b, g, h, np.array(gives))
        if found is None:
            return None
        x, gave = found
        return (x[:k], float(x[k]), gave) if free else (x, self.half, gave)

    def _wanted(self, soft: FloatArray | None) -> tuple[FloatArray, FloatArray]:
        rows, aim = self.rows, self.aim
        n = len(rows.z)
        mean = 1.0 / np.sqrt(n)
        smoothing = EASY_MM if aim.easy or aim.follow == "none" else SMOOTHING_MM
        closeness = 0.02 if aim.easy else 1e-3 if aim.follow == "none" else 1.0
        right = np.hstack([rows.c0, np.ones((n, 1))])
        left = np.hstack([rows.c0, -np.ones((n, 1))])
        bends = np.hstack([rows.c2, np.zeros((n, 1))])
        a, b = [smoothing**2 * mean * closeness * bends], [np.zeros(n)]
        if aim.follow == "right":
            weight = np.ones(n) if soft is None else soft / soft.max()
            a.append(mean * closeness * weight[:, None] * right)
            b.append(mean * closeness * weight * (self.right - self.lean))
        else:
            a += [mean * closeness * right, mean * closeness * left]
            b += [mean * closeness * (self.right - self.lean), mean * closeness * (self.left + self.lean)]
        return np.vstack(a), np.concatenate(b)


COUNTS: Final = (2, 3, 4, 5, 6, 8, 10, 13, 17)
LIVE_COUNTS: Final = (2, 5, 9)
NEARNESS: Final = (1.5, 0.75, 0.35, 0.15)
"""How near nodes are to bring a line to what it follows, in parts of what is allowed, tried in turn."""

MOST_NODES: Final = 32
MOST_LIVE: Final = 14
MOST_OWN: Final = 26
"""An outline with more nodes than this was traced: it is fitted with fewer."""

MOST_CORNERS: Final = 60
_APART_MM: Final = 1.0
_STUCK: Final = 3


def fit_lines(
    outline: Outline, saw: Saw, aim: Aim, live: bool, heights: Sequence[Heights] | None = None
) -> LineFit | None:
    """Return the line with the fewest nodes that does what it is to do, or the one that comes nearest.

    Parameters
    ----------
    outline, saw, aim : as for `fit_line`
    live : quickly
    heights : where nodes may stand; None to try many
    """
    best: LineFit | None = None
    lowest, least = math.inf, _needed(outline, saw, aim)
    spacing = max(1.5, outline.length / (90.0 if live else 220.0))
    stuck = 0
    tries = list(node_heights(outline, saw, aim, live)) if heights is None else list(heights)
    for k, some in enumerate(tries):
        if k + 1 < len(tries) and _is_hopeless(outline, saw, aim, some, spacing):
            continue
        fit = fit_line(outline, saw, aim, some, spacing, 2 if live else _ROUNDS)
        if fit is None:
            continue
        score = _score(fit, least)
        better = score < 0.85 * lowest
        stuck = 0 if better or len(some.curve) < 6 else stuck + 1
        if score < lowest - 1e-9:
            best, lowest = fit, score
        if score <= 0.02 * saw.tolerance:
            return fit
        if stuck >= _STUCK:
            break  # more nodes do not help
    return best


def _is_hopeless(outline: Outline, saw: Saw, aim: Aim, heights: Heights, spacing: float) -> bool:
    """Return True when nodes at these heights cannot follow: even the best mean deviation is more than is allowed."""
    if aim.follow == "none":
        return False
    z, middle, _ = centre_and_half(outline, saw)
    wanted = outline.right.at(z) if aim.follow == "right" else middle
    rows = heights.rows(np.interp(np.array(heights.curve), z, wanted), 2.0 * spacing, past_end=0.0)
    target = np.interp(rows.z, z, wanted)
    x = np.linalg.lstsq(rows.c0, target, rcond=None)[0]
    return float(np.sqrt(np.mean((rows.c0 @ x - target) ** 2))) > saw.within


def _score(fit: LineFit, least: float) -> float:
    """Return how far a line is from what is wanted, in millimetres; a blank larger than need be counts as well."""
    return fit.misses_mm + fit.excess_mm + max(fit.half - least, 0.0)


def _needed(outline: Outline, saw: Saw, aim: Aim) -> float:
    """Return half the blank that suffices where the nodes follow well enough; more than that asks for more nodes."""
    if aim.half is not None or aim.easy:
        return math.inf
    _, _, halves = centre_and_half(outline, saw)
    return float(halves.max()) + 0.25 * saw.tolerance


def node_heights(outline: Outline, saw: Saw, aim: Aim, live: bool) -> Iterator[Heights]:
    """Give node heights to try, few first: those of the followed outline, or where they are needed."""
    z = np.linspace(0.0, outline.length, 801)
    left, right = outline.left.at(z), outline.right.at(z)
    wanted = right if aim.follow == "right" else (left + right) / 2.0
    length = outline.length
    low, high = outline.foot_post, outline.top_post
    if high <= low:  # upright all the way
        low, high = 0.0, length
    foot, top = (0.0 if low > 0.0 else None), (length if high < length else None)
    has_post = foot is not None or top is not None
    if aim.follow == "none":
        for count in LIVE_COUNTS if live else COUNTS:
            yield Heights((0.0, length)) if count == 2 else Heights(spread(low, high, count, z, wanted), foot, top)
        return
    own = tuple(h for h in outline.nodes[1] if low + _APART_MM < h < high - _APART_MM)
    sets = [Heights((0.0, length))]
    if 0 < len(own) <= MOST_OWN:
        sets.append(Heights((low, *own, high), foot, top))
    near = (1.0, 0.25) if live else NEARNESS
    ends = Heights((low, round((low + high) / 2.0, Z_DECIMALS), high), foot, top)
    most = MOST_LIVE if live else MOST_NODES
    sets += where_needed(ends, z, wanted, [n * saw.within for n in near], most)
    if has_post and not live:
        whole = Heights((0.0, round(length / 2.0, Z_DECIMALS), length))
        sets += where_needed(whole, z, wanted, [0.5 * saw.within], most)
    yield from sorted(sets, key=lambda h: len(h.curve))
