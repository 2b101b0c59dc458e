"""What the checks have to say about a piece: one subject a file, gathered here, worst first."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.findings.blade import blade_findings, saw_findings
from geometry.findings.finding import SEVERITIES, Finding, Severity, Words, worst_first
from geometry.findings.grain import grain_findings
from geometry.findings.line import line_findings
from geometry.findings.movement import movement_findings
from geometry.findings.pattern import pattern_findings
from geometry.findings.section import quarter_findings, section_findings
from geometry.findings.standing import standing_findings
from geometry.findings.strength import strength_findings
from geometry.findings.taper import taper_findings
from geometry.findings.teeth import teeth_findings
from geometry.findings.trim import trim_findings
from geometry.lineup import Seam, line_up
from geometry.measures import smallest_section
from geometry.piece import Piece
from geometry.project import CUT_NAMES, DisplayUnits
from geometry.wood_volumes import WoodInPiece

__all__ = ["SEVERITIES", "Finding", "Severity", "Words", "findings_of", "has_stop"]


def findings_of(
    piece: Piece,
    units: DisplayUnits = "mm",
    seams: Sequence[Seam] | None = None,
    wood: WoodInPiece | None = None,
) -> tuple[Finding, ...]:
    """Return everything the checks have to say about a piece, worst first, lengths in the maker's unit.

    Parameters
    ----------
    piece : the piece
    units : the maker's unit
    seams : its seams as `line_up` gives them, where they are known already
    wood : its wood as `wood_in` gives it, where it is known already
    """
    words = Words(units)
    variant = piece.variant
    out: list[Finding] = []
    for name in CUT_NAMES:
        sawn, cut = piece.cut(name), variant.cut(name)
        out += line_findings(name, sawn.line, sawn.face, cut.kerf, variant.limits, words)
        out += blade_findings(name, cut, sawn.bend, words)
        out += trim_findings(name, sawn.trims, variant, words)
    out += quarter_findings(piece.quarters, words)
    out += section_findings(smallest_section(piece.front.widths, piece.side.widths), variant.limits, words)
    out += taper_findings(piece, words)
    out += saw_findings(variant, words)
    out += teeth_findings(variant, words)
    out += pattern_findings(piece, line_up(piece) if seams is None else seams, words)
    out += grain_findings(piece, words)
    out += strength_findings(piece, variant.use, words)
    out += standing_findings(piece, variant.use, words, wood)
    out += movement_findings(piece, variant.use, words)
    return worst_first(out)


def has_stop(findings: tuple[Finding, ...]) -> bool:
    """Return True when the piece cannot be built as drawn."""
    return any(f.severity == "stop" for f in findings)
