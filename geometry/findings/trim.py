"""Can the trims be sawn, and what do they leave?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from geometry.curvature import tightest_bend
from geometry.findings.blade import bend_findings
from geometry.findings.finding import Finding, Words, capital
from geometry.findings.line import corner_findings
from geometry.project import CutName, Variant
from geometry.tolerances import PLACE_MM
from geometry.trims import SawnTrim
from geometry.webs import self_contacts

VIEW: dict[CutName, str] = {"front": "front", "side": "side"}


def trim_findings(name: CutName, trims: Sequence[SawnTrim], variant: Variant, words: Words) -> list[Finding]:
    """Return all there is to say about the trims of one direction.

    Parameters
    ----------
    name, trims : the direction and its trims, sawn or refused; on a tapered blank none is even tried
    variant : the design, for its limits and what it asks for
    words : the maker's unit
    """
    asked = variant.cut(name).trims
    if variant.blank.is_tapered:
        if not asked:
            return []
        u, z = asked[0].nodes[0].at
        return [
            Finding(
                "trim-on-taper", "stop",
                f"There are trims in the {VIEW[name]} view, but the halves of a tapered blank do not lie flat to flat, "
                "so they cannot be taped together for trimming.",
                "Use a straight blank and let the trims make the taper, or take the trims out.", name, (u, z),
            )
        ]  # fmt: skip
    out: list[Finding] = []
    for trim in trims:
        out += [replace(f, trim=trim.number) for f in _one_trim(name, trim, variant, words)]
    return out


def _one_trim(name: CutName, trim: SawnTrim, variant: Variant, words: Words) -> list[Finding]:
    subject = f"trim {trim.number} of the {VIEW[name]} view"
    if trim.fault is not None and trim.fault_at is not None:
        return [_fault(name, subject, trim, words)]
    out: list[Finding] = []
    contacts = self_contacts(trim.line)
    if contacts:
        out.append(
            Finding(
                "line-touches-itself", "stop",
                f"{capital(subject)} touches itself {words.up(contacts[0][1])}: the blade would saw a piece loose.",
                "Move the nodes on either side of that place apart.", name, contacts[0],
            )
        )  # fmt: skip
    out += bend_findings(subject, name, trim.trim.blade, tightest_bend(trim.line), words)
    out += corner_findings(subject, name, trim.line, words)
    u, z = _nearest_to_seam(trim)
    left = trim.side * u - variant.sanding
    if left < variant.limits.wall - PLACE_MM:
        out.append(
            Finding(
                "wall-too-thin", "caution",
                f"{capital(subject)} leaves only {words.length(max(left, 0.0))} between the glue seam and the trimmed "
                f"face at {words.up(z)}: that wall may break.",
                f"Move it out by {words.length(variant.limits.wall - left)}.", name, (u, z),
            )
        )  # fmt: skip
    return out


def _nearest_to_seam(trim: SawnTrim) -> tuple[float, float]:
    """Return the place (u, z) of the trimmed face nearest to u = 0; of the whole trim where it leaves no face."""
    face = shapely.intersection(shapely.LineString(trim.path), shapely.buffer(trim.taken, PLACE_MM))
    points = shapely.get_coordinates(face)
    points = points if len(points) else trim.path
    u, z = points[int(np.argmin(trim.side * points[:, 0]))]
    return float(u), float(z)


def _fault(name: CutName, subject: str, trim: SawnTrim, words: Words) -> Finding:
    assert trim.fault is not None and trim.fault_at is not None
    u, z = trim.fault_at
    if trim.fault == "trim-crosses-axis":
        return Finding(
            trim.fault, "stop",
            f"{capital(subject)} crosses the middle by {words.length(abs(u))} at {words.up(z)}: it would saw into the "
            "other half, which has its own trims.",
            "Keep it on one side of the glue seam; trim the other side with a trim of its own.", name, (u, z),
        )  # fmt: skip
    return Finding(
        trim.fault, "stop",
        f"{capital(subject)} does not come out on both sides of the wood: one of its ends is within it, or it misses "
        f"the wood, near {words.length(u)} across and {words.length(z)} up.",
        "Draw both of its ends past the outline, so that the blade goes in and comes out.", name, (u, z),
    )  # fmt: skip
