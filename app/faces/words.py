"""What the faces say in words: names, places, and sentences about what is pointed at."""

from __future__ import annotations

import re
from typing import Final

from app.faces.drawn import DrawnLine, ThinWall, TightBend
from app.faces.selection import Selection
from geometry.blades import widest_stock_blade
from geometry.findings import Finding
from geometry.project import CutName, DisplayUnits, Node, Variant
from geometry.units import format_length

FACE: Final[dict[CutName, str]] = {"front": "Front face", "side": "Right face"}
LINE: Final[dict[CutName, str]] = {"front": "Front line", "side": "Side line"}

IMPOSSIBLE: Final = "The lines cannot be sawn as drawn. The piece shows the last ones that could, in grey."
INVITE: Final = "Click to bend the line"


def size(mm: float, units: DisplayUnits) -> str:
    """Return a length as it is said on the sheet."""
    return format_length(mm, units).replace("-", "−")


def unbroken(sentence: str) -> str:
    """Return a sentence whose lengths do not break between the lines: 2 3/8", 60 mm."""
    return re.sub(r"(?<=\d) (?=\d+/\d|mm\b)", "\u00a0", sentence)


def across_words(u: float, units: DisplayUnits) -> str:
    """Return a place across a face in words."""
    text = format_length(abs(u), units)
    if text == format_length(0.0, units):
        return "on the centre line"
    return f"{text} {'right' if u > 0.0 else 'left'} of the centre line"


def node_kind(node: Node) -> str:
    """Return the kind of a node in words."""
    if node.kind == "corner" and node.tangent:
        return "corner, the curve leaves along the straight"
    return node.kind


def node_words(variant: Variant, cut: CutName, number: int, units: DisplayUnits) -> str:
    """Return all there is to say about one node."""
    nodes = variant.cut(cut).nodes
    node = nodes[number]
    u, z = node.at
    return (
        f"{LINE[cut]}, node {number + 1} of {len(nodes)}, {node_kind(node)}: "
        f"{across_words(u, units)}, {format_length(z, units)} up"
    )


def selection_words(variant: Variant, selection: Selection, units: DisplayUnits) -> str:
    """Return what is chosen, for the screen reader and the status row."""
    if not selection.nodes:
        count = len(variant.cut(selection.cut).nodes)
        what = f"{count} nodes" if count else "straight"
        return f"{LINE[selection.cut]}, {what}, none selected"
    if len(selection.nodes) == 1:
        return node_words(variant, selection.cut, selection.nodes[0], units)
    return f"{LINE[selection.cut]}, {len(selection.nodes)} nodes selected"


def radius_label(radius_mm: float, units: DisplayUnits) -> str:
    """Return a radius for the sheet: large ones without tenths, which no hand feels."""
    if units == "mm":
        return f"R {format_length(radius_mm, units, decimals=0 if radius_mm >= 100.0 else 1)}"
    return f"R {format_length(radius_mm, units, denominator=1 if radius_mm >= 250.0 else 16)}"


def radius_words(drawn: DrawnLine, cut: CutName, units: DisplayUnits) -> str:
    """Return what the tightest bend comes to."""
    assert drawn.bend is not None  # asked only about a bend that is drawn
    widest = widest_stock_blade(drawn.bend.radius_mm)
    follows = (
        "No stock blade follows it." if widest is None else f"A {_blade(widest.width_mm, units)} blade follows it."
    )
    return (
        f"The tightest bend of the {LINE[cut].lower()}: radius {size(drawn.bend.radius_mm, units)} "
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
