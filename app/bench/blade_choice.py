"""Choosing a blade: none, a stock width, or one's own with its measured width, body and kerf."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.bench.rows import CalmChoice, Labelled, Rows, Sentence
from app.bench.words import odd_entry, reach_words, stock_entry, stock_of
from app.length_field import SIZES, THICKNESSES, Fineness, LengthField, Span
from geometry.blades import STOCK_BLADES, reach
from geometry.project import Blade, DisplayUnits

_NONE, _OWN, _ODD = "none", "own", "odd"
"""What an entry of the list stands for, beside the stock blades, which are numbers."""


class BladeChoice(QWidget):
    """The blade of one line."""

    chosen = Signal(object)
    """A `geometry.project.Blade`, or None for none."""

    def __init__(self, line: str, parent: QWidget | None = None) -> None:
        """Make a choice for a line, as "front line"."""
        super().__init__(parent)
        self._line = line
        self._units: DisplayUnits = "mm"
        self._blade: Blade | None = None
        self._kerf = 0.0
        self._is_measuring = False  # "my own blade" was chosen, its numbers are not complete yet
        self.list = CalmChoice(f"Blade for the {line}")
        self._own = Rows()
        self.width_field = self._length("Width", "width of the blade", "From the tips of the teeth to the back.", SIZES)
        self.body_field = self._length(
            "Body", "body of the blade", "Thickness behind the teeth, measured with a caliper.", THICKNESSES
        )
        self.kerf_field = self._length(
            "Kerf it saws", "kerf it saws", "Width of the slot it leaves, measured in a piece of scrap.", THICKNESSES
        )
        self.words = Sentence()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(Labelled("Blade", self.list))
        column.addWidget(self._own)
        column.addWidget(self.words)
        self.list.activated.connect(self._on_list)
        self._fill()
        self._show_state()

    def _length(self, label: str, name: str, tip: str, fineness: Fineness) -> LengthField:
        field = self._own.add(label, LengthField(name, Span(above=0.0, most=200.0), fineness))
        field.explain(tip)
        field.committed.connect(self._on_measured)
        return field

    # -------------------------------------------------------------- showing

    def show_blade(self, blade: Blade | None, kerf: float, units: DisplayUnits) -> None:
        """Show the blade chosen for the line and the kerf the line is drawn with.

        Measurements that are not complete yet stay while the blade stays the same.
        """
        if blade != self._blade:
            self._is_measuring = False
        changed = blade != self._blade or units != self._units
        self._blade, self._kerf, self._units = blade, kerf, units
        if changed:
            self._fill()
        self._show_state()

    def forget_typing(self) -> None:
        """Drop measurements that are not complete and text that could not be read."""
        self._is_measuring = False
        for field in self._fields():
            field.restore()
        self._show_state()

    def _fields(self) -> tuple[LengthField, LengthField, LengthField]:
        return self.width_field, self.body_field, self.kerf_field

    def _fill(self) -> None:
        blade = self._blade
        self.list.clear()
        self.list.addItem("None chosen", _NONE)
        for i, stock in enumerate(STOCK_BLADES):
            self.list.addItem(stock_entry(stock, self._units), i)
        if blade is not None and not blade.is_measured and stock_of(blade) is None:
            self.list.addItem(odd_entry(blade, self._units), _ODD)
        self.list.addItem("My own blade, measured", _OWN)

    def _entry(self) -> str | int:
        blade = self._blade
        if self._is_measuring or (blade is not None and blade.is_measured):
            return _OWN
        if blade is None:
            return _NONE
        stock = stock_of(blade)
        return _ODD if stock is None else STOCK_BLADES.index(stock)

    def _show_state(self) -> None:
        self.list.setCurrentIndex(self.list.findData(self._entry()))
        self.list.setToolTip(self.list.currentText())
        self._own.setVisible(self._entry() == _OWN)
        if self._is_measuring:
            for field in self._fields():
                field.show_value(field.value, self._units)
            self._say("Measure all three on your blade; then the radius it follows is known.", False)
            return
        blade = self._blade
        measured = blade if blade is not None and blade.is_measured else None
        self.width_field.show_value(measured.width if measured else None, self._units)
        self.body_field.show_value(measured.body if measured else None, self._units)
        self.kerf_field.show_value(measured.kerf if measured else None, self._units)
        unusual = blade is not None and (blade.is_measured or not reach(blade).is_known)
        # a stock blade's radius stands in the list already
        cannot_turn = blade is not None and reach(blade).radius_mm is None
        self._say(reach_words(blade, self._units) if unusual else "", cannot_turn)

    def _say(self, sentence: str, is_trouble: bool) -> None:
        self.words.set_trouble(is_trouble)
        self.words.say(sentence)

    # -------------------------------------------------------------- choosing

    def _on_list(self) -> None:
        entry = self.list.currentData()
        if entry == self._entry():
            return
        if entry == _OWN:
            self._begin_measuring()
            return
        self._is_measuring = False
        if entry == _ODD or entry == self._entry():
            self._show_state()  # back from measuring to the blade there was
            return
        self._choose(None if entry == _NONE else Blade(STOCK_BLADES[entry].width_mm))

    def _begin_measuring(self) -> None:
        self._is_measuring = True
        self.width_field.show_value(self._blade.width if self._blade else None, self._units)
        self.body_field.show_value(None, self._units)
        self.kerf_field.show_value(self._kerf or None, self._units)
        self._show_state()
        (self.body_field if self._blade else self.width_field).setFocus()

    def _on_measured(self) -> None:
        width, body, kerf = (field.value for field in self._fields())
        if width is None or body is None or kerf is None:
            return
        self._choose(Blade(width, body, kerf))

    def _choose(self, blade: Blade | None) -> None:
        self._blade, self._is_measuring = blade, False
        self._fill()
        self._show_state()
        self.chosen.emit(blade)
