"""The list of what the checks have to say, worst first; choosing one leads to its place."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import QFont, QFontMetrics, QKeyEvent, QPainter, QPalette, QPen, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHBoxLayout,
    QLabel,
    QListView,
    QStackedLayout,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from app.panel_text import demibold, muted, unbroken
from app.severity import COUNTED, WORDS, paint_severity, severity_colour
from geometry.findings import SEVERITIES, Finding
from geometry.findings.finding import worst_first

NOTHING_IN_THE_WAY: Final = "Nothing stands in the way of sawing it."
LOOKING: Final = "Looking the piece over …"

_BUILDING_AFTER_MS: Final = 400
"""A build shorter than this is not worth a word; while a line is dragged the words would only flicker."""

_MARK = 11
_MARGIN = 12
_PADDING = 8
_GAP = 9

_FINDING_ROLE = Qt.ItemDataRole.UserRole
_WRAPPED = Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap

Index = QModelIndex | QPersistentModelIndex


class FindingsList(QWidget):
    """Findings worst first, with a heading that counts them."""

    finding_chosen = Signal(object)
    """The `geometry.findings.Finding` whose place the maker wants to see."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make a list that has nothing to show yet."""
        super().__init__(parent)
        self._findings: tuple[Finding, ...] | None = None
        self._model = _Findings(self)
        self.view = _View(self)
        self.view.setModel(self._model)
        self.view.setItemDelegate(_Row(self.view))
        self.view.chosen.connect(self._on_chosen)

        self.heading = QLabel("Findings")
        self.heading.setFont(demibold(self.heading.font()))
        self.counts = QLabel()
        self.counts.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        top = QHBoxLayout()
        top.setContentsMargins(_MARGIN, 7, _MARGIN, 5)
        top.addWidget(self.heading)
        top.addWidget(self.counts, 1)

        self.message = QLabel()
        self.message.setWordWrap(True)
        self.message.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.message.setContentsMargins(_MARGIN, 4, _MARGIN, 8)
        self._stack = QStackedLayout()
        self._stack.addWidget(self.message)
        self._stack.addWidget(self.view)

        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(top)
        whole.addLayout(self._stack, 1)

        self._patience = QTimer(self, singleShot=True, interval=_BUILDING_AFTER_MS)
        self._patience.timeout.connect(self._say_building)
        self.setAccessibleName("Findings")
        self.show_building()
        self._say_building()

    def sizeHint(self) -> QSize:
        """Return room for about three findings."""
        return QSize(300, 260)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The findings on show, worst first."""
        return self._findings or ()

    def show_findings(self, findings: Sequence[Finding]) -> None:
        """Show findings; the one that was current stays current where it is still there."""
        self._patience.stop()
        ordered = worst_first(findings)
        if ordered != self._findings:
            current = self.view.currentIndex().data(_FINDING_ROLE)
            before, self._findings = self.findings[:1], ordered
            self._model.replace(ordered)
            self._keep_current(current)
            if ordered[:1] != before:
                self.view.scrollToTop()  # what is worse than all before is not to be looked for
        self.counts.setText(count_words(ordered))
        self.message.setText(NOTHING_IN_THE_WAY)
        self._stack.setCurrentWidget(self.view if ordered else self.message)

    def show_building(self) -> None:
        """Say that the findings are of the piece before, once building takes longer than a moment."""
        if not self._patience.isActive():
            self._patience.start()

    def _say_building(self) -> None:
        self._patience.stop()
        if self._findings is None:
            self.message.setText(LOOKING)
        self.counts.setText("building …")

    def _keep_current(self, before: Finding | None) -> None:
        if before is None:
            return
        same = [i for i, f in enumerate(self.findings) if (f.code, f.cut) == (before.code, before.cut)]
        exact = [i for i in same if self.findings[i] == before]
        for i in (exact or same)[:1]:
            self.view.setCurrentIndex(self._model.index(i))

    def _on_chosen(self, index: QModelIndex) -> None:
        finding = index.data(_FINDING_ROLE)
        if finding is not None:
            self.finding_chosen.emit(finding)


def count_words(findings: Sequence[Finding]) -> str:
    """Return how many findings of each severity there are, as "1 stop, 2 cautions"."""
    counts = [(s, sum(f.severity == s for f in findings)) for s in SEVERITIES]
    return ", ".join(f"{n} {COUNTED[s][n != 1]}" for s, n in counts if n)


class _Findings(QAbstractListModel):
    """Findings as rows, worded for screen readers too."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[Finding, ...] = ()

    def replace(self, rows: tuple[Finding, ...]) -> None:
        self.beginResetModel()
        self._rows = rows
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008  (Qt's own signature)
        return 0 if parent.isValid() else len(self._rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid():
            return None
        finding = self._rows[index.row()]
        if role == _FINDING_ROLE:
            return finding
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return f"{WORDS[finding.severity]}: {finding.message} {finding.remedy}"
        return None


class _View(QListView):
    """A list whose rows are chosen by a click, Enter or Space, and wrap to its width."""

    chosen = Signal(QModelIndex)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setMouseTracking(True)
        self.setAccessibleName("Findings, worst first")
        self.viewport().setAutoFillBackground(False)
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor)
        self.clicked.connect(self.chosen)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space) and self.currentIndex().isValid():
            self.chosen.emit(self.currentIndex())
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()  # other width, other heights


