"""A field for one length: typed as people write lengths, kept as it was typed, never rounded behind their back."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QEvent, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLineEdit, QWidget

from app.look import look_of
from app.panel_text import with_tabular_figures
from app.severity import severity_colour
from geometry.errors import LengthError
from geometry.units import MM_PER_INCH, Unit, format_length, parse_length

_STORED_DECIMALS = 6
"""A step of the arrow keys lands on whole millionths of a millimetre, so that 0.1 three times is 0.3."""


@dataclass(frozen=True, slots=True)
class Fineness:
    """How finely a kind of length is shown and stepped.

    Attributes
    ----------
    step_mm, fine_step_mm : what an arrow key adds, and with Shift, when millimetres are shown
    step_in, fine_step_in : the same in inches, when inches are shown
    thousandths : inches as 0.035" instead of a fraction, as blades are measured
    """

    step_mm: float
    fine_step_mm: float
    step_in: float
    fine_step_in: float
    thousandths: bool = False

    def text(self, mm: float, unit: Unit) -> str:
        """Return a length as it is shown."""
        if unit == "in" and self.thousandths:
            return f'{mm / MM_PER_INCH:.3f}"'
        return format_length(mm, unit, decimals=2, denominator=32)

    def step(self, unit: Unit, fine: bool) -> float:
        """Return a step of the arrow keys in millimetres."""
        if unit == "in":
            return (self.fine_step_in if fine else self.step_in) * MM_PER_INCH
        return self.fine_step_mm if fine else self.step_mm


SIZES: Final = Fineness(1.0, 0.1, 1 / 16, 1 / 32)
"""Sizes of wood."""

THICKNESSES: Final = Fineness(0.1, 0.01, 0.005, 0.001, thousandths=True)
"""Kerfs, blade bodies and what sandpaper takes: a 1/32 inch would be as thick as the thing itself."""


@dataclass(frozen=True, slots=True)
class Span:
    """From where to where a length can be; ``above`` leaves the lower end itself out. Millimetres."""

    least: float | None = None
    most: float | None = None
    above: float | None = None

    def refusal(self, mm: float, name: str, unit: Unit, fineness: Fineness) -> str:
        """Return a sentence saying why a length cannot be, or nothing when it can."""

        def text(value: float, up: bool = False, down: bool = False) -> str:
            return fineness.text(_inward(value, unit, fineness, up, down), unit)

        too_small = (self.least is not None and mm < self.least) or (self.above is not None and mm <= self.above)
        too_large = self.most is not None and mm > self.most
        if not (too_small or too_large):
            return ""
        if self.above is not None:
            return f"The {name} has to be more than {text(self.above)}."
        if self.least is not None and self.most is not None:
            return f"The {name} can be anything from {text(self.least, up=True)} to {text(self.most, down=True)}."
        if self.least is not None:
            return f"The {name} cannot be less than {text(self.least, up=True)}."
        assert self.most is not None  # there is nothing else that could have refused
        return f"The {name} cannot be more than {text(self.most, down=True)}."

    def held(self, mm: float) -> float:
        """Return the nearest length within the span; what lies on an open lower end is not moved."""
        if self.least is not None:
            mm = max(mm, self.least)
        return mm if self.most is None else min(mm, self.most)


def _inward(mm: float, unit: Unit, fineness: Fineness, up: bool, down: bool) -> float:
    """Return a limit in inches moved inward to a step that is shown, so that typing what is named is allowed."""
    if unit == "mm" or not (up or down):
        return mm
    steps_per_inch = 1000 if fineness.thousandths else 32
    steps = mm / MM_PER_INCH * steps_per_inch
    return (math.ceil(steps) if up else math.floor(steps)) / steps_per_inch * MM_PER_INCH


class LengthField(QLineEdit):
    """A line edit for a length in the maker's unit.

    Enter or leaving the field takes what was typed, Escape brings the last good value back, the up and down keys
    step (Shift a tenth, Page ten times). What cannot be read stays in the field with an outline and a sentence in
    `trouble`, and the value stays what it was. The text on show is rounded; the value is not.

    Parameters
    ----------
    name : what it is the length of, as it goes into a sentence ("width of the blank")
    span : what is allowed
    fineness : how it is shown and stepped
    """

    committed = Signal(float)
    """A new value in millimetres. Whoever cannot use it calls `refuse` before returning."""

    trouble_changed = Signal(str)

    def __init__(
        self, name: str, span: Span | None = None, fineness: Fineness = SIZES, parent: QWidget | None = None
    ) -> None:
        """Make an empty field."""
        super().__init__(parent)
        self._name = name
        self._span = span or Span()
        self._fineness = fineness
        self._value: float | None = None
        self._unit: Unit = "mm"
        self._shown = ""
        self._trouble = ""
        self._refused = False
        self._tip = ""
        self.setAccessibleName(name)
        self.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.setFont(with_tabular_figures(self.font()))
        self.textEdited.connect(self._on_edited)

    # -------------------------------------------------------------- what it holds

    @property
    def value(self) -> float | None:
        """The value in millimetres, unrounded, or None while there is none."""
        return self._value

    @property
    def unit(self) -> Unit:
        """The unit on show."""
        return self._unit

    @property
    def trouble(self) -> str:
        """Why what is typed was not taken; empty when all is well."""
        return self._trouble

    @property
    def is_being_edited(self) -> bool:
        """True while the text is other than that of the value."""
        return self.text() != self._shown

    def explain(self, tip: str) -> None:
        """Set what the field is for; it is shown on pointing, before the value in both units."""
        self._tip = tip
        self._describe()

    def show_value(self, mm: float | None, unit: Unit) -> None:
        """Show a value; the same value again leaves alone what is being typed."""
        if mm == self._value and unit == self._unit:
            return
        self._value, self._unit = mm, unit
        self.restore()

    def restore(self) -> None:
        """Show the last good value and forget what was typed."""
        self._shown = "" if self._value is None else self._fineness.text(self._value, self._unit)
        self.setText(self._shown)
        self._set_trouble("")
        self._describe()

    def refuse(self, sentence: str) -> None:
        """Keep what was typed, and say why it cannot be."""
        self._refused = True
        self._set_trouble(sentence)

    # -------------------------------------------------------------- taking what was typed

    def commit(self) -> bool:
        """Take what was typed; give False when it cannot be."""
        if not self.is_being_edited:
            self._set_trouble("")
            return True
        try:
            mm = parse_length(self.text(), self._unit)
        except LengthError as error:
            self.refuse(str(error))
            return False
        return self._offer(mm)

    def _offer(self, mm: float) -> bool:
        refusal = self._span.refusal(mm, self._name, self._unit, self._fineness)
        if refusal:
            self.refuse(refusal)
            return False
        before, typed = self._value, self.text()
        self._value = mm
        self.restore()
        if mm == before:
            return True
        self._refused = False
        self.committed.emit(mm)
        if self._refused:
            sentence = self._trouble
            self._value = before
            self.restore()
            self.setText(typed)
            self._set_trouble(sentence)
            return False
        return True

    def _step(self, steps: int, fine: bool) -> None:
        if not self.commit() or self._value is None:
            return
        stepped = round(self._value + steps * self._fineness.step(self._unit, fine), _STORED_DECIMALS)
        held = self._span.held(stepped)
        if self._span.above is not None and held <= self._span.above:
            return
        if held != self._value:
            self._offer(held)
        self.selectAll()

    def _on_edited(self) -> None:
        self._set_trouble("")  # what is being mended is not complained about

    def _set_trouble(self, sentence: str) -> None:
        if sentence == self._trouble:
            return
        self._trouble = sentence
        self._describe()
        self.update()
        self.trouble_changed.emit(sentence)

    def _describe(self) -> None:
        both = ""
        if self._value is not None:
            other: Unit = "in" if self._unit == "mm" else "mm"
            both = f"{self._fineness.text(self._value, self._unit)} is {self._fineness.text(self._value, other)}"
        self.setToolTip("\n".join(part for part in (self._trouble, self._tip, both) if part))
        self.setAccessibleDescription(self._trouble or self._tip)

    # -------------------------------------------------------------- keys and focus

    def event(self, event: QEvent) -> bool:
        """Leave undo and redo to the window while nothing has been typed here."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and not self.is_being_edited
            and _is_undo_or_redo(event)
        ):
            event.ignore()
            return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter takes, Escape brings back, up and down step."""
        key, shift = event.key(), bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.commit():
                self.selectAll()
        elif key == Qt.Key.Key_Escape and (self.is_being_edited or self._trouble):
            self.restore()
            self.selectAll()
        elif key in _STEPS:
            self._step(_STEPS[Qt.Key(key)], shift)
        elif _is_undo_or_redo(event) and not self.is_being_edited:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Take what was typed when the field is left, but not for its own context menu."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.commit()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Outline the field: boldly while what is typed cannot be taken."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._trouble:
            painter.setPen(QPen(severity_colour("stop", self.palette()), 2.0))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 3, 3)
        elif not self.hasFocus():
            painter.setPen(QPen(look_of(self.palette()).rule, 1.0))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), 2.5, 2.5)
        painter.end()


_STEPS: Final = {
    Qt.Key.Key_Up: 1,
    Qt.Key.Key_Down: -1,
    Qt.Key.Key_PageUp: 10,
    Qt.Key.Key_PageDown: -10,
}


def _is_undo_or_redo(event: QKeyEvent) -> bool:
    return event.matches(QKeySequence.StandardKey.Undo) or event.matches(QKeySequence.StandardKey.Redo)
