"""All the ways to come by the outline of one view, best first."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, Literal, cast

import numpy as np

from geometry.curvature import extent, tightest_bend
from geometry.fit.edges import Difference, band, difference
from geometry.fit.fairing import Heights
from geometry.fit.line_fit import Aim, Follow, LineFit, centre_and_half, fit_lines
from geometry.fit.outlines import Outline
from geometry.fit.saw import Saw
from geometry.fit.trim_fit import NEAR_MM, TrimFit, fit_trims, in_a_mirror, joined, places_to_trim
from geometry.lines import line_of, line_through
from geometry.project import Cut, Trim
from geometry.tolerances import PLACE_MM

Kind = Literal["true", "easy", "right", "left", "free"]
"""How a line is laid: with both edges of its band on the outline (truly, or as easily as the tolerance allows), with
the right or the left one, or as easily as covers the outline."""

KINDS: Final[tuple[Kind, ...]] = ("true", "easy", "right", "left", "free")

STEP_MM: Final = 0.01
"""Blanks free in size come in steps of this, upwards: a planer does no better."""

EASIER: Final = 1.15
"""A line is worth offering as the easier one when its tightest bend is wider by this."""

_CLOSER: Final = 0.7
"""Part of the tolerance to aim at where a first try went a little over."""


@dataclass(frozen=True, slots=True)
class TrimMiss:
    """A trim that cannot follow the outline: on which side (+1 right), at which height, by how much."""

    side: int
    z: float
    by_mm: float

    def mirrored(self) -> TrimMiss:
        """Return the same on the other side."""
        return TrimMiss(-self.side, self.z, self.by_mm)


@dataclass(frozen=True, slots=True, eq=False)
class ViewFit:
    """One way to come by the outline of a view.

    Attributes
    ----------
    kind : how its line is laid
    cut, half : line and trims, and half the blank's size
    sides : the sides that are trimmed, +1 right and -1 left, one for each trim
    difference : from the wish along the height
    is_had : True when it keeps the tolerance, the blade and the number of trims
    too_many : the deepest of the trims there are too many of, or None
    trim_misses, line_misses_mm : by how much trims and line miss the outline
    heights : where the line's nodes stand
    """

    kind: Kind
    cut: Cut
    half: float
    sides: tuple[int, ...]
    difference: Difference
    is_had: bool
    too_many: TrimMiss | None
    trim_misses: tuple[TrimMiss, ...]
    line_misses_mm: float
    heights: Heights

    @property
    def tightest_mm(self) -> float:
        """The tightest bend of the line and all trims; infinite where all are straight."""
        bends = [tightest_bend(line_through(n)) for n in (self.cut.nodes, *(t.nodes for t in self.cut.trims)) if n]
        return min((b.radius_mm for b in bends if b is not None), default=math.inf)

    @property
    def rank(self) -> tuple[float, ...]:
        """What sorts the better before the less good: no trims, few, on one side, easy bends, few nodes."""
        nodes = len(self.cut.nodes) + sum(len(t.nodes) for t in self.cut.trims)
        return (
            not self.is_had,
            self.difference.worst_mm if not self.is_had else 0.0,
            len(self.sides),
            len(set(self.sides)),
            round(self.half, 1),
            round(1.0 / self.tightest_mm, 4) if self.kind != "easy" else 1.0,
            nodes,
        )


@lru_cache(maxsize=64)
def view_fits(
    outline: Outline, saw: Saw, half: float | None, most_trims: int, kinds: tuple[Kind, ...] = KINDS, live: bool = False
) -> tuple[ViewFit, ...]:
    """Return the ways to come by an outline, best first; remembered, because one view is dragged at a time.

    Parameters
    ----------
    outline : what is wanted
    saw : kerf, blade, wall, tolerance
    half : half the blank's size, or None for the smallest
    most_trims : how many trims may be sawn
    kinds : which ways to try
    live : quickly, with one way of each number of trims
    """
    found: list[ViewFit] = []
    if _may_do_without_trims(outline, saw):
        found += _one(outline, saw, "true", half, most_trims, live)
        if found and found[0].is_had:
            # trims would gain nothing; easier bends may
            wanted = not live or kinds == ("easy",)
            easy = _one(outline, saw, "easy", half, most_trims, live, found[0].heights) if wanted else []
            easier = [e for e in easy if e.is_had and e.tightest_mm > EASIER * found[0].tightest_mm]
            return (*easier, *found) if live else (*found, *easier)
    for kind in _sides(outline, saw, kinds, half) if live else ("right", "left", "free"):
        if kind in kinds:
            found += _one(outline, saw, kind, half, most_trims, live)
    if kinds != KINDS and not any(f.is_had for f in found):  # a kind that no longer serves
        return view_fits(outline, saw, half, most_trims, KINDS, live)
    return tuple(sorted(found, key=lambda f: f.rank))


def _may_do_without_trims(outline: Outline, saw: Saw) -> bool:
    """Return True unless the outline's own widths are too far apart for a band of one width."""
    _, _, halves = centre_and_half(outline, saw)
    z = np.linspace(0.0, outline.length, 401)
    wide = (outline.right.at(z) - outline.left.at(z)) / 2.0
    leaning = float(halves.max() - wide.max())
    return float(np.ptp(wide)) <= 2.0 * saw.tolerance + max(leaning, 0.0)


def _sides(outline: Outline, saw: Saw, kinds: tuple[Kind, ...], half: float | None) -> tuple[Kind, ...]:
    """Return the one-sided way whose followed edge is the easier to follow, for a quick answer."""
    if kinds != KINDS:
        return kinds
    z = np.linspace(0.0, outline.length, 201)
    bends = [float(np.abs(np.gradient(np.gradient(c.at(z), z), z)).max()) for c in (outline.right, outline.left)]
    return ("right",) if bends[0] <= bends[1] * 1.01 else ("left",)


