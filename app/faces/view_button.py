"""A tab above the sheet: one of the things that can be worked on."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from app.look import faded, look_of


class ViewButton(QAbstractButton):
    """A word with a stroke below it where it holds."""

    def __init__(self, word: str, parent: QWidget | None = None) -> None:
        """Make a button as wide as there is room."""
        super().__init__(parent)
        self.setText(word)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAccessibleName(word)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Return room for the word."""
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance(self.text()) + 16, metrics.height() + 10)

    def minimumSizeHint(self) -> QSize:
        """Return the same: the word is never cut."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the word, and the stroke below it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = look_of(self.palette())
        box = QRectF(self.rect())
        if self.underMouse() and not self.isChecked():
            painter.fillRect(box, faded(look.ink, 0.06))
        painter.setPen(look.ink if self.isChecked() else look.faint_ink)
        painter.drawText(box.adjusted(0.0, 0.0, 0.0, -3.0), Qt.AlignmentFlag.AlignCenter, self.text())
        stroke = look.accent if self.isChecked() else look.rule
        painter.fillRect(QRectF(0.0, box.bottom() - 3.0, box.width(), 3.0 if self.isChecked() else 1.0), stroke)
        if self.hasFocus():
            painter.setPen(QPen(look.accent, 1.5))
            painter.drawRoundedRect(box.adjusted(2.0, 2.0, -2.0, -5.0), 3.0, 3.0)
        painter.end()
