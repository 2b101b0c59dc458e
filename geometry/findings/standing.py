"""Will it stand? Only where the maker has said that it stands by itself; screening, not certification."""

from __future__ import annotations

from geometry.findings.finding import Finding, Severity, Words
from geometry.piece import Piece
from geometry.standing import STEADY_DEG, Standing, standing_of
from geometry.use import Use
from geometry.wood_volumes import WoodInPiece, wood_in

_SCREENING = "This is screening, not certification."


def standing_findings(piece: Piece, use: Use | None, words: Words, wood: WoodInPiece | None = None) -> list[Finding]:
    """Return a finding where a lamp, a stool or a post tips too soon; ``wood`` is that of the piece where known."""
    if use is None or use.kind in (None, "leg"):
        return []
    wood = wood_in(piece) if wood is None else wood
    standing = standing_of(piece, use, wood.mass_kg, wood.centre_mm)
    if standing is None or standing.verdict == "steady":
        return []
    return [_finding(standing, use, words)]


def _finding(standing: Standing, use: Use, words: Words) -> Finding:
    severity: Severity = "caution" if standing.verdict == "tips" else "advice"
    cure = "Give it a wider foot or a plate under it, or put less weight up high."
    balance = f"its balance point is {words.length(standing.centre_mm[2])} above the floor"
    if standing.reach_mm < 0.0:
        message = (
            f"It falls toward the {standing.toward} by itself: {balance} and {words.length(-standing.reach_mm)} "
            "outside of what it stands on."
        )
    elif standing.seat_ratio is not None and standing.seat_ratio < 1.0:
        message = (
            f"Someone who sits near the edge of the seat tips it toward the {standing.toward}: what holds it down is "
            f"{100.0 * standing.seat_ratio:.0f} % of what tips it. {_SCREENING}"
        )
    else:
        asked = max(standing.needed_deg, STEADY_DEG) if severity == "advice" else standing.needed_deg
        whose = " where there are children" if use.for_children else ""
        message = (
            f"It tips toward the {standing.toward} when it is tilted by {standing.tip_angle_deg:.1f}°; "
            f"{asked:.0f}° is wise{whose}, and {balance}. {_SCREENING}"
        )
    return Finding("tips-over", severity, message, cure, None, (0.0, 0.0))
