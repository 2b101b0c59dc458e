"""What sections are made of: a label beside its field with trouble in words below, lists that a wheel cannot change."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QAbstractButton, QComboBox, QGridLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from app.length_field import LengthField
from app.look import look_of
from app.panel_text import muted, unbroken
from app.severity import paint_severity, severity_colour

FIELD_WIDTH = 112
"""Wide enough for "1234.56 mm" and for 48 31/32" in the system's font."""

_MARK = 9


class Sentence(QLabel):
    """A wrapped sentence, said in passing or as trouble (with a mark before it); hidden while it says nothing."""

    def __init__(self, text: str = "", is_trouble: bool = False, parent: QWidget | None = None) -> None:
        """Make a sentence that takes the width it is given."""
        super().__init__(parent)
        self._is_trouble = is_trouble
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setIndent(0)
        self.set_trouble(is_trouble)
        self.say(text)

    def say(self, text: str) -> None:
        """Show a sentence, or hide when there is none."""
        self.setText(unbroken(text))
        self.setVisible(bool(text))

    def set_trouble(self, is_trouble: bool) -> None:
        """Say it as trouble or in passing."""
        self._is_trouble = is_trouble
        self.setContentsMargins(_MARK + 7 if is_trouble else 0, 0, 0, 0)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the sentence in a colour of the theme in force, whatever it was made under."""
        painter = QPainter(self)
        palette = self.palette()
        room = self.contentsRect()
        if self._is_trouble:
            top = room.top() + (self.fontMetrics().height() - _MARK) / 2
            paint_severity(painter, "stop", QRectF(0, top, _MARK, _MARK), palette)
        painter.setPen(severity_colour("stop", palette) if self._is_trouble else muted(palette))
        painter.drawText(room, Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap, self.text())
        painter.end()


class CalmChoice(QComboBox):
    """A list to choose from that the wheel scrolls past, so that scrolling the bench changes nothing."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        """Make an empty list with a name for screen readers."""
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        # as wide as it is given, not as wide as its longest entry
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Let the panel scroll instead."""
        event.ignore()

    def showPopup(self) -> None:
        """Open as wide as the longest entry, so that none is cut."""
        view = self.view()
        view.setMinimumWidth(max(self.width(), view.sizeHintForColumn(0) + 24))
        super().showPopup()


class UnitButton(QAbstractButton):
    """One of two words side by side, of which one holds."""

    def __init__(self, word: str, parent: QWidget | None = None) -> None:
        """Make a button half as wide as a field."""
        super().__init__(parent)
        self.setText(word)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setFixedSize(FIELD_WIDTH // 2, self.fontMetrics().height() + 8)

    def sizeHint(self) -> QSize:
        """Return the size it always has."""
        return self.size()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the word, on the accent where it holds."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = look_of(self.palette())
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(QPen(look.accent if self.isChecked() else look.rule, 1.0))
        painter.setBrush(look.accent if self.isChecked() else look.paper)
        painter.drawRoundedRect(box, 3, 3)
        painter.setPen(look.on_accent if self.isChecked() else look.ink)
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self.text())
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(look.on_accent if self.isChecked() else look.accent, 1.5))
            painter.drawRoundedRect(box.adjusted(2, 2, -2, -2), 2, 2)
        painter.end()


class Rows(QWidget):
    """Labels and their fields in two columns, each with room for a sentence below."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make it empty."""
        super().__init__(parent)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 1)

    def add(self, label: str, field: LengthField) -> LengthField:
        """Add a length with its label, and say its trouble below it."""
        row = self._grid.rowCount()
        words = QLabel(label)
        words.setBuddy(field)
        words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        words.setMinimumWidth(words.fontMetrics().horizontalAdvance(label) + 2)
        field.setFixedWidth(FIELD_WIDTH)
        trouble = Sentence(is_trouble=True)
        field.trouble_changed.connect(trouble.say)
        self._grid.addWidget(words, row, 0)
        self._grid.addWidget(field, row, 1)
        self._grid.addWidget(trouble, row + 1, 0, 1, 2)
        return field

    def add_field(self, label: str, field: QWidget) -> None:
        """Add a field that is no length with its label."""
        row = self._grid.rowCount()
        words = QLabel(label)
        words.setBuddy(field)
        self._grid.addWidget(words, row, 0)
        self._grid.addWidget(field, row, 1)

    def add_wide(self, widget: QWidget) -> None:
        """Add something across both columns."""
        self._grid.addWidget(widget, self._grid.rowCount(), 0, 1, 2)


class Labelled(QWidget):
    """A label above something that takes the whole width."""

    def __init__(self, label: str, widget: QWidget, parent: QWidget | None = None) -> None:
        """Put the label above the widget."""
        super().__init__(parent)
        words = QLabel(label)
        words.setBuddy(widget)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(words)
        column.addWidget(widget)
