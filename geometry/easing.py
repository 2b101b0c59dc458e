"""Ease the line: move its nodes as little as can be, so that the chosen blade follows and walls stay thick enough.

The nodes' total move √Σ(Δu² + Δz²) is made least, subject to the radius everywhere and the walls on both sides. Each
round takes the conditions as straight in the nodes' coordinates and solves exactly for the least move from where the
line was drawn (Lawson and Hanson, *Solving Least Squares Problems*, chapter 23: least distance programming); tight
bends are opened step by step. What comes out is judged on the exact pieces, and whoever asks is told what was done.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from msgspec.structs import replace

from geometry.blades import COMFORT, reach
from geometry.curvature import tightest_bend
from geometry.easing_moves import Wanted, least_moves, straightened
from geometry.editing import nodes_of
from geometry.findings.finding import LINE, Words, capital
from geometry.findings.line import line_findings
from geometry.lines import Line, line_of
from geometry.piece import face_sizes
from geometry.project import Cut, CutName, DisplayUnits, Node, Variant
from geometry.shapes.room import stretches_back
from geometry.slots import saw_face
from geometry.solids import FloatArray
from geometry.tapering import sawing_plane
from geometry.tolerances import LIVE_CHORD_MM
from geometry.units import format_length

Outcome = Literal["fine", "eased", "not possible"]

_MARGINS = (1.002, 1.006, 1.02, 1.05)
"""The radius is asked for with this much over it: the places looked at while moving are not quite the tightest."""

_DECIMALS = 3
"""Moved nodes are kept to a micrometre."""

_SHARES = 8
"""Halvings of the way between a straightened line and the drawn one, where the least move is not found directly."""


@dataclass(frozen=True, slots=True)
class Eased:
    """What easing a line came to.

    Attributes
    ----------
    outcome : "fine" where it needed nothing, "eased", or "not possible"
    cut : the cut with its nodes moved; the same value as before unless eased
    moved : how many nodes moved
    furthest_mm : how far the furthest of them moved
    sentence : what was done or why not, for the maker
    """

    outcome: Outcome
    cut: Cut
    moved: int
    furthest_mm: float
    sentence: str


def ease_line(variant: Variant, name: CutName, units: DisplayUnits = "mm", *, with_comfort: bool = False) -> Eased:
    """Return a cut whose line its chosen blade follows and that leaves its walls, moved as little as can be.

    Nodes at either end of a straight stretch stay where they are, so that posts stay posts; the ends of the line
    slide along the ends of the face. Without a chosen blade only the walls are looked to.

    Parameters
    ----------
    variant, name : the design, and which of its lines
    units : the maker's unit
    with_comfort : ask for 1.25 times the radius the blade just follows
    """
    return _Task(variant, name, Words(units), with_comfort).eased()


class _Task:
    """One line to be eased; only for the length of one call."""

    def __init__(self, variant: Variant, name: CutName, words: Words, with_comfort: bool) -> None:
        self.variant, self.name, self.words = variant, name, words
        self.cut = variant.cut(name)
        blade = self.cut.blade
        self.radius = 0.0 if blade is None else reach(blade).radius_mm
        if self.radius is not None and with_comfort:
            self.radius *= COMFORT
        self.nodes = nodes_of(self.cut, variant.blank.length)
        self.plane = sawing_plane(variant.blank, name, variant.taper_support) if variant.blank.is_tapered else None
        self.hurts = self._hurts(self.cut)

    def eased(self) -> Eased:
        if not self._is_tight(self.cut) and not self.hurts & {"wall-too-thin", "line-leaves-face"}:
            return self._told("fine", self.cut, f"{capital(LINE[self.name])} is fine as it is: nothing was moved.")
        if self.radius is None:
            return self._told(
                "not possible", self.cut,
                "The chosen blade saws a slot no wider than its own body and cannot turn at all: it follows nothing "
                "but straight lines.",
            )  # fmt: skip
        drawn = np.array([n.at for n in self.nodes], dtype=np.float64)
        best: Cut | None = None
        for margin in _MARGINS:
            places = least_moves(self.nodes, drawn, self._wanted(margin))
            best = self._if_good(places)
            # only a bend that is still a hair too tight is helped by more margin
            moved = self._moved(places)
            if best is not None or moved is None or not self._is_tight(moved):
                break
        if best is None and not stretches_back(self._line(self.cut)):
            best = self._from_straight(drawn)
        if best is None:
            return self._told("not possible", self.cut, self._why_not())
        return self._told("eased", best, self._what_was_done(best))

    def _wanted(self, margin: float) -> Wanted:
        foot, top = face_sizes(self.variant.blank, self.name)
        stretch = 1.0 if self.plane is None else self.plane.stretch
        limits, length = self.variant.limits, self.variant.blank.length
        assert self.radius is not None
        return Wanted(self.radius * margin, stretch, foot / 2.0, top / 2.0, length, self.cut.kerf, limits.wall)

    def _from_straight(self, drawn: FloatArray) -> Cut | None:
        """Return a line on the way from a straightened one to the drawn one, then drawn back as far as it goes."""
        wanted = self._wanted(_MARGINS[1])
        straight = straightened(self.nodes, wanted)
        best = self._if_good(straight)
        if best is None:
            return None
        low, high, kept = 0.0, 1.0, straight
        for _ in range(_SHARES):
            middle = (low + high) / 2.0
            between = straight + middle * (drawn - straight)
            good = self._if_good(between)
            low, high = (middle, high) if good is not None else (low, middle)
            if good is not None:
                best, kept = good, between
        finer = self._if_good(least_moves(self.nodes, kept, wanted))
        moves = [(_furthest(self.nodes, c), c) for c in (best, finer) if c is not None]
        return min(moves, key=lambda pair: pair[0])[1]

    # ---------------------------------------------------------------- judging, on the exact pieces

    def _if_good(self, places: FloatArray | None) -> Cut | None:
        """Return the cut with its nodes at those places where that cures it and hurts nothing else, or None."""
        cut = self._moved(places)
        if cut is None or self._is_tight(cut):
            return None
        hurts = self._hurts(cut)
        return None if hurts & {"wall-too-thin", "line-leaves-face"} or hurts - self.hurts else cut

    def _moved(self, places: FloatArray | None) -> Cut | None:
        """Return the cut with its nodes at those places; None where two in a row would fall into one."""
        if places is None or float(np.hypot(*np.diff(places, axis=0).T).min()) < 2.0 * 10.0**-_DECIMALS:
            return None
        return replace(
            self.cut,
            nodes=tuple(
                node if math.dist(node.at, at) < 10.0**-_DECIMALS else replace(node, at=_tidy(at))
                for node, at in zip(self.nodes, places.tolist(), strict=True)
            ),
        )

    def _line(self, cut: Cut) -> Line:
        return line_of(cut, self.variant.blank.length)

    def _is_tight(self, cut: Cut) -> bool:
        line = self._line(cut)
        bend = tightest_bend(line if self.plane is None else self.plane.line(line))
        return bend is not None and (self.radius is None or bend.radius_mm < self.radius)

    def _hurts(self, cut: Cut) -> set[str]:
        foot, top = face_sizes(self.variant.blank, self.name)
        line = self._line(cut)
        face = saw_face(line, foot, self.variant.blank.length, 0.0, LIVE_CHORD_MM, top)
        return {f.code for f in line_findings(self.name, line, face, cut.kerf, self.variant.limits, self.words)}

    # ---------------------------------------------------------------- telling

    def _told(self, outcome: Outcome, cut: Cut, sentence: str) -> Eased:
        moved = sum(a.at != b.at for a, b in zip(self.nodes, cut.nodes, strict=False)) if outcome == "eased" else 0
        return Eased(outcome, cut, moved, _furthest(self.nodes, cut) if moved else 0.0, sentence)

    def _what_was_done(self, cut: Cut) -> str:
        moved = sum(a.at != b.at for a, b in zip(self.nodes, cut.nodes, strict=True))
        which = "One node" if moved == 1 else f"{moved} nodes"
        by = format_length(_furthest(self.nodes, cut), self.words.units, decimals=2, denominator=64)
        can = "its walls are thick enough" if not self.radius else "the blade follows it and its walls are thick enough"
        return f"{which} of {LINE[self.name]} moved by {'at most ' if moved > 1 else ''}{by}: {can}."

    def _why_not(self) -> str:
        subject, words = LINE[self.name], self.words
        if stretches_back(self._line(self.cut)):
            return (
                f"{capital(subject)} cannot be eased for this blade and keep its hook. Take a narrower blade, or draw "
                "the hook wider."
            )
        straight = self._moved(straightened(self.nodes, self._wanted(1.0)))
        if straight is None:
            return (
                f"{capital(subject)} cannot be eased: its two ends are in the same place. Draw it from the foot to the "
                "top first."
            )
        bend = tightest_bend(self._line(straight))
        if bend is not None and self.radius and bend.radius_mm < self.radius:
            return (
                f"{capital(subject)} cannot be eased for this blade: between places that have to stay, such as a post, "
                f"it bends to {words.length(bend.radius_mm)} even when all else is straightened. Take a narrower "
                "blade, or move those places yourself."
            )
        if self._hurts(straight) & {"wall-too-thin", "line-leaves-face"}:
            return (
                f"{capital(subject)} cannot be eased: the face leaves no room for its slot and two walls of "
                f"{words.length(self.variant.limits.wall)}, or a straight stretch stands too near an edge. Use a wider "
                "blank, or move that stretch."
            )
        return (
            f"{capital(subject)} cannot be eased without running into itself. Move the nodes that crowd one another "
            "apart first, or delete some."
        )


def _tidy(at: list[float]) -> tuple[float, float]:
    return round(at[0], _DECIMALS) + 0.0, round(at[1], _DECIMALS) + 0.0


def _furthest(nodes: tuple[Node, ...], cut: Cut) -> float:
    return max(math.dist(a.at, b.at) for a, b in zip(nodes, cut.nodes, strict=True))