class _Row(QStyledItemDelegate):
    """A row: the severity's shape and word, what is so, and what to do about it."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        view = self.parent()
        assert isinstance(view, QListView)
        finding: Finding = index.data(_FINDING_ROLE)
        width = view.viewport().width()
        room = width - _text_left() - _MARGIN
        word, message, remedy = self._heights(finding, room, view.font())
        return QSize(width, 2 * _PADDING + word + message + remedy + 4)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        finding: Finding = index.data(_FINDING_ROLE)
        area: QRect = option.rect  # type: ignore[attr-defined]
        state: QStyle.StateFlag = option.state  # type: ignore[attr-defined]
        palette: QPalette = option.palette  # type: ignore[attr-defined]
        view = self.parent()
        assert isinstance(view, QListView)
        font = view.font()
        painter.save()
        self._paint_ground(painter, area, state, palette)
        left, top = area.left() + _text_left(), area.top() + _PADDING
        room = area.width() - _text_left() - _MARGIN
        word, message, remedy = self._heights(finding, room, font)
        mark = QRectF(area.left() + _MARGIN, top + (word - _MARK) / 2, _MARK, _MARK)
        paint_severity(painter, finding.severity, mark, palette)
        painter.setFont(demibold(font))
        painter.setPen(severity_colour(finding.severity, palette))
        painter.drawText(QRect(left, top, room, word), _WRAPPED, WORDS[finding.severity])
        painter.setFont(font)
        painter.setPen(palette.color(QPalette.ColorRole.WindowText))
        painter.drawText(QRect(left, top + word, room, message), _WRAPPED, unbroken(finding.message))
        painter.setPen(muted(palette))
        painter.drawText(QRect(left, top + word + message + 4, room, remedy), _WRAPPED, unbroken(finding.remedy))
        painter.restore()

    def _paint_ground(self, painter: QPainter, area: QRect, state: QStyle.StateFlag, palette: QPalette) -> None:
        tint = palette.color(QPalette.ColorRole.WindowText)
        if state & QStyle.StateFlag.State_Selected:
            tint.setAlphaF(0.09)
            painter.fillRect(area, tint)
        elif state & QStyle.StateFlag.State_MouseOver:
            tint.setAlphaF(0.05)
            painter.fillRect(area, tint)
        rule = palette.color(QPalette.ColorRole.WindowText)
        rule.setAlphaF(0.15)
        painter.fillRect(QRect(area.left() + _MARGIN, area.bottom(), area.width() - 2 * _MARGIN, 1), rule)
        if state & QStyle.StateFlag.State_HasFocus:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(palette.color(QPalette.ColorRole.Highlight), 2.0))
            painter.drawRoundedRect(QRectF(area).adjusted(3, 2, -3, -3), 4, 4)

    @staticmethod
    def _heights(finding: Finding, room: int, font: QFont) -> tuple[int, int, int]:
        metrics = QFontMetrics(font)

        def height(text: str) -> int:
            return metrics.boundingRect(QRect(0, 0, max(room, 1), 100_000), _WRAPPED, unbroken(text)).height()

        return QFontMetrics(demibold(font)).height() + 1, height(finding.message), height(finding.remedy)


def _text_left() -> int:
    return _MARGIN + _MARK + _GAP
