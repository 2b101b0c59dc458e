"""The numbers of the selected node, to be read and typed, for the status row."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QWidget

from app.faces.selection import Selection, cut_of, with_cut_of
from app.faces.words import line_name
from app.length_field import LengthField, Span
from geometry.checks import LARGEST_COORDINATE_MM
from geometry.editing import same_place, with_node_at, with_nodes_moved
from geometry.project import Blank, CutName, DisplayUnits, Variant

_REACH = Span(-LARGEST_COORDINATE_MM, LARGEST_COORDINATE_MM)


class NodeNumbers(QWidget):
    """Across and up of the selected node; of several nodes what they have in common."""

    edited = Signal(str, object)
    """A step of this name made the design this one."""
    trouble_changed = Signal(str)
    """Why what was typed cannot be, in a sentence; empty once that is mended."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty pair of numbers."""
        super().__init__(parent)
        self._variant = Variant("A", Blank(60.0, 60.0, 420.0))
        self._on = Selection()
        self._nodes: tuple[int, ...] = ()
        self._what = QLabel(self)
        self.across = LengthField("place across from the centre line", _REACH, parent=self)
        self.up = LengthField("height above the foot", _REACH, parent=self)
        self.across.explain("How far right of the centre line; less than nothing is left of it.")
        self.up.explain("How far above the foot.")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._what)
        for name, field, committed in (
            ("&across", self.across, self._on_across),
            ("&up", self.up, self._on_up),
        ):
            label = QLabel(name, self)
            label.setBuddy(field)
            field.setFixedWidth(field.fontMetrics().horizontalAdvance("−000 00/00 mm") + 16)
            field.committed.connect(committed)
            field.trouble_changed.connect(self._on_trouble)
            row.addWidget(label)
            row.addWidget(field)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.show_node(self._variant, "mm", "front", ())

    def show_node(
        self, variant: Variant, units: DisplayUnits, cut: CutName, nodes: Sequence[int], trim: int | None = None
    ) -> None:
        """Show the numbers of the selected nodes of one face's line, or of one of its trims."""
        on = Selection(cut, trim=trim).within(variant)
        at_another = (on, tuple(nodes)) != (self._on, self._nodes)
        self._variant, self._on = variant, on
        there = cut_of(variant, on).nodes
        self._nodes = tuple(i for i in nodes if i < len(there))
        places = [there[i].at for i in self._nodes]
        if at_another:  # what was being typed was meant for another node
            self.across.restore()
            self.up.restore()
        self.across.show_value(_common([u for u, _ in places]), units)
        self.up.show_value(_common([z for _, z in places]), units)
        self.across.setEnabled(bool(places))
        self.up.setEnabled(len(places) == 1)
        several = "several" if len(places) > 1 else ""
        self.across.setPlaceholderText(several)
        self.up.setPlaceholderText(several)
        self._what.setText(self._words())

    def _words(self) -> str:
        if not self._nodes:
            return "No node selected"
        named = line_name(self._on.cut, self._on.trim)
        if len(self._nodes) == 1:
            count = len(cut_of(self._variant, self._on).nodes)
            return f"{named}, node {self._nodes[0] + 1} of {count}"
        return f"{named}, {len(self._nodes)} nodes"

    def _on_across(self, u: float) -> None:
        variant, length = self._variant, self._variant.blank.length
        cut = cut_of(variant, self._on)
        for i in self._nodes:
            cut = with_nodes_moved(cut, length, (i,), u - cut.nodes[i].at[0], 0.0, hold_ends=False)
        if any(not same_place(cut.nodes[i].at, (u, cut.nodes[i].at[1])) for i in self._nodes):
            self.across.refuse("Another node is already there: two nodes in a row need two places.")
            return
        self._variant = with_cut_of(variant, self._on, cut)
        self.edited.emit("Set node across" if len(self._nodes) == 1 else "Set nodes across", self._variant)

    def _on_up(self, z: float) -> None:
        variant, number = self._variant, self._nodes[0]
        before = cut_of(variant, self._on)
        place = (before.nodes[number].at[0], z)
        cut = with_node_at(before, variant.blank.length, number, place, hold_ends=False)
        if not same_place(cut.nodes[number].at, place):
            self.up.refuse("Another node is already there: two nodes in a row need two places.")
            return
        self._variant = with_cut_of(variant, self._on, cut)
        self.edited.emit("Set node height", self._variant)

    @property
    def trouble(self) -> str:
        """Why what was typed cannot be, or nothing."""
        return self.across.trouble or self.up.trouble

    def _on_trouble(self) -> None:
        self.trouble_changed.emit(self.trouble)


def _common(values: list[float]) -> float | None:
    """Return the value they all have, or None."""
    return values[0] if values and all(v == values[0] for v in values) else None
