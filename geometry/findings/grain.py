"""Does the grain run out across the piece?"""

from __future__ import annotations

from typing import Final

from geometry.findings.finding import LINE, Finding, Words, capital
from geometry.grain import NOTICED_SLOPE, SHORT_SLOPE, grain_map, slope_words
from geometry.piece import Piece
from geometry.project import CutName

THIN_SECTIONS: Final = 2.0
"""A part thinner than this many times the limit for a section is thin: its fibres soon run out of it."""


def grain_findings(piece: Piece, words: Words) -> list[Finding]:
    """Return a finding where the fibres run out across the piece: a caution where it is steep and the part thin.

    Short grain breaks thin parts; a stout one that swings as much is only to be known about.
    """
    grain = grain_map(piece)
    thin = THIN_SECTIONS * piece.variant.limits.section
    across = [min(w, d) for w, d in zip(piece.front.widths.at(grain.z), piece.side.widths.at(grain.z), strict=True)]
    # of the places in thin parts the steepest, or else the steepest of all
    slope = grain.slope
    in_thin = [k for k in range(len(slope)) if 0.0 < across[k] < thin and slope[k] >= SHORT_SLOPE]
    k = max(in_thin or range(len(slope)), key=lambda i: slope[i])
    steepest, z = float(slope[k]), float(grain.z[k])
    if steepest < NOTICED_SLOPE or across[k] <= 0.0:
        return []
    cut: CutName = "front" if grain.front[k] >= grain.side[k] else "side"
    is_across = steepest > 1.0
    if is_across:
        so = f"{capital(LINE[cut])} runs more across than up at {words.up(z)}, so the grain is sawn across there"
    else:
        reach = f"runs out of the {words.length(across[k])} thick piece within {words.length(across[k] / steepest)}"
        so = f"At {words.up(z)} the grain slopes {slope_words(steepest)} to the piece and {reach}"
    if in_thin:
        why = "such short grain snaps easily in so thin a part."
        what = "Ease the line there, keep that part thicker, or let it bear no load."
    elif is_across:
        why = "whatever stands out thin there snaps off easily."
        what = "Choose straight-grained wood, and leave the tongue stout."
    elif steepest >= SHORT_SLOPE:
        why = "it bears about half as much as straight grain does, or less."
        what = "Choose straight-grained wood, and make nothing thin of that part."
    else:
        why = "it bears somewhat less than straight grain does."
        what = "Choose straight-grained wood for it."
    return [
        Finding("short-grain", "caution" if in_thin else "advice", f"{so}: {why}", what, cut, _place(piece, cut, z))
    ]


def _place(piece: Piece, cut: CutName, z: float) -> tuple[float, float]:
    """Return the place of a line nearest to that height, the steepest of its passes there."""
    samples = piece.cut(cut).face.samples
    off = abs(samples.points[:, 1] - z)
    near = off <= off.min() + 0.5
    best = max(
        (i for i in range(len(off)) if near[i]), key=lambda i: (abs(float(samples.directions[i, 0])), -float(off[i]))
    )
    return float(samples.points[best, 0]), float(samples.points[best, 1])
