"""Which nodes are chosen: some of one face, one of them the last that was touched."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.editing import nodes_of
from geometry.project import CutName, Node, Variant


@dataclass(frozen=True, slots=True)
class Selection:
    """Chosen nodes of one face.

    Attributes
    ----------
    cut : the face that is worked on, even while no node is chosen
    nodes : numbers of the chosen nodes, rising
    at : the one that keys go on from, among the chosen; None without any
    """

    cut: CutName = "front"
    nodes: tuple[int, ...] = ()
    at: int | None = None

    @classmethod
    def of(cls, cut: CutName, nodes: set[int] | tuple[int, ...], at: int | None = None) -> Selection:
        """Return a selection in order; without ``at`` the last node is it."""
        chosen = tuple(sorted(set(nodes)))
        return cls(cut, chosen, at if at in chosen else (chosen[-1] if chosen else None))

    def toggled(self, cut: CutName, node: int) -> Selection:
        """Return the selection with one node more or less; a node of the other face starts a new one."""
        if cut != self.cut:
            return Selection.of(cut, (node,))
        return Selection.of(cut, set(self.nodes) ^ {node}, node)

    def within(self, variant: Variant) -> Selection:
        """Return what of the selection there are nodes for."""
        count = len(variant.cut(self.cut).nodes)
        if all(i < count for i in self.nodes):
            return self
        return Selection.of(self.cut, tuple(i for i in self.nodes if i < count), self.at)


def chosen_nodes(variant: Variant, selection: Selection) -> tuple[Node, ...]:
    """Return the chosen nodes themselves."""
    nodes = variant.cut(selection.cut).nodes
    return tuple(nodes[i] for i in selection.nodes if i < len(nodes))


def stepped(variant: Variant, selection: Selection, by: int) -> Selection | None:
    """Return the next or previous node, on through both faces; None past the last or before the first."""
    order = [(cut, i) for cut in ("front", "side") for i in range(len(variant.cut(cut).nodes))]  # type: ignore[arg-type]
    if not order:
        return None
    if selection.at is None:
        start = 0 if by > 0 else len(order) - 1
        return Selection.of(order[start][0], (order[start][1],))  # type: ignore[arg-type]
    k = order.index((selection.cut, selection.at)) + by
    return Selection.of(order[k][0], (order[k][1],)) if 0 <= k < len(order) else None  # type: ignore[arg-type]


def everything(variant: Variant, cut: CutName) -> Selection:
    """Return all nodes of a face."""
    return Selection.of(cut, tuple(range(len(variant.cut(cut).nodes))))


def count_of(variant: Variant, cut: CutName) -> int:
    """Return how many nodes a line has, its two ends where it is the straight centre line."""
    return len(nodes_of(variant.cut(cut), variant.blank.length))
