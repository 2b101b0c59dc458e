"""Do the blade's teeth suit the thickness of the blank?"""

from __future__ import annotations

from geometry.findings.finding import LINE, Finding, Words
from geometry.project import CUT_NAMES, Variant
from geometry.teeth import (
    BRISK_FEED,
    FEWEST_TEETH,
    FULL_ENOUGH,
    MOST_TEETH,
    TRADE_OFF,
    gullet_fill,
    sawn_depth_mm,
    teeth_in_work,
)
from geometry.units import MM_PER_INCH


def teeth_findings(variant: Variant, words: Words) -> list[Finding]:
    """Return a finding for each cut whose blade has too few or too many teeth in the work; only where they are told."""
    out: list[Finding] = []
    for name in CUT_NAMES:
        blade = variant.cut(name).blade
        if blade is None or blade.teeth_per_inch is None:
            continue
        depth = sawn_depth_mm(variant, name)
        count, fill = teeth_in_work(blade.teeth_per_inch, depth), gullet_fill(blade.teeth_per_inch, depth, BRISK_FEED)
        so = f"With {blade.teeth_per_inch:g} teeth to the inch, {count:.0f} stand in the {words.length(depth)} of wood"
        so += f" that {LINE[name]} is sawn through"
        if count < FEWEST_TEETH:
            least = FEWEST_TEETH * MM_PER_INCH / depth
            message, remedy = f"{so}: so few chatter and tear.", f"Take a blade with {least:.2g} or more to the inch."
            out.append(Finding("teeth-too-coarse", "advice", message, remedy, name))
        elif count > MOST_TEETH or fill > FULL_ENOUGH:
            message = f"{so}: their gullets pack with dust, the blade heats and wanders."
            out.append(
                Finding("teeth-too-fine", "advice", message, f"Take a coarser blade, or feed slowly. {TRADE_OFF}", name)
            )
    return out
