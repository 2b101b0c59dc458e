"""A section that folds: a title that is a button, with its contents below or a word on them beside it."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QVBoxLayout, QWidget

from app.panel_text import demibold, muted

MARGIN = 12
"""Room at either side of a section, in device-independent pixels."""

_CHEVRON = 8
_GAP = 8


class SectionHeader(QAbstractButton):
    """The title of a section; checked while the section is open."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        """Make an open header."""
        super().__init__(parent)
        self.setText(title)
        self.setCheckable(True)
        self.setChecked(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(title)
        self._summary = ""

    def set_summary(self, summary: str) -> None:
        """Set what is said beside the title while the section is closed."""
        self._summary = summary
        self.setAccessibleDescription(summary)
        self.update()

    def sizeHint(self) -> QSize:
        """Return a line of bold text with room around it."""
        return QSize(self._text_width() + 2 * MARGIN + _CHEVRON + _GAP, self.fontMetrics().height() + 14)

    def minimumSizeHint(self) -> QSize:
        """Return the same: the title is never cut."""
        return self.sizeHint()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter folds like Space; left closes and right opens, as in a tree."""
        turning = Qt.Key.Key_Left if self.isChecked() else Qt.Key.Key_Right
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, turning):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint a chevron, the title and, while closed, the summary."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        palette = self.palette()
        text = palette.color(QPalette.ColorRole.WindowText)
        if self.underMouse():
            hover = palette.color(QPalette.ColorRole.WindowText)
            hover.setAlphaF(0.06)
            painter.fillRect(self.rect(), hover)
        painter.setPen(QPen(text, 1.6, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
        painter.drawPolyline(self._chevron())
        painter.setFont(demibold(self.font()))
        left = MARGIN + _CHEVRON + _GAP
        painter.drawText(QRect(left, 0, self.width(), self.height()), Qt.AlignmentFlag.AlignVCenter, self.text())
        if not self.isChecked() and self._summary:
            self._paint_summary(painter, left + self._text_width() + _GAP)
        if self.hasFocus():
            painter.setPen(QPen(palette.color(QPalette.ColorRole.Highlight), 2.0))
            painter.drawRoundedRect(self.rect().adjusted(3, 2, -3, -2), 4, 4)
        painter.end()

    def _paint_summary(self, painter: QPainter, left: int) -> None:
        room = self.width() - left - MARGIN
        if room < 24:
            return
        painter.setFont(self.font())
        painter.setPen(muted(self.palette()))
        shown = self.fontMetrics().elidedText(self._summary, Qt.TextElideMode.ElideRight, room)
        aligned = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
        painter.drawText(QRect(left, 0, room, self.height()), aligned, shown)

    def _chevron(self) -> list[QPointF]:
        x, y, r = MARGIN + _CHEVRON / 2, self.height() / 2, _CHEVRON / 2
        if self.isChecked():
            return [QPointF(x - r, y - r / 2), QPointF(x, y + r / 2), QPointF(x + r, y - r / 2)]
        return [QPointF(x - r / 2, y - r), QPointF(x + r / 2, y), QPointF(x - r / 2, y + r)]

    def _text_width(self) -> int:
        return QFontMetrics(demibold(self.font())).horizontalAdvance(self.text())


class Section(QWidget):
    """A header and the contents it folds away."""

    folded = Signal(bool)
    """True when the contents have just been folded away."""

    def __init__(self, title: str, is_open: bool = True, parent: QWidget | None = None) -> None:
        """Make a section; put things into `contents`."""
        super().__init__(parent)
        self.header = SectionHeader(title, self)
        self._body = QWidget(self)
        self.contents = QVBoxLayout(self._body)
        self.contents.setContentsMargins(MARGIN, 2, MARGIN, 10)
        self.contents.setSpacing(6)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.header)
        whole.addWidget(self._body)
        self.header.toggled.connect(self._on_toggled)
        self.set_open(is_open)

    @property
    def title(self) -> str:
        """The word on the header."""
        return self.header.text()

    @property
    def is_open(self) -> bool:
        """True while the contents are shown."""
        return self.header.isChecked()

    def set_open(self, is_open: bool) -> None:
        """Show the contents or fold them away."""
        self.header.setChecked(is_open)
        self._body.setVisible(is_open)

    def _on_toggled(self, is_open: bool) -> None:
        self._body.setVisible(is_open)
        self.folded.emit(not is_open)
