"""Can the chosen blade follow the line, and can the saw pass the block?"""

from __future__ import annotations

from geometry.blades import STOCK_BLADES, StockBlade, reach, widest_stock_blade
from geometry.curvature import TightestBend
from geometry.findings.finding import LINE, Finding, Words, capital
from geometry.project import CUT_NAMES, Blade, Cut, CutName, Variant

_KERF_DIFFERENCE_MM = 0.1
"""A drawn kerf further than this from the measured one shows in the glued piece."""


def blade_findings(name: CutName, cut: Cut, bend: TightestBend | None, words: Words) -> list[Finding]:
    """Return what there is to say about one line and its blade.

    Parameters
    ----------
    name, cut : the cut, with the blade chosen for it or none
    bend : the line's tightest bend, or None where it is all straight
    words : the maker's unit
    """
    out = bend_findings(LINE[name], name, cut.blade, bend, words)
    blade = cut.blade
    if blade is not None and blade.kerf is not None and abs(blade.kerf - cut.kerf) > _KERF_DIFFERENCE_MM:
        out.append(
            Finding(
                "kerf-differs", "advice",
                f"The blade for {LINE[name]} was measured to saw {words.length(blade.kerf)}, but the line is drawn "
                f"with a kerf of {words.length(cut.kerf)}.",
                "Set the kerf to the measured one, so that the sizes come out as shown.", name,
            )
        )  # fmt: skip
    return out


def bend_findings(
    subject: str, name: CutName, blade: Blade | None, bend: TightestBend | None, words: Words
) -> list[Finding]:
    """Return a finding where a blade, or any stock blade where none is chosen, cannot follow a line or a trim.

    Parameters
    ----------
    subject : what bends, as it stands in a sentence
    name : the cut it belongs to
    blade : the blade chosen for it, or None
    bend : its tightest bend, or None where it is all straight
    words : the maker's unit
    """
    if bend is None:
        return []
    widest = widest_stock_blade(bend.radius_mm)
    tight = f"{capital(subject)} bends to a radius of {words.length(bend.radius_mm)} at {words.up(bend.at[1])}"
    if widest is None:
        narrowest = STOCK_BLADES[0]
        cure = (
            f"Ease the bend to at least {words.length(narrowest.radius_mm)}, which a "
            f"{_width(narrowest, words)} blade follows; no stock blade follows it as drawn."
        )
    else:
        cure = f"Ease the bend, or take a blade of {_width(widest, words)} or narrower."
    if blade is None:
        if widest is not None:
            return []
        return [Finding("no-stock-blade-follows", "caution", f"{tight}, tighter than any stock blade follows.",
                        cure, name, bend.at)]  # fmt: skip
    limit = reach(blade)
    what = f"the chosen {words.length(blade.width)} blade"
    if limit.radius_mm is None:
        return [
            Finding(
                "radius-too-tight", "stop",
                f"{tight}, but {what} saws a slot no wider than its own body, so it cannot turn at all.",
                "Measure its kerf and body again, or take a blade with more set.", name, bend.at,
            )
        ]  # fmt: skip
    if bend.radius_mm < limit.radius_mm:
        return [
            Finding(
                "radius-too-tight", "stop",
                f"{tight}, but {what} follows no less than {words.length(limit.radius_mm)}.",
                cure, name, bend.at,
            )
        ]  # fmt: skip
    if not limit.is_known:
        return [
            Finding(
                "blade-not-in-table", "caution",
                f"No radius is commonly given for a blade as wide as {words.length(blade.width)}, so whether it "
                f"follows {subject} is not known.",
                "Measure its body and kerf, or try the tightest bend in scrap first.", name, bend.at,
            )
        ]  # fmt: skip
    return []


def _width(blade: StockBlade, words: Words) -> str:
    return blade.inches if words.units == "in" else f"{blade.width_mm:g} mm ({blade.inches})"


def saw_findings(variant: Variant, words: Words) -> list[Finding]:
    """Return a finding for each cut whose block is taller than the saw's depth of cut."""
    blank, most = variant.blank, variant.saw.depth_of_cut
    out: list[Finding] = []
    for name in CUT_NAMES:
        # the front line is sawn through the depth, the side line through the width; a taper's thick end counts
        sizes = (blank.depth, blank.depth_at_top) if name == "front" else (blank.width, blank.width_at_top)
        tall = max(sizes)
        if tall > most:
            out.append(
                Finding(
                    "blank-too-tall-for-saw", "caution",
                    f"For {LINE[name]} the blank stands {words.length(tall)} tall on the table, but the saw cuts "
                    f"{words.length(most)} deep: it does not pass under the guides.",
                    f"Use a blank of at most {words.length(most)}, or a saw with more depth of cut.", name,
                )
            )  # fmt: skip
    return out
