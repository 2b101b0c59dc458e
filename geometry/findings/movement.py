"""Do the woods of one blank swell and shrink alike?"""

from __future__ import annotations

from geometry.findings.finding import Finding, Words
from geometry.movement import STEP_FELT_MM, movement_of
from geometry.piece import Piece
from geometry.species import SPECIES
from geometry.units import format_length
from geometry.use import Use


def movement_findings(piece: Piece, use: Use | None, words: Words) -> list[Finding]:
    """Return a finding where two woods glued to one another move too differently with the seasons."""
    moves = movement_of(piece, use)
    if moves is None or moves.unlike is None or moves.unlike.step_mm <= STEP_FELT_MM:
        return []
    pair = moves.unlike
    calm, lively = (SPECIES[name].label.split(" (")[0].lower() for name in (pair.calm, pair.lively))
    dry, damp = moves.humidity_percent
    step = format_length(pair.step_mm, words.units, decimals=2, denominator=64)
    return [
        Finding(
            "woods-move-differently", "advice",
            f"Between {dry:.0f} and {damp:.0f} % humidity, {lively} swells so much more than {calm} that steps of "
            f"up to {step} come and go at the ends of their glue lines, and the joints are strained.",
            "Lay the boards with their growth rings square to the joint, take woods that move alike, or keep the piece "
            "where the air changes little.",
        )
    ]  # fmt: skip
