"""What the faces say in words: names, places, and sentences about what is pointed at."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Final

from app.faces.drawn import DrawnLine, ThinWall, TightBend
from app.faces.flats import DrawnFlats
from app.faces.selection import Selection, cut_of
from geometry.blades import widest_stock_blade
from geometry.findings import Finding
from geometry.layup_words import listed
from geometry.project import CutName, DisplayUnits, Node, Variant
from geometry.trims import may_be_left_out
from geometry.units import format_length

FACE: Final[dict[CutName, str]] = {"front": "Front face", "side": "Right face"}
LINE: Final[dict[CutName, str]] = {"front": "Front line", "side": "Side line"}

VIEWED: Final[dict[CutName, str]] = {"front": "From the front", "side": "From the right"}
"""What the two directions are called, flats together."""


IMPOSSIBLE: Final = "The lines cannot be sawn as drawn. The piece shows the last ones that could, in grey."
INVITE: Final = "Click to bend the line"
INVITE_TO_TRIM: Final = "Click beside the wood, on it, and beside it again to saw a trim"
NO_TRIMS_ON_TAPER: Final = (
    "The halves of a tapered blank do not lie flat to flat, so they cannot be trimmed. For a post above and a taper "
    "below, make the blank straight and let trims make the taper."
)


def size(mm: float, units: DisplayUnits) -> str:
    """Return a length as it is said on the sheet."""
    return format_length(mm, units).replace("-", "−")


def unbroken(sentence: str) -> str:
    """Return a sentence whose lengths do not break between the lines: 2 3/8", 60 mm."""
    return re.sub(r"(?<=\d) (?=\d+/\d|mm\b)", "\u00a0", sentence)


def across_words(u: float, units: DisplayUnits, trim: int | None = None) -> str:
    """Return a place across a face, or for a trim flats together, in words."""
    middle = "centre line" if trim is None else "glue seam"
    text = format_length(abs(u), units)
    if text == format_length(0.0, units):
        return f"on the {middle}"
    return f"{text} {'right' if u > 0.0 else 'left'} of the {middle}"


def node_kind(node: Node) -> str:
    """Return the kind of a node in words."""
    if node.kind == "corner" and node.tangent:
        return "corner, the curve leaves along the straight"
    return node.kind


def line_name(cut: CutName, trim: int | None = None) -> str:
    """Return what a line, or a trim by its number from 0, is called at the beginning of a sentence."""
    return LINE[cut] if trim is None else f"Trim {trim + 1}, {VIEWED[cut].lower()}"


def node_words(variant: Variant, on: Selection, number: int, units: DisplayUnits) -> str:
    """Return all there is to say about one node."""
    nodes = cut_of(variant, on).nodes
    node = nodes[number]
    u, z = node.at
    return (
        f"{line_name(on.cut, on.trim)}, node {number + 1} of {len(nodes)}, {node_kind(node)}: "
        f"{across_words(u, units, on.trim)}, {format_length(z, units)} up"
    )


def selection_words(variant: Variant, selection: Selection, units: DisplayUnits) -> str:
    """Return what is chosen, for the screen reader and the status row."""
    named = line_name(selection.cut, selection.trim)
    if not selection.nodes:
        count = len(cut_of(variant, selection).nodes)
        what = f"{count} nodes" if count else "straight"
        return f"{named}, {what}, none selected"
    if len(selection.nodes) == 1:
        return node_words(variant, selection, selection.nodes[0], units)
    return f"{named}, {len(selection.nodes)} nodes selected"


def radius_label(radius_mm: float, units: DisplayUnits) -> str:
    """Return a radius for the sheet: large ones without tenths, which no hand feels."""
    if units == "mm":
        return f"R {format_length(radius_mm, units, decimals=0 if radius_mm >= 100.0 else 1)}"
    return f"R {format_length(radius_mm, units, denominator=1 if radius_mm >= 250.0 else 16)}"


