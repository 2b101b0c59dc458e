"""Counts, angles and rows of sizes: fields like `LengthField` for what is not one length."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QDoubleSpinBox, QLineEdit, QSpinBox, QVBoxLayout, QWidget

from app.bench.rows import FIELD_WIDTH, Sentence
from app.bench.words import size
from app.panel_text import with_tabular_figures
from geometry.errors import LengthError
from geometry.layup_making import filled
from geometry.project import DisplayUnits
from geometry.tolerances import STRIP_SUM_MM
from geometry.units import format_length, parse_length


class CountField(QSpinBox):
    """How many there are; what is typed counts when the field is left, and the wheel scrolls past."""

    committed = Signal(int)

    def __init__(self, name: str, least: int, most: int, parent: QWidget | None = None) -> None:
        """Make a field for a count between two others."""
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setRange(least, most)
        self.setKeyboardTracking(False)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setFixedWidth(FIELD_WIDTH)
        self.valueChanged.connect(self.committed)

    def show_value(self, count: int) -> None:
        """Show a count; nothing is told."""
        self.blockSignals(True)
        self.setValue(count)
        self.blockSignals(False)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Let the panel scroll instead."""
        event.ignore()


class AngleField(QDoubleSpinBox):
    """An angle in degrees."""

    committed = Signal(float)

    def __init__(self, name: str, most_deg: float, parent: QWidget | None = None) -> None:
        """Make a field for an angle up to so many degrees either way."""
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setRange(-most_deg, most_deg)
        self.setDecimals(1)
        self.setSuffix("°")
        self.setKeyboardTracking(False)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setFixedWidth(FIELD_WIDTH)
        self.valueChanged.connect(self.committed)

    def show_value(self, degrees: float) -> None:
        """Show an angle; nothing is told."""
        self.blockSignals(True)
        self.setValue(degrees)
        self.blockSignals(False)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Let the panel scroll instead."""
        event.ignore()


class _SizesLine(QLineEdit):
    """The text of `SizesField`: Escape brings the last good sizes back."""

    left = Signal()
    called_off = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape calls off what was typed."""
        if event.key() == Qt.Key.Key_Escape:
            self.called_off.emit()
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Take what was typed when the field is left."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.left.emit()


class SizesField(QWidget):
    """The sizes of blocks or layers in order, with a semicolon between; they have to fill the blank."""

    committed = Signal(object)
    """A tuple of sizes in millimetres that adds up to the blank's."""

    def __init__(self, name: str, of_the_blank: str, parent: QWidget | None = None) -> None:
        """Make a field.

        Parameters
        ----------
        name : for screen readers
        of_the_blank : what they fill: "60 mm wide" is said with "wide"
        """
        super().__init__(parent)
        self._word = of_the_blank
        self._sizes: tuple[float, ...] = ()
        self._total = 0.0
        self._units: DisplayUnits = "mm"
        self.line = _SizesLine()
        self.line.setAccessibleName(name)
        self.line.setFont(with_tabular_figures(self.line.font()))
        self.line.setToolTip("Sizes in order, with a semicolon between them.")
        self.trouble = Sentence(is_trouble=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self.line)
        column.addWidget(self.trouble)
        self.line.returnPressed.connect(self.commit)
        self.line.left.connect(self.commit)
        self.line.called_off.connect(self.restore)
        self.line.textEdited.connect(lambda: self.trouble.say(""))
        self._shown = ""

    def show_sizes(self, sizes: Sequence[float], total_mm: float, units: DisplayUnits) -> None:
        """Show sizes that fill so much of the blank; the same again leave alone what is being typed."""
        if (tuple(sizes), total_mm, units) == (self._sizes, self._total, self._units):
            return
        self._sizes, self._total, self._units = tuple(sizes), total_mm, units
        self.restore()

    def restore(self) -> None:
        """Show the last good sizes."""
        bare = (format_length(s, self._units, decimals=2, denominator=32) for s in self._sizes)
        self._shown = "; ".join(s.removesuffix(" mm").removesuffix('"') for s in bare)
        self.line.setText(self._shown)
        self.line.setCursorPosition(0)
        self.trouble.say("")

    def commit(self) -> None:
        """Take what was typed, or say why it cannot be."""
        if self.line.text() == self._shown:
            self.trouble.say("")
            return
        parts = [p for p in self.line.text().split(";") if p.strip()]
        try:
            sizes = tuple(parse_length(p, self._units) for p in parts)
        except LengthError as error:
            self.trouble.say(str(error))
            return
        if not sizes or min(sizes) <= 0.0:
            self.trouble.say("Every size has to be more than nothing.")
            return
        off = math.fsum(sizes) - self._total
        if abs(off) > max(STRIP_SUM_MM, self._rounding(len(sizes))):
            self.trouble.say(
                f"These add up to {size(math.fsum(sizes), self._units)}, and the blank is "
                f"{size(self._total, self._units)} {self._word}: {size(abs(off), self._units)} "
                f"{'too much' if off > 0.0 else 'missing'}."
            )
            return
        self.committed.emit(sizes if abs(off) <= STRIP_SUM_MM else filled(sizes, self._total))

    def _rounding(self, count: int) -> float:
        """How far sizes that fill the blank may be off when they are read back as they are shown."""
        return count * (25.4 / 64.0 if self._units == "in" else 0.005)
