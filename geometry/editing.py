"""What a maker does to the nodes of a line: add, move, delete, smooth or corner.

Every function takes a cut and returns a cut. What would give no line (two equal nodes in a row, a single node)
is not done, or falls back to the straight centre line; nothing here raises for a place that can be pointed at.
A cut without nodes is the straight centre line; the first edit gives it its two ends as nodes.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from itertools import pairwise

from msgspec.structs import replace

from geometry.checks import LARGEST_COORDINATE_MM
from geometry.lines import line_through
from geometry.nearest import nearest_place
from geometry.project import Cut, Node, NodeKind
from geometry.tolerances import PLACE_MM

CLOSEST_NODES_MM = 1.0
"""A node added nearer than this to another (a pencil line's width) would only make a kink: the other is meant."""

NUDGE_MM = 1.0
NUDGE_IN_INCHES_MM = 25.4 / 16
"""What an arrow key moves: one millimetre or a sixteenth of an inch; with Shift a tenth of it."""

_DECIMALS = 9
"""Places are kept to a millionth of a micrometre: 0.1 + 0.2 stays 0.3, and turning twice gives back the same."""

Place = tuple[float, float]


def tidy(value: float) -> float:
    """Return a length without the noise of its arithmetic, within the ten metres a place may be away."""
    limit = LARGEST_COORDINATE_MM
    return round(min(max(value, -limit), limit), _DECIMALS) + 0.0  # + 0.0: no minus zero in a file


def tidy_place(u: float, z: float) -> Place:
    """Return a place, tidied."""
    return tidy(u), tidy(z)


def same_place(a: Place, b: Place) -> bool:
    """Return True for places that no tool tells apart."""
    return math.hypot(a[0] - b[0], a[1] - b[1]) <= PLACE_MM


def nodes_of(cut: Cut, length_mm: float) -> tuple[Node, ...]:
    """Return the nodes of a cut; those of the straight centre line where it has none."""
    return cut.nodes or (Node((0.0, 0.0), "corner"), Node((0.0, tidy(length_mm)), "corner"))


def with_nodes(cut: Cut, nodes: Iterable[Node]) -> Cut:
    """Return the cut with other nodes.

    Of equal ones in a row the first stays, and fewer than two become the straight centre line.
    """
    kept: list[Node] = []
    for node in nodes:
        if not kept or not same_place(kept[-1].at, node.at):
            kept.append(node)
    return replace(cut, nodes=tuple(kept) if len(kept) > 1 else ())


def _if_a_line(cut: Cut, nodes: Sequence[Node]) -> Cut:
    """Return the cut with those nodes, or unchanged where that would bring two in a row into the same place."""
    before = {(a.at, b.at) for a, b in pairwise(cut.nodes)}
    for a, b in pairwise(nodes):
        if same_place(a.at, b.at) and (a.at, b.at) not in before:
            return cut
    return replace(cut, nodes=tuple(nodes))


# ---------------------------------------------------------------- adding


def with_node_added(
    cut: Cut, length_mm: float, point: Place, kind: NodeKind | None = None, across_stretch: float = 1.0
) -> tuple[Cut, int]:
    """Return the cut with a node on its line nearest to a point, or beyond its end at the point; and its number.

    A node on the line is smooth unless said otherwise, so that it can be pulled into a curve at once; only within a
    straight stretch that a curve leaves tangent (a post) it is a corner, so that the post stays one.

    The line grows at an end that does not reach the end of the face yet and that the point lies beyond; the height
    stops at the end of the face. Where the line is straight up to its old end, the new stretch leaves it tangent.

    Parameters
    ----------
    cut : the cut
    length_mm : length of the blank
    point : (u, z), where the maker points
    kind : of the new node; None chooses
    across_stretch : how many times wider than true the face is drawn

    Returns
    -------
    the cut and the number of the node at that place: of one that was there already if it is within a millimetre
    """
    nodes = nodes_of(cut, length_mm)
    line = line_through(nodes)
    near = nearest_place(line, point, across_stretch)
    last = len(nodes) - 1
    at_start, at_end = near.piece == 0 and near.t <= 0.0, near.piece == last - 1 and near.t >= 1.0
    if at_start or at_end:
        end = line.end if at_end else line.start
        outward = line.end_direction if at_end else -line.start_direction
        short = end[1] < length_mm - PLACE_MM if at_end else end[1] > PLACE_MM
        beyond = (point[0] - end[0]) * outward[0] + (point[1] - end[1]) * outward[1] > CLOSEST_NODES_MM
        if short and beyond:
            return _grown(cut, nodes, length_mm, point, at_end, kind)
        return cut, last if at_end else 0
    at = tidy_place(*near.at)
    for i in (near.piece, near.piece + 1):
        if math.dist(at, nodes[i].at) < CLOSEST_NODES_MM:
            return cut, i
    before, after = nodes[near.piece], nodes[near.piece + 1]
    if kind is None:
        is_post = before.kind == after.kind == "corner" and (before.tangent or after.tangent)
        kind = "corner" if is_post else "smooth"
    new = (*nodes[: near.piece + 1], Node(at, kind), *nodes[near.piece + 1 :])
    return _if_a_line(cut, new), near.piece + 1


def _grown(
    cut: Cut, nodes: tuple[Node, ...], length_mm: float, point: Place, at_end: bool, kind: NodeKind | None
) -> tuple[Cut, int]:
    at = tidy_place(point[0], min(max(point[1], 0.0), length_mm))
    run = nodes if at_end else nodes[::-1]
    if same_place(at, run[-1].at):
        return cut, len(nodes) - 1 if at_end else 0
    was_straight = run[-1].kind == run[-2].kind == "corner"
    joint = replace(run[-1], tangent=True) if was_straight else replace(run[-1], kind="smooth", tangent=False)
    grown = (*run[:-1], joint, Node(at, kind or "smooth"))
    return replace(cut, nodes=grown if at_end else grown[::-1]), len(nodes) if at_end else 0


def through_places(cut: Cut, places: Iterable[Place], kind: NodeKind = "smooth") -> Cut:
    """Return the cut with a new line through places in order, as drawn with the pen.

    Fewer than two places are no line and leave the cut unchanged. A line drawn from the top down is turned round, so
    that it runs from the foot to the top.
    """
    nodes = [Node(tidy_place(*p), kind) for p in places]
    if nodes and nodes[0].at[1] > nodes[-1].at[1]:
        nodes.reverse()
    drawn = with_nodes(cut, nodes)
    return drawn if drawn.nodes else cut


# ---------------------------------------------------------------- moving


def with_nodes_moved(
    cut: Cut,
    length_mm: float,
    numbers: Collection[int],
    across_mm: float,
    up_mm: float,
    hold_ends: bool = True,
) -> Cut:
    """Return the cut with some of its nodes moved together; unchanged where two nodes would fall into one.

    Parameters
    ----------
    cut : the cut
    length_mm : length of the blank
    numbers : which nodes; numbers there are no nodes for are left aside
    across_mm, up_mm : how far
    hold_ends : the line's first and last node slide along the ends of the face if they lie on them, so that the
        line goes on running end to end
    """
    moved = list(nodes_of(cut, length_mm))
    for i in set(numbers) & set(range(len(moved))):
        u, z = moved[i].at
        held = hold_ends and _is_held(moved, i, length_mm)
        moved[i] = replace(moved[i], at=tidy_place(u + across_mm, z if held else z + up_mm))
    return _if_a_line(cut, moved)


def with_node_at(cut: Cut, length_mm: float, number: int, at: Place, hold_ends: bool = True) -> Cut:
    """Return the cut with one node at a place, as typed or dragged; unchanged where it would fall onto its neighbour.

    Ends are held as in `with_nodes_moved`.
    """
    nodes = nodes_of(cut, length_mm)
    if not 0 <= number < len(nodes):
        return cut
    u, z = nodes[number].at
    return with_nodes_moved(cut, length_mm, (number,), at[0] - u, at[1] - z, hold_ends)


def _is_held(nodes: Sequence[Node], number: int, length_mm: float) -> bool:
    z = nodes[number].at[1]
    at_foot = number == 0 and abs(z) <= PLACE_MM
    at_top = number == len(nodes) - 1 and abs(z - length_mm) <= PLACE_MM
    return at_foot or at_top


def nudge_step(display_units: str, fine: bool = False) -> float:
    """Return how far an arrow key moves a node in millimetres; ``fine`` (with Shift) a tenth of that."""
    step = NUDGE_IN_INCHES_MM if display_units == "in" else NUDGE_MM
    return step / 10.0 if fine else step


# ---------------------------------------------------------------- deleting, smooth or corner


def without_nodes(cut: Cut, length_mm: float, numbers: Collection[int]) -> Cut:
    """Return the cut without some of its nodes; with fewer than two left it is the straight centre line again."""
    nodes = nodes_of(cut, length_mm)
    if not set(numbers) & set(range(len(nodes))):
        return cut
    return with_nodes(cut, (n for i, n in enumerate(nodes) if i not in set(numbers)))


def with_kind(cut: Cut, length_mm: float, numbers: Collection[int], kind: NodeKind) -> Cut:
    """Return the cut with some of its nodes made smooth or corner; only a corner can be tangent."""
    chosen = set(numbers)
    return replace(
        cut,
        nodes=tuple(
            replace(n, kind=kind, tangent=n.tangent and kind == "corner") if i in chosen else n
            for i, n in enumerate(nodes_of(cut, length_mm))
        ),
    )


def with_tangent(cut: Cut, length_mm: float, numbers: Collection[int], tangent: bool) -> Cut:
    """Return the cut where a curve leaves some of its corners along the straight stretch there, or freely.

    A smooth node asked to be tangent becomes a corner: it is where the straight stretch ends.
    """
    chosen = set(numbers)
    return replace(
        cut,
        nodes=tuple(
            replace(n, kind="corner" if tangent else n.kind, tangent=tangent) if i in chosen else n
            for i, n in enumerate(nodes_of(cut, length_mm))
        ),
    )
