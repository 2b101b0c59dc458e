"""A slider for an amount that is tried and not kept: its name, its value in words, the slider below."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSlider, QVBoxLayout, QWidget

from app.panel_text import with_tabular_figures


class _CalmSlider(QSlider):
    """A slider that the wheel scrolls past."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Let the panel scroll instead."""
        event.ignore()


class AmountSlider(QWidget):
    """An amount in tenths of its unit."""

    changed = Signal()

    def __init__(self, label: str, span: tuple[float, float], words: Callable[[float], str], tip: str) -> None:
        """Make a slider that stands at nothing.

        Parameters
        ----------
        label : what it is the amount of
        span : from where to where it goes
        words : how an amount is written
        tip : what it means
        """
        super().__init__()
        self._words = words
        self.slider = _CalmSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(round(span[0] * 10.0), round(span[1] * 10.0))
        self.slider.setPageStep(5)
        self.slider.setAccessibleName(label)
        self.slider.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setToolTip(tip)
        self._value = QLabel()
        self._value.setFont(with_tabular_figures(self._value.font()))
        name = QLabel(label)
        name.setBuddy(self.slider)
        line = QHBoxLayout()
        line.addWidget(name, 1)
        line.addWidget(self._value)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(line)
        column.addWidget(self.slider)
        self.slider.valueChanged.connect(self._on_value)
        self.say()

    @property
    def amount(self) -> float:
        """Where it stands."""
        return self.slider.value() / 10.0

    def say(self) -> None:
        """Write the amount anew, as after a change of unit."""
        self._value.setText(self._words(self.amount))
        self.slider.setAccessibleDescription(self._value.text())

    def _on_value(self) -> None:
        self.say()
        self.changed.emit()
