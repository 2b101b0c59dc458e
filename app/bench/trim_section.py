"""The section of the trims: blade and kerf of the one that is in hand."""

from __future__ import annotations

from typing import Final

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.bench.blade_choice import BladeChoice
from app.bench.changes import with_trim
from app.bench.rows import CalmChoice, Labelled, Rows
from app.bench.section import Section
from app.length_field import THICKNESSES, LengthField, Span
from geometry.checks import LARGEST_KERF_MM
from geometry.project import CUT_NAMES, Blade, Blank, CutName, DisplayUnits, Trim, Variant

_DIRECTIONS: Final[dict[CutName, str]] = {"front": "from the front", "side": "from the right"}


class TrimSection(Section):
    """Blade and kerf of one trim; not seen while there are none."""

    changed = Signal(str, object)
    """Name of the step and the new `geometry.project.Variant`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make the section, hidden."""
        super().__init__("Trims", parent=parent)
        self._variant = Variant("A", Blank(60.0, 60.0, 420.0))
        self._units: DisplayUnits = "mm"
        self._at: tuple[CutName, int] = ("front", 0)
        self.which = CalmChoice("Which trim")
        self.which.activated.connect(self._on_which)
        self.blade = BladeChoice("trim")
        self.blade.chosen.connect(self._on_blade)
        rows = Rows()
        self.kerf = rows.add("Kerf", LengthField("kerf of the trim", Span(0.0, LARGEST_KERF_MM), THICKNESSES))
        self.kerf.explain("Width of the slot; it lies in the waste, so the piece is sawn to the line as drawn.")
        self.kerf.committed.connect(self._on_kerf)
        for widget in (Labelled("Which trim", self.which), self.blade, rows):
            self.contents.addWidget(widget)
        self.hide()

    def show_variant(self, variant: Variant, units: DisplayUnits) -> None:
        """Show the trims of a variant."""
        is_another = variant.name != self._variant.name
        self._variant, self._units = variant, units
        trims = [(cut, i) for cut in CUT_NAMES for i in range(len(variant.cut(cut).trims))]
        self.setVisible(bool(trims))
        if not trims:
            return
        if self._at not in trims:
            self._at = next((t for t in reversed(trims) if t[0] == self._at[0]), trims[0])
        named = [f"Trim {i + 1}, {_DIRECTIONS[cut]}" for cut, i in trims]
        if named != [self.which.itemText(k) for k in range(self.which.count())]:
            self.which.clear()
            for words, place in zip(named, trims, strict=True):
                self.which.addItem(words, place)
        if is_another:
            self.kerf.restore()
            self.blade.forget_typing()
        self._show_trim()
        self.header.set_summary(f"{len(trims)} trim{'' if len(trims) == 1 else 's'}")

    def choose(self, cut: CutName, number: int | None) -> None:
        """Show a trim that is in hand elsewhere, counted from 0; None leaves the one there is."""
        if number is not None and (cut, number) != self._at and number < len(self._variant.cut(cut).trims):
            self._at = (cut, number)
            self.show_variant(self._variant, self._units)

    @property
    def _trim(self) -> Trim:
        cut, number = self._at
        return self._variant.cut(cut).trims[number]

    def _show_trim(self) -> None:
        trim = self._trim
        places = [tuple(self.which.itemData(k)) for k in range(self.which.count())]
        self.which.setCurrentIndex(places.index(self._at))
        self.blade.show_blade(trim.blade, trim.kerf, self._units)
        self.kerf.show_value(trim.kerf, self._units)

    def _on_which(self) -> None:
        cut, number = self.which.currentData()
        self.choose(cut, number)

    def _on_blade(self, blade: Blade | None) -> None:
        self._tell("Choose blade for the trim", msgspec.structs.replace(self._trim, blade=blade))

    def _on_kerf(self, mm: float) -> None:
        self._tell("Set kerf of the trim", msgspec.structs.replace(self._trim, kerf=mm))

    def _tell(self, step: str, trim: Trim) -> None:
        if trim != self._trim:
            self.changed.emit(step, with_trim(self._variant, *self._at, trim))
