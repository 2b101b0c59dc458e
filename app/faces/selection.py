"""Which nodes are chosen: some of one line or of one trim, one of them the last that was touched."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from geometry import copying
from geometry.project import CUT_NAMES, Cut, CutName, Node, Variant
from geometry.trim_editing import as_cut, as_trim, with_trim

View = Literal["faces", "flats"]
"""What is on the sheet: the two faces with their lines, or both directions flats together with their trims."""


@dataclass(frozen=True, slots=True)
class Selection:
    """Chosen nodes of one line, or of one trim.

    Attributes
    ----------
    cut : the face, or the direction, that is worked on, even while no node is chosen
    nodes : numbers of the chosen nodes, rising
    at : the one that keys go on from, among the chosen; None without any
    trim : number of the trim the nodes belong to, from 0; None for the line
    """

    cut: CutName = "front"
    nodes: tuple[int, ...] = ()
    at: int | None = None
    trim: int | None = None

    @classmethod
    def of(
        cls, cut: CutName, nodes: set[int] | tuple[int, ...], at: int | None = None, trim: int | None = None
    ) -> Selection:
        """Return a selection in order; without ``at`` the last node is it."""
        chosen = tuple(sorted(set(nodes)))
        return cls(cut, chosen, at if at in chosen else (chosen[-1] if chosen else None), trim)

    def is_on(self, cut: CutName, trim: int | None) -> bool:
        """Return True where it is of this line or trim."""
        return (self.cut, self.trim) == (cut, trim)

    def toggled(self, cut: CutName, node: int, trim: int | None = None) -> Selection:
        """Return the selection with one node more or less; a node of another line starts a new one."""
        if not self.is_on(cut, trim):
            return Selection.of(cut, (node,), trim=trim)
        return Selection.of(cut, set(self.nodes) ^ {node}, node, trim)

    def within(self, variant: Variant) -> Selection:
        """Return what of the selection there are nodes for."""
        if self.trim is not None and self.trim >= len(variant.cut(self.cut).trims):
            return Selection(self.cut)
        count = len(cut_of(variant, self).nodes)
        if all(i < count for i in self.nodes):
            return self
        return Selection.of(self.cut, tuple(i for i in self.nodes if i < count), self.at, self.trim)


def cut_of(variant: Variant, selection: Selection) -> Cut:
    """Return the line that is worked on, or the trim as a cut of its own."""
    cut = variant.cut(selection.cut)
    return cut if selection.trim is None else as_cut(cut.trims[selection.trim])


def with_cut_of(variant: Variant, selection: Selection, cut: Cut) -> Variant:
    """Return the variant with the line, or the trim, that is worked on replaced; a trim of too few nodes goes."""
    if selection.trim is None:
        return copying.with_cut(variant, selection.cut, cut)
    changed = with_trim(variant.cut(selection.cut), selection.trim, as_trim(cut))
    return copying.with_cut(variant, selection.cut, changed)


def lines_on(variant: Variant, view: View) -> tuple[tuple[CutName, int | None], ...]:
    """Return what can be worked on in a view, in the order in which keys go through it."""
    if view == "faces":
        return tuple((cut, None) for cut in CUT_NAMES)
    return tuple((cut, i) for cut in CUT_NAMES for i in range(len(variant.cut(cut).trims)))


def chosen_nodes(variant: Variant, selection: Selection) -> tuple[Node, ...]:
    """Return the chosen nodes themselves."""
    nodes = cut_of(variant, selection).nodes
    return tuple(nodes[i] for i in selection.nodes if i < len(nodes))


def stepped(variant: Variant, selection: Selection, by: int, view: View = "faces") -> Selection | None:
    """Return the next or previous node, on through all lines of a view; None past the last or before the first."""
    order: Sequence[Selection] = [
        Selection.of(cut, (i,), trim=trim)
        for cut, trim in lines_on(variant, view)
        for i in range(len(cut_of(variant, Selection(cut, trim=trim)).nodes))
    ]
    if not order:
        return None
    if selection.at is None:
        return order[0 if by > 0 else len(order) - 1]
    here = Selection.of(selection.cut, (selection.at,), trim=selection.trim)
    k = order.index(here) + by
    return order[k] if 0 <= k < len(order) else None


def everything(variant: Variant, cut: CutName, trim: int | None = None) -> Selection:
    """Return all nodes of a line or a trim."""
    return Selection.of(cut, tuple(range(len(cut_of(variant, Selection(cut, trim=trim)).nodes))), trim=trim)
