"""What to saw for a wish: up to three answers with what each costs, or what stands in the way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from dataclasses import replace as with_fields
from typing import Final, cast

import numpy as np
from msgspec.structs import replace

from geometry.curvature import piece_lengths
from geometry.findings import findings_of, has_stop
from geometry.findings.finding import Words
from geometry.fit.cannot import CannotFit
from geometry.fit.edges import Difference, band
from geometry.fit.outlines import Outline, read_outline
from geometry.fit.reasons import blank_too_small, fine, reason
from geometry.fit.saw import Saw, saw_of
from geometry.fit.views import KINDS, Kind, ViewFit, view_fits
from geometry.layup_making import fitted
from geometry.lines import line_of, line_through
from geometry.piece import build
from geometry.project import CUT_NAMES, Blank, Cut, CutName, DisplayUnits, Node, Project, Variant
from geometry.solids import FloatArray
from geometry.wish import ViewWish, Wish

MARKING_MINUTES: Final = 10.0
TAPING_MINUTES: Final = 12.0
FEED_MM_PER_MINUTE: Final = 300.0
"""Rough times (common practice, no source): to mark out and set up each cut, to tape the halves flats together once
in each view that is trimmed, and how fast a curve is fed through."""

STOCK_SIZES_MM: Final = (20.0, 25.0, 32.0, 38.0, 45.0, 50.0, 57.0, 63.0, 70.0, 76.0, 89.0, 100.0, 115.0, 125.0, 150.0)
"""Squares that timber is often sold in (common practice, no source): what to plane a blank of free size from."""

MOST_ANSWERS: Final = 3


@dataclass(frozen=True, slots=True)
class Cost:
    """What an answer costs, roughly.

    Attributes
    ----------
    cuts : lines and trims to be sawn
    trims : the trims among them
    wood_mm3, waste_mm3 : the blank, and what of it does not end up in the piece
    minutes : at the saw, marking and taping included
    """

    cuts: int
    trims: int
    wood_mm3: float
    waste_mm3: float
    minutes: float


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """A design that gives the wanted piece.

    Attributes
    ----------
    variant : the design, to be edited like any other; its wish stands where the piece stands
    words : what sets it apart, in a few words
    front, side : the difference from the wish along the height, or None in a view without a wish
    cost : what it costs
    stock_mm : the next common size up for width and depth, or None where none is large enough
    kinds : how its lines are laid, to be handed back for a quick answer of the same kind
    """

    variant: Variant
    words: str
    front: Difference | None
    side: Difference | None
    cost: Cost
    stock_mm: tuple[float | None, float | None]
    kinds: tuple[tuple[CutName, Kind], ...]

    def difference(self, name: CutName) -> Difference | None:
        """Return the difference in a view."""
        return self.front if name == "front" else self.side


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """What came of a wish.

    Attributes
    ----------
    answers : the designs, best first; where something cannot be had, the nearest there is, or none
    cannot : what cannot be had; empty where the first answer keeps the wish
    """

    answers: tuple[Answer, ...]
    cannot: tuple[CannotFit, ...] = ()

    @property
    def is_had(self) -> bool:
        """True when the wish can be had."""
        return not self.cannot


def fit_wish(variant: Variant, units: DisplayUnits = "mm", *, live: bool = False, like: Answer | None = None) -> Fit:
    """Return what to saw for the wish of a variant.

    Parameters
    ----------
    variant : the design whose ``wish`` it is; kerf, blades, sanding, limits, wood and saw are taken from it
    units : the maker's unit, for sentences
    live : one answer, quickly, while something is dragged; not held against the checks
    like : an answer whose kind to keep, so that a dragged outline does not jump between two ways

    Raises
    ------
    ValueError
        the variant has no wish
    """
    if variant.wish is None:
        raise ValueError("wish: expected the outline that is wanted, found none")
    wish, words = variant.wish, Words(units)
    outlines: dict[CutName, Outline] = {}
    cannot: list[CannotFit] = []
    for name in CUT_NAMES:
        wanted = wish.view(name)
        if wanted is None:
            continue
        # an outline that both views follow is read once, and fitted once
        read = read_outline(wish.follows or name, wanted, variant.limits, wish.give, wish.tolerance, words)
        if isinstance(read, CannotFit):
            cannot += [read] if read not in cannot else []
        else:
            outlines[name] = read
    if cannot:
        return Fit((), tuple(cannot))
    saws = {name: saw_of(variant, name, wish.tolerance) for name in outlines}
    kinds = dict(like.kinds) if like is not None else {}
    fits = _fits(outlines, saws, wish, kinds, live)
    for name, ways in fits.items():
        if not ways or not ways[0].is_had:
            nearest = ways[0] if ways else None
            why = _why(wish.follows or name, outlines[name], saws[name], nearest, wish, words)
            cannot += [why] if why not in cannot else []
    if any(not ways for ways in fits.values()):
        return Fit((), tuple(cannot))
    answers = [_answer(variant, outlines, chosen, i) for i, chosen in enumerate(_choices(fits), start=1)]
    if live or cannot:
        return Fit(tuple(answers[:1]), tuple(cannot))
    return _checked(answers, words)


# ---------------------------------------------------------------- blanks


def _fits(
    outlines: dict[CutName, Outline], saws: dict[CutName, Saw], wish: Wish, kinds: dict[CutName, Kind], live: bool
) -> dict[CutName, tuple[ViewFit, ...]]:
    """Return the ways for each view, in blanks of sizes that may be had."""

    def ways(name: CutName, half: float | None) -> tuple[ViewFit, ...]:
        some = (kinds[name],) if live and name in kinds else KINDS
        return view_fits(outlines[name], saws[name], half, wish.give.trims, some, live)

    if wish.give.sizes == "free":
        fits = {name: ways(name, None) for name in outlines}
        if wish.give.square and len(fits) == 2 and all(fits.values()):
            half = max(fit[0].half for fit in fits.values())
            fits = {name: fit if fit[0].half == half else ways(name, half) for name, fit in fits.items()}
            fits = {name: tuple(f for f in fit if f.half == half) or ways(name, half) for name, fit in fits.items()}
        return fits
    in_stock: dict[float, dict[CutName, tuple[ViewFit, ...]]] = {}
    sizes = sorted(set(wish.give.sizes))

    def stocked(name: CutName, size: float) -> tuple[ViewFit, ...]:
        some = in_stock.setdefault(size, {})
        if name not in some:
            some[name] = ways(name, size / 2.0)
        return some[name]

    def first(names: Iterable[CutName]) -> float:
        large = [s for s in sizes if all(s / 2.0 >= least_half(outlines[n], saws[n]) - wish.tolerance for n in names)]
        for size in large:
            if all(stocked(n, size) and stocked(n, size)[0].is_had for n in names):
                return size
        return large[0] if large else sizes[-1]

    if wish.give.square:
        size = first(outlines)
        return {name: stocked(name, size) for name in outlines}
    return {name: stocked(name, first([name])) for name in outlines}


def least_half(outline: Outline, saw: Saw) -> float:
    """Return half the smallest blank that can cover an outline at all: where it is widest, with the slot upright."""
    z = outline.heights
    return float((outline.right.at(z) - outline.left.at(z)).max()) / 2.0 + saw.half_slot


def _why(name: CutName, outline: Outline, saw: Saw, nearest: ViewFit | None, wish: Wish, words: Words) -> CannotFit:
    if wish.give.sizes != "free":
        largest, needed = max(wish.give.sizes), 2.0 * least_half(outline, saw)
        if largest < needed - 2.0 * saw.tolerance:
            return blank_too_small(name, outline, saw, needed, largest, words)
    return reason(name, outline, saw, nearest, wish.give.trims, words)


# ---------------------------------------------------------------- answers


def _choices(fits: dict[CutName, tuple[ViewFit, ...]]) -> list[dict[CutName, ViewFit]]:
    """Return which way to take in each view: the best of each class (no trims, one side, both sides) in turn."""
    lists: dict[CutName, list[ViewFit]] = {}
    for name, ways in fits.items():
        had = [w for w in ways if w.is_had] or list(ways[:1])
        seen: dict[object, ViewFit] = {}
        for way in had:
            seen.setdefault((way.kind == "easy", len(way.sides), len(set(way.sides))), way)
        others = [w for w in had if w not in seen.values() and not _is_mirrored(w, had[0])]
        lists[name] = [*seen.values(), *others]
    count = max((len(c) for c in lists.values()), default=0)
    return [{n: c[min(i, len(c) - 1)] for n, c in lists.items()} for i in range(min(count, MOST_ANSWERS))]


def _is_mirrored(way: ViewFit, other: ViewFit) -> bool:
    """Return True for two ways of which one is as good as the other seen in a mirror."""
    same = len(way.sides) == len(other.sides) and len(way.cut.nodes) == len(other.cut.nodes)
    return same and abs(way.half - other.half) < 0.05 and abs(way.tightest_mm / other.tightest_mm - 1.0) < 0.05


def _answer(variant: Variant, outlines: dict[CutName, Outline], chosen: dict[CutName, ViewFit], number: int) -> Answer:
    wish = variant.wish
    assert wish is not None
    old = variant.blank
    width = round(2.0 * chosen["front"].half, 4) if "front" in chosen else old.width
    depth = round(2.0 * chosen["side"].half, 4) if "side" in chosen else old.depth
    blank = Blank(width, depth, wish.length)
    made = replace(
        variant,
        name=f"{variant.name} fit {number}",
        blank=blank,
        layup=fitted(variant.layup, blank),
        front=chosen["front"].cut if "front" in chosen else _at_length(variant.front, old, wish.length),
        side=chosen["side"].cut if "side" in chosen else _at_length(variant.side, old, wish.length),
        wish=_moved(wish, outlines),
    )
    views = [chosen[n] for n in CUT_NAMES if n in chosen]
    return Answer(
        made,
        _words(views),
        chosen["front"].difference if "front" in chosen else None,
        chosen["side"].difference if "side" in chosen else None,
        _cost(made, chosen),
        (_next_stock(width), _next_stock(depth)),
        tuple((name, chosen[name].kind) for name in CUT_NAMES if name in chosen),
    )


def _at_length(cut: Cut, old: Blank, length: float) -> Cut:
    """Return the cut of a view without a wish, stretched where the wish is longer or shorter than the blank was."""
    if not cut.nodes or old.length == length:
        return cut
    ratio = length / old.length

    def stretched(nodes: Sequence[Node]) -> tuple[Node, ...]:
        return tuple(Node((n.at[0], n.at[1] * ratio), n.kind, n.tangent) for n in nodes)

    # the last node is to stand at the top exactly, not at a rounded product
    nodes = stretched(cut.nodes)
    if cut.nodes[-1].at[1] == old.length:
        nodes = (*nodes[:-1], Node((nodes[-1].at[0], length), nodes[-1].kind, nodes[-1].tangent))
    return Cut(cut.kerf, cut.blade, nodes, tuple(replace(t, nodes=stretched(t.nodes)) for t in cut.trims))


def _moved(wish: Wish, outlines: dict[CutName, Outline]) -> Wish:
    """Return the wish moved to where the piece stands about the glue seam."""
    if all(o.shift_mm == 0.0 for o in outlines.values()):
        return wish

    def moved(view: ViewWish | None, name: CutName) -> ViewWish | None:
        if view is None or name not in outlines or outlines[name].shift_mm == 0.0:
            return view
        left, right = (
            tuple(Node((n.at[0] + outlines[name].shift_mm, n.at[1]), n.kind, n.tangent) for n in nodes)
            for nodes in view.outlines()
        )
        return ViewWish(left, right)

    return replace(wish, front=moved(wish.front, "front"), side=moved(wish.side, "side"))


def _words(views: Sequence[ViewFit]) -> str:
    trims = sum(len(v.sides) for v in views)
    if not trims:
        easy = any(v.kind == "easy" for v in views)
        return "No trims, bends as easy as the tolerance allows" if easy else "No trims"
    count = f"{trims} trim{'s' if trims > 1 else ''}"
    if all(len(set(v.sides)) < 2 for v in views):
        return f"{count}, on one side of each view" if len(views) > 1 and trims > 1 else f"{count} on one side"
    return f"{count}, on both sides of an easier line"


def _next_stock(size: float) -> float | None:
    return next((s for s in STOCK_SIZES_MM if s >= size), None)


# ---------------------------------------------------------------- costs


def _cost(variant: Variant, chosen: dict[CutName, ViewFit]) -> Cost:
    blank = variant.blank
    z = np.linspace(0.0, blank.length, 1001)
    section = np.ones(len(z))
    sawn = taped = trims = 0.0
    for name in CUT_NAMES:
        cut = variant.cut(name)
        size = blank.width if name == "front" else blank.depth
        section *= _width(variant, name, size, chosen.get(name), z)
        for nodes in (cut.nodes, *(t.nodes for t in cut.trims)):
            sawn += float(piece_lengths(line_through(nodes)).sum()) if nodes else blank.length
        trims += len(cut.trims)
        taped += bool(cut.trims)
    piece = float(np.trapezoid(section, z))
    minutes = (2 + trims) * MARKING_MINUTES + taped * TAPING_MINUTES + sawn / FEED_MM_PER_MINUTE
    return Cost(2 + int(trims), int(trims), blank.volume_mm3, max(blank.volume_mm3 - piece, 0.0), round(minutes, 1))


def _width(variant: Variant, name: CutName, size: float, fit: ViewFit | None, z: FloatArray) -> FloatArray:
    if fit is not None:
        d = fit.difference
        return cast(FloatArray, np.interp(z, d.z, d.wanted_right - d.wanted_left + d.left + d.right))
    cut = variant.cut(name)
    left, right = band(line_of(cut, variant.blank.length), size / 2.0, cut.kerf / 2.0 + variant.sanding)
    return cast(FloatArray, np.maximum(right.at(z) - left.at(z), 0.0))


# ---------------------------------------------------------------- checks


def _checked(answers: list[Answer], words: Words) -> Fit:
    """Return the answers that no finding stops; a view that was left alone may bring its own."""
    kept: list[Answer] = []
    cannot: list[CannotFit] = []
    for answer in answers:
        findings = findings_of(build(answer.variant), words.units)
        if not has_stop(findings):
            kept.append(_renamed(answer, len(kept) + 1))
            continue
        first = findings[0]
        where = first.at or (0.0, 0.0)
        cannot.append(CannotFit(first.cut or "front", where, 0.0, f"{first.message} {first.remedy}"))
    return Fit(tuple(kept), () if kept else tuple(cannot[:1]))


def _renamed(answer: Answer, number: int) -> Answer:
    base = answer.variant.name.rpartition(" fit ")[0]
    return with_fields(answer, variant=replace(answer.variant, name=f"{base} fit {number}"))


# ---------------------------------------------------------------- into the project


def with_answers(project: Project, name: str, fit: Fit) -> Project:
    """Return the project with the answers to a variant's wish after it; earlier answers of the same names give way.

    Parameters
    ----------
    project : the project
    name : name of the variant whose wish it is
    fit : what came of it
    """
    made = [a.variant for a in fit.answers]
    names = {v.name for v in made}
    kept: list[Variant] = []
    for variant in project.variants:
        if variant.name not in names:
            kept.append(variant)
        if variant.name == name:
            kept += made
    return replace(project, variants=tuple(kept))


def answer_line(answer: Answer, units: DisplayUnits = "mm") -> str:
    """Return an answer in one line for the maker: name, what sets it apart, blank, cuts, time, difference."""
    words, blank, cost = Words(units), answer.variant.blank, answer.cost
    worst = max(d.worst_mm for d in (answer.front, answer.side) if d is not None)
    return (
        f"{answer.variant.name}: {answer.words}; blank {words.length(blank.width)} x {words.length(blank.depth)} x "
        f"{words.length(blank.length)}; {cost.cuts} cuts, about {cost.minutes:.0f} minutes at the saw; within "
        f"{fine(worst, words)} of the outline"
    )
