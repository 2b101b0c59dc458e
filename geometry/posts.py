"""Straightening a stretch of a line into a post, where the piece keeps the blank's section."""

from __future__ import annotations

from msgspec.structs import replace

from geometry.editing import CLOSEST_NODES_MM, nodes_of, same_place, tidy, tidy_place, with_nodes
from geometry.lines import line_through
from geometry.nearest import passes_of_height
from geometry.project import Cut, Node
from geometry.tolerances import PLACE_MM


def with_post(cut: Cut, length_mm: float, low_mm: float, high_mm: float, across_mm: float = 0.0) -> Cut:
    """Return the cut with a straight upright stretch between two heights; unchanged where they are no stretch.

    What the line did between the first time it reached the lower height and the last time it left the upper one is
    replaced by two corners; a curve that arrives at them does so tangent to the post. Heights beyond the ends of
    the face stop there.

    Parameters
    ----------
    cut : the cut
    length_mm : length of the blank
    low_mm, high_mm : heights of the post's ends, in either order
    across_mm : where the post stands, 0 for the centre line
    """
    low, high = (tidy(min(max(z, 0.0), length_mm)) for z in sorted((low_mm, high_mm)))
    if high - low < CLOSEST_NODES_MM:
        return cut
    nodes = nodes_of(cut, length_mm)
    line = line_through(nodes)
    first, last = passes_of_height(line, low), passes_of_height(line, high)
    # along the line: node i stands at i, a place on piece i at i + t; a line that never gets there gives nothing way
    start = first[0][0] + first[0][1] if first else (-1.0 if line.start[1] > low else float(len(nodes)))
    stop = last[-1][0] + last[-1][1] if last else (float(len(nodes)) if line.end[1] < high else -1.0)
    below = [n for i, n in enumerate(nodes) if i < start - PLACE_MM] if low > PLACE_MM else []
    above = [n for i, n in enumerate(nodes) if i > stop + PLACE_MM] if high < length_mm - PLACE_MM else []
    foot = Node(tidy_place(across_mm, low), "corner", tangent=bool(below))
    top = Node(tidy_place(across_mm, high), "corner", tangent=bool(above))
    curve_up = _led_to(below, foot)
    curve_down = _led_to(above[::-1], top)[::-1]
    return with_nodes(cut, (*curve_up, foot, top, *curve_down))


def _led_to(nodes: list[Node], post_end: Node) -> list[Node]:
    """Return what is left of a line below a post (or, turned round, above it), so that it arrives in a curve.

    A lone end becomes smooth, and a straight stretch gets a smooth node half-way between it and the post: otherwise
    two corners in a row would be joined by a straight slope. A stretch in line with the post needs no curve.
    """
    while nodes and same_place(nodes[-1].at, post_end.at):
        nodes = nodes[:-1]
    if not nodes or nodes[-1].kind == "smooth" or abs(nodes[-1].at[0] - post_end.at[0]) <= PLACE_MM:
        return nodes
    if len(nodes) == 1:
        return [replace(nodes[0], kind="smooth", tangent=False)]
    (u, z), (post_u, post_z) = nodes[-1].at, post_end.at
    return [*nodes, Node(tidy_place((u + post_u) / 2.0, (z + post_z) / 2.0), "smooth")]