def radius_words(drawn: DrawnLine, cut: CutName, units: DisplayUnits, trim: int | None = None) -> str:
    """Return what the tightest bend comes to."""
    assert drawn.bend is not None  # asked only about a bend that is drawn
    widest = widest_stock_blade(drawn.bend.radius_mm)
    of = f"the {LINE[cut].lower()}" if trim is None else f"trim {trim + 1} {VIEWED[cut].lower()}"
    follows = (
        "No stock blade follows it." if widest is None else f"A {_blade(widest.width_mm, units)} blade follows it."
    )
    return (
        f"The tightest bend of {of}: radius {size(drawn.bend.radius_mm, units)} "
        f"at {size(drawn.bend.at[1], units)} up. {follows}"
    )


def _blade(width_mm: float, units: DisplayUnits) -> str:
    return format_length(width_mm, units, decimals=2)


def wall_words(wall: ThinWall, limit_mm: float, units: DisplayUnits) -> str:
    """Return what there is to say about a thin wall no finding speaks of yet."""
    if wall.least_mm <= 0.0:
        return f"No wall is left at the {wall.edge} edge, {size(wall.at[1], units)} up."
    return (
        f"The wall at the {wall.edge} edge is only {size(wall.least_mm, units)} thick at {size(wall.at[1], units)} up; "
        f"it wants {size(limit_mm, units)}."
    )


def bend_words(bend: TightBend, units: DisplayUnits) -> str:
    """Return what there is to say about a stretch that bends too tightly."""
    if bend.wanted_mm is None:
        return "The chosen blade cannot turn at all, so it cannot follow this bend."
    return f"This stretch bends tighter than the blade follows: it wants a radius of {size(bend.wanted_mm, units)}."


def finding_words(finding: Finding) -> str:
    """Return a finding as it is shown on pointing at it."""
    return f"{finding.severity.capitalize()}: {finding.message}\n{finding.remedy}"


# ---------------------------------------------------------------- flats together


def trim_of(finding: Finding) -> int | None:
    """Return the number, from 0, of the trim that a finding is about; None where it is about something else."""
    if finding.code == "trim-on-taper":
        return 0
    return None if finding.trim is None else finding.trim - 1


def offcut_words(variant: Variant, cut: CutName, number: int, flats: DrawnFlats) -> str:
    """Return what is done with an offcut once the stock is put back square; front trims are sawn first."""
    sawn = [t.sawn for t in flats.trims]
    offcut = sawn[number]
    if offcut.offcut.is_empty:
        return f"Trim {number + 1} takes no wood off."
    if cut == "side":
        return f"Offcut {number + 1} {VIEWED[cut].lower()}: the last to be sawn, so it is not needed again."
    if may_be_left_out(offcut, sawn, variant.blank.length):
        return f"Offcut {number + 1} {VIEWED[cut].lower()} may be left out: the quarters are held beside it."
    return (
        f"Offcut {number + 1} {VIEWED[cut].lower()}: tape it back inside, with a shim of the kerf, until the other "
        "direction is sawn."
    )


def flats_words(variant: Variant, flats: Mapping[CutName, DrawnFlats]) -> str:
    """Return which offcuts go back into the stock before the second direction is sawn, in one sentence or two."""
    if variant.blank.is_tapered:
        return NO_TRIMS_ON_TAPER
    sawn = [t.sawn for t in flats["front"].trims]
    kept = [t.number for t in sawn if not t.offcut.is_empty and not may_be_left_out(t, sawn, variant.blank.length)]
    out = [t.number for t in sawn if not t.offcut.is_empty and t.number not in kept]
    if not kept and not out:
        return "Both halves are taped flat to flat and trimmed here, after both lines are sawn."
    said = []
    if kept:
        said.append(f"Tape front {_offcuts(kept)} back inside, with shims of the kerf, before the side is trimmed.")
    if out:
        said.append(f"{_offcuts(out).capitalize()} of the front may be left out.")
    return " ".join(said)


def _offcuts(numbers: Sequence[int]) -> str:
    words = [str(n) for n in numbers]
    return f"offcut{'' if len(words) == 1 else 's'} {listed(words)}"
