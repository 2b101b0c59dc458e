"""The section of one line: the blade that follows it and the kerf it is sawn with."""

from __future__ import annotations

from typing import Final

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

from app.bench.blade_choice import BladeChoice
from app.bench.rows import Rows
from app.bench.section import Section
from app.bench.words import odd_entry, stock_of
from app.length_field import THICKNESSES, LengthField, Span
from geometry.checks import LARGEST_KERF_MM
from geometry.project import Blade, Cut, CutName, DisplayUnits

_TITLES: Final[dict[CutName, str]] = {"front": "Front line", "side": "Side line"}


class CutSection(Section):
    """Blade and kerf of the front line or the side line."""

    changed = Signal(str, str, object)
    """Name of the cut, name of the step, and the new `geometry.project.Cut`."""

    same_asked = Signal()
    """The maker wants the blade and kerf of the other line here too."""

    def __init__(self, name: CutName, parent: QWidget | None = None) -> None:
        """Make the section of a line."""
        super().__init__(_TITLES[name], parent=parent)
        self._name = name
        self._cut = Cut()
        self._units: DisplayUnits = "mm"
        line = self.title.lower()
        self.blade = BladeChoice(line)
        self.blade.chosen.connect(self._on_blade)
        rows = Rows()
        self.kerf = rows.add("Kerf", LengthField(f"kerf of the {line}", Span(0.0, LARGEST_KERF_MM), THICKNESSES))
        self.kerf.explain("Width of the slot the blade leaves. The piece comes out that much smaller.")
        self.kerf.committed.connect(self._on_kerf)
        self.measured_kerf = QPushButton("Use the measured kerf")
        self.measured_kerf.clicked.connect(self._on_measured_kerf)
        self.same = QPushButton("Same blade and kerf as the front line")
        self.same.clicked.connect(self.same_asked)
        self.same.hide()
        self.contents.addWidget(self.blade)
        self.contents.addWidget(rows)
        self.contents.addWidget(self.measured_kerf)
        self.contents.addWidget(self.same)
        self.show_cut(self._cut, "mm")

    def show_cut(self, cut: Cut, units: DisplayUnits) -> None:
        """Show the blade and kerf of a cut."""
        self._cut, self._units = cut, units
        self.blade.show_blade(cut.blade, cut.kerf, units)
        self.kerf.show_value(cut.kerf, units)
        measured = cut.blade.kerf if cut.blade is not None else None
        differs = measured is not None and measured != cut.kerf
        self.measured_kerf.setVisible(differs)
        if measured is not None:
            self.measured_kerf.setText(f"Use the measured kerf, {THICKNESSES.text(measured, units)}")
        self.header.set_summary(f"{self._blade_words()}, kerf {THICKNESSES.text(cut.kerf, units)}")

    def forget_typing(self) -> None:
        """Drop text that could not be read and measurements that are not complete."""
        self.kerf.restore()
        self.blade.forget_typing()

    def offer_same(self, is_same: bool) -> None:
        """Offer the other line's blade and kerf while they differ from this one's."""
        self.same.setVisible(not is_same)

    def _blade_words(self) -> str:
        blade = self._cut.blade
        if blade is None:
            return "no blade"
        if blade.is_measured:
            return "my own blade"
        stock = stock_of(blade)
        if stock is None:
            return odd_entry(blade, self._units).partition(",")[0]
        return f"{stock.width_mm:g} mm" if self._units == "mm" else stock.inches

    def _on_blade(self, blade: Blade | None) -> None:
        self._emit("Choose blade for", msgspec.structs.replace(self._cut, blade=blade))

    def _on_kerf(self, mm: float) -> None:
        self._emit("Set kerf of", msgspec.structs.replace(self._cut, kerf=mm))

    def _on_measured_kerf(self) -> None:
        if self._cut.blade is not None and self._cut.blade.kerf is not None:
            self._on_kerf(self._cut.blade.kerf)

    def _emit(self, doing: str, cut: Cut) -> None:
        self.changed.emit(self._name, f"{doing} the {self.title.lower()}", cut)