def _one(
    outline: Outline, saw: Saw, kind: Kind, half: float | None, most_trims: int, live: bool,
    heights: Heights | None = None,
) -> list[ViewFit]:  # fmt: skip
    fit = _try(outline, saw, saw, kind, half, most_trims, live, heights)
    if fit is None:
        return []
    nearly = fit.difference.worst_mm < 2.0 * saw.tolerance
    if not fit.is_had and nearly and not live:
        closer = _try(
            outline, saw, replace(saw, tolerance=_CLOSER * saw.tolerance), kind, half, most_trims, live, heights
        )
        if closer is not None and closer.rank < fit.rank:
            fit = closer
    return [fit]


def _try(
    outline: Outline, saw: Saw, aimed: Saw, kind: Kind, half: float | None, most_trims: int, live: bool,
    heights: Heights | None,
) -> ViewFit | None:  # fmt: skip
    """Lay the line one way and trim what it leaves too wide; ``aimed`` holds the tolerance to aim at."""
    if kind == "left":
        mirrored = _try(outline.mirrored(), saw, aimed, "right", half, most_trims, live, heights)
        return None if mirrored is None else _mirrored(mirrored)
    follow = {"true": "both", "easy": "both", "right": "right", "free": "none"}[kind]
    aim = Aim(cast(Follow, follow), kind == "easy", half)
    line = fit_lines(outline, aimed, aim, live, None if heights is None else [heights])
    if line is None:
        return None
    size = math.ceil(round(2.0 * line.half / STEP_MM, 6)) * STEP_MM / 2.0 if half is None else half
    nodes = () if all(abs(n.at[0]) <= PLACE_MM for n in line.nodes) else line.nodes
    cut = Cut(saw.kerf, saw.blade, nodes)
    trims: list[tuple[int, TrimFit]] = []
    if follow != "both":
        trims = _trims(outline, aimed, cut, size, most_trims, live)
    cut = replace_trims(cut, trims, saw)
    return _judged(outline, saw, kind, cut, size, trims, line, most_trims)


def replace_trims(cut: Cut, trims: list[tuple[int, TrimFit]], saw: Saw) -> Cut:
    """Return the cut with its trims, in the order from foot to top, right before left."""
    return Cut(cut.kerf, cut.blade, cut.nodes, tuple(Trim(t.nodes, saw.kerf, saw.blade) for _, t in trims))


def _trims(outline: Outline, saw: Saw, cut: Cut, half: float, most_trims: int, live: bool) -> list[tuple[int, TrimFit]]:
    left, right = band(line_of(cut, outline.length), half, saw.half_slot)
    before = -1
    for near in (NEAR_MM, 0.25 * outline.length, math.inf):
        sides = ((outline, right), (outline.mirrored(), left.mirrored()))
        count = sum(len(joined(places_to_trim(o, edge, saw), near)) for o, edge in sides)
        if count == before:
            continue
        before = count
        trims = [(1, t) for t in fit_trims(outline, right, saw, near, live)]
        trims += [(-1, t.mirrored()) for t in fit_trims(outline.mirrored(), left.mirrored(), saw, near, live)]
        if len(trims) <= most_trims:
            break
    return trims


def _judged(
    outline: Outline, saw: Saw, kind: Kind, cut: Cut, half: float, trims: list[tuple[int, TrimFit]], line: LineFit,
    most_trims: int,
) -> ViewFit:  # fmt: skip
    off = difference(outline, cut, half, saw)
    misses = tuple(TrimMiss(side, t.misses_at, t.misses_mm) for side, t in trims if t.misses_mm > 0.0)
    spare = sorted(trims, key=lambda t: -t[1].depth_mm)[most_trims:]
    too_many = TrimMiss(spare[0][0], spare[0][1].deepest_at, spare[0][1].depth_mm) if spare else None
    is_had = too_many is None and off.worst_mm <= saw.tolerance + PLACE_MM and _follows(cut, saw, half, outline.length)
    sides = tuple(side for side, _ in trims)
    return ViewFit(kind, cut, half, sides, off, is_had, too_many, misses, line.misses_mm, line.heights)


def _follows(cut: Cut, saw: Saw, half: float, length: float) -> bool:
    """Return True when the blade follows every cut and the line keeps its wall."""
    for nodes in (cut.nodes, *(t.nodes for t in cut.trims)):
        bend = tightest_bend(line_through(nodes)) if nodes else None
        if bend is not None and bend.radius_mm < saw.radius:
            return False
    reach = extent(line_of(cut, length))
    return max(reach.greatest_u[0], -reach.least_u[0]) <= half - saw.kerf / 2.0 - saw.wall + PLACE_MM


def _mirrored(fit: ViewFit) -> ViewFit:
    trims = tuple(Trim(in_a_mirror(t.nodes), t.kerf, t.blade) for t in fit.cut.trims)
    cut = Cut(fit.cut.kerf, fit.cut.blade, in_a_mirror(fit.cut.nodes), trims)
    d = fit.difference
    mirrored = Difference(d.z, d.right, d.left, -d.wanted_right, -d.wanted_left)
    misses = tuple(m.mirrored() for m in fit.trim_misses)
    many = None if fit.too_many is None else fit.too_many.mirrored()
    sides = tuple(-s for s in fit.sides)
    return replace(fit, kind="left", cut=cut, sides=sides, difference=mirrored, trim_misses=misses, too_many=many)
