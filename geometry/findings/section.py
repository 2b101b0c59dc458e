"""Is what is left whole and thick enough?"""

from __future__ import annotations

import numpy as np

from geometry.findings.finding import Finding, Words
from geometry.measures import Section, moments
from geometry.project import Limits
from geometry.sawing import bodies_of
from geometry.solids import Solid


def quarter_findings(quarters: tuple[Solid, ...], words: Words) -> list[Finding]:
    """Return a finding for each quarter that falls into several bodies or has no wood at all."""
    out: list[Finding] = []
    for number, quarter in enumerate(quarters, start=1):
        if quarter.is_empty:
            out.append(
                Finding(
                    "quarter-in-pieces", "stop", f"Quarter {number} has no wood at all: the lines leave nothing of it.",
                    "Move the lines back onto the faces.",
                )
            )  # fmt: skip
            continue
        bodies = bodies_of(quarter)
        if len(bodies) > 1:
            z = float(np.clip(moments(bodies[1]).centre_mm[2], 0.0, None))
            out.append(
                Finding(
                    "quarter-in-pieces", "stop",
                    f"Quarter {number} falls into {len(bodies)} pieces; the largest loose one is {words.up(z)}.",
                    "Move the line away from the edge or from itself there, so that the quarter stays whole.",
                    None, (0.0, z),
                )
            )  # fmt: skip
    return out


def section_findings(smallest: Section | None, limits: Limits, words: Words) -> list[Finding]:
    """Return a finding where the piece is thinner than the limit."""
    if smallest is None:
        return []
    thin = min(smallest.width, smallest.depth)
    if thin >= limits.section:
        return []
    return [
        Finding(
            "section-too-thin", "caution",
            f"At {words.up(smallest.z)} the piece is only {words.length(smallest.width)} by "
            f"{words.length(smallest.depth)}: it may break in use.",
            f"Keep both sizes at {words.length(limits.section)} or more: use a larger blank, or an easier line there.",
            None, (0.0, smallest.z),
        )
    ]  # fmt: skip
