"""Does the pattern go on across the seams, and is it coarse enough for the saw?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from geometry.busyness import smallest_cell_mm
from geometry.findings.finding import Finding, Words
from geometry.layup import Checker, Chevron, Layup, Plain, Stripes
from geometry.layup_grid import grid_of
from geometry.lineup import Crossing, Seam
from geometry.lineup_errors import LIKELY_ERRORS, flush_step_mm
from geometry.piece import Piece
from geometry.project import CUT_NAMES, CutName

SHOWS_FROM: Final = 0.1
"""A step of more than a tenth of the smallest strip or block beside it is seen."""

_SEAMS: Final[dict[CutName, str]] = {
    "front": "the seams on the left and the right of the piece",
    "side": "the seams at the front and the back of the piece",
}


def pattern_findings(piece: Piece, seams: Sequence[Seam], words: Words) -> list[Finding]:
    """Return what there is to say about a lay-up other than plain.

    Parameters
    ----------
    piece : the piece
    seams : its seams, without errors
    words : the maker's unit
    """
    if isinstance(piece.variant.layup, Plain):
        return []
    out: list[Finding] = []
    for cut in CUT_NAMES:
        # both seams of a cut are the same line
        seam = next(s for s in seams if s.cut == cut)
        out += _meeting(piece, seam, words)
    return [*out, *_too_fine(piece, words)]


def _meeting(piece: Piece, seam: Seam, words: Words) -> list[Finding]:
    where, limit = _SEAMS[seam.cut], piece.variant.limits.pattern_step
    apart = [p for p in seam.pairs if not p.meets]
    if apart:
        worst = max(apart, key=lambda p: p.step_mm)
        low, high = seam.low[worst.low].at, seam.high[worst.high].at
        place = ((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0)
        count = "A border" if len(apart) == 1 else f"{len(apart)} borders"
        steps, of = ("steps", "") if len(apart) == 1 else ("step", "up to ")
        return [
            Finding(
                "pattern-does-not-meet", "caution",
                f"{count} of the pattern {steps} at {_SEAMS[seam.cut]}, by {of}{words.length(worst.step_mm)}, "
                f"{words.up(place[1])}: more than {words.length(limit)} shows.",
                _cure(piece.variant.layup, seam.cut, words), seam.cut, place,
            )
        ]  # fmt: skip
    stopping = seam.stopping
    if stopping:
        first: Crossing = stopping[0]
        what = "A border of the pattern stops" if len(stopping) == 1 else f"{len(stopping)} borders of the pattern stop"
        return [
            Finding(
                "pattern-does-not-meet", "caution",
                f"{what} at {where}, {words.up(first.at[1])}: nothing goes on at the other side.",
                _cure(piece.variant.layup, seam.cut, words), seam.cut, first.at,
            )
        ]  # fmt: skip
    return []


def _cure(layup: Layup, cut: CutName, words: Words) -> str:
    """Return what makes the pattern meet at the seams of a cut."""
    match layup:
        case Chevron():
            return (
                f"Put the chevron's peak at the centre; it is {words.length(abs(layup.peak))} off, and the pattern "
                "steps by twice that times the bands' slope."
            )
        case Checker():
            count = len(layup.y) if cut == "front" else len(layup.x)
            across = "depth" if cut == "front" else "width"
            if count % 2 == 0:
                return (
                    f"Use an odd count of blocks across the {across}, alike about the centre, so that both edges match."
                )
            return "Use two species that take turns, with blocks alike about the centre, so that both edges match."
        case Stripes():
            return (
                "Make the strips alike about the centre, an odd count with the two outer strips half as wide, or use "
                "wider strips."
            )
        case _:
            return "Use wider strips."


def _too_fine(piece: Piece, words: Words) -> list[Finding]:
    variant = piece.variant
    cell = smallest_cell_mm(grid_of(variant), variant.blank)
    if cell is None:
        return []
    step = expected_step_mm(piece)
    if step <= SHOWS_FROM * cell:
        return []
    kerf = max(variant.front.kerf, variant.side.kerf)
    return [
        Finding(
            "pattern-too-fine", "caution" if step > 0.5 * cell else "advice",
            f"The smallest strip or block is {words.length(cell)}, and with a kerf of {words.length(kerf)}, a blade a "
            f"tenth of a degree off and the taping, steps of about {words.length(step)} are to be expected: they show.",
            f"Make every strip and block {words.length(math.ceil(step / SHOWS_FROM))} or wider, or take a blade with a "
            "thinner kerf.",
        )
    ]  # fmt: skip


def expected_step_mm(piece: Piece) -> float:
    """Return the step to be expected at a seam: kerf, tilt and slip of careful work, taken together as chance has it.

    Independent errors add as the root of the sum of their squares.
    """
    kerf = max(piece.variant.front.kerf, piece.variant.side.kerf)
    return max(math.hypot(kerf, flush_step_mm(piece, cut, LIKELY_ERRORS), LIKELY_ERRORS.slip_mm) for cut in CUT_NAMES)
