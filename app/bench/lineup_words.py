"""Whether the pattern meets at the seams, in sentences for the bench."""

from __future__ import annotations

from typing import Final

from app.bench.words import size
from geometry.lineup import Seam
from geometry.project import CutName, DisplayUnits
from geometry.report import Report

_SEAMS: Final[tuple[tuple[CutName, str], ...]] = (
    ("front", "Left and right seams"),
    ("side", "Front and back seams"),
)


def line_up_sentences(report: Report, units: DisplayUnits) -> tuple[str, ...]:
    """Return a sentence on the seams of either cut, what would cure them, and one on how busy the pattern is."""
    out = []
    for cut, label in _SEAMS:
        # both seams of a cut are the same line
        seam = next(s for s in report.seams if s.cut == cut)
        out.append(f"{label}: {seam_words(seam, units)}.")
    out += dict.fromkeys(f.remedy for f in report.findings if f.code == "pattern-does-not-meet")
    if report.busy is not None and report.busy.changes_per_100_mm is not None:
        length = 100.0 if units == "mm" else 304.8
        changes = report.busy.changes_per_100_mm * length / 100.0
        out.append(f"The wood changes {changes:.1f} times in {size(length, units)} of the piece.")
    return tuple(out)


def seam_words(seam: Seam, units: DisplayUnits) -> str:
    """Return how a seam lines up."""
    if seam.same_species is None:
        return "the pattern is too fine to be followed"
    if not seam.crossings:
        text = "no strip ends at them"
    elif seam.meeting == seam.crossings:
        text = f"all {seam.crossings} borders meet" if seam.crossings > 1 else "the one border meets"
    else:
        text = f"{seam.meeting} of {seam.crossings} borders meet"
        if seam.largest_step_mm > 0.0:
            text += f", the worst steps by {size(seam.largest_step_mm, units)}"
    return f"{text}; {100.0 * seam.same_species:.0f} % the same wood on both sides"
