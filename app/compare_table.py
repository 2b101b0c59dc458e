"""Two pieces in numbers: A, B and the difference."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QKeyEvent, QKeySequence, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QFrame,
    QHeaderView,
    QSizePolicy,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.look import look_of
from app.panel_text import with_tabular_figures
from app.piece_numbers import ROWS, comparisons, worst_severity
from app.severity import paint_severity
from geometry.findings import Severity
from geometry.project import DisplayUnits
from geometry.report import Report

_ROW_ROOM = 8
_INSET = 4
_BUILDING = "building …"
_FINDINGS_ROW: Final = ROWS.index("Findings")


class _FlatHeader(QHeaderView):
    """Headings in faint ink on the ground of the window, with a hairline below those of the columns."""

    def paintSection(self, painter: QPainter, rect: QRect, index: int) -> None:
        look = look_of(self.palette())
        painter.save()
        painter.fillRect(rect, look.window)
        painter.setPen(look.faint_ink)
        text = str(self.model().headerData(index, self.orientation()) or "")
        shown = self.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, rect.width() - 2 * _INSET)
        painter.drawText(rect.adjusted(_INSET, 0, -_INSET, 0), Qt.AlignmentFlag.AlignVCenter, shown)
        if self.orientation() == Qt.Orientation.Horizontal:
            painter.fillRect(rect.left(), rect.bottom(), rect.width(), 1, look.rule)
        painter.restore()

    def sectionSizeFromContents(self, index: int) -> QSize:
        size = super().sectionSizeFromContents(index)
        return QSize(size.width() + 2 * _INSET, size.height() + 4)


class CompareTable(QTableWidget):
    """The numbers row of two pieces side by side: one column each and one for how B differs from A."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty table."""
        super().__init__(len(ROWS), 3, parent)
        self.setFont(with_tabular_figures(self.font()))
        self.setAccessibleName("Numbers of both pieces")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.viewport().setAutoFillBackground(False)
        self.setWordWrap(False)
        self.setTextElideMode(Qt.TextElideMode.ElideRight)
        corner = self.findChild(QAbstractButton)
        if corner is not None:
            corner.setMaximumSize(0, 0)  # there is no use in marking everything by the mouse
        self.setTabKeyNavigation(False)  # Tab leaves the table
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setHorizontalHeader(_FlatHeader(Qt.Orientation.Horizontal, self))
        self.setVerticalHeader(_FlatHeader(Qt.Orientation.Vertical, self))
        self.setVerticalHeaderLabels(list(ROWS))
        columns, rows = self.horizontalHeader(), self.verticalHeader()
        columns.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        columns.setHighlightSections(False)
        columns.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        rows.setHighlightSections(False)
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(self.fontMetrics().height() + _ROW_ROOM)
        self._is_stale = (False, False)
        self._severities: list[Severity | None] = [None, None]
        self.show_reports(None, None, "mm")

    def sizeHint(self) -> QSize:
        """Return the height of all rows."""
        return QSize(640, self.horizontalHeader().sizeHint().height() + self.verticalHeader().length() + 2)

    def minimumSizeHint(self) -> QSize:
        """Return a width at which rows still say something, and the height of all rows."""
        return QSize(420, self.sizeHint().height())

    def show_reports(
        self, a: Report | None, b: Report | None, units: DisplayUnits, names: tuple[str, str] | None = None
    ) -> None:
        """Show the numbers of two pieces; None is one that is still being built.

        Parameters
        ----------
        a, b : the two, the second compared with the first
        units : the maker's unit
        names : the headings; the variants' own names when left out
        """
        own = tuple("" if r is None else r.piece.variant.name for r in (a, b)) if names is None else names
        self.setHorizontalHeaderLabels([own[0] or "A", own[1] or "B", "Difference"])
        self._is_stale = (False, False)
        self._severities = [worst_severity(a), worst_severity(b)]
        for row, compared in enumerate(comparisons(a, b, units)):
            for column, text in enumerate((compared.a, compared.b, compared.difference)):
                if row == 0 and column < 2 and (a, b)[column] is None:
                    text = _BUILDING
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                self.setItem(row, column, item)
        self._tint()

    def set_stale(self, a: bool, b: bool) -> None:
        """Grey the numbers that are of the last piece that could be built, and the difference with them."""
        self._is_stale = (a, b)
        self._tint()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Copy the marked cells as text for a spreadsheet."""
        if event.matches(QKeySequence.StandardKey.Copy):
            QApplication.clipboard().setText(self._marked_text())
        else:
            super().keyPressEvent(event)

    def _marked_text(self) -> str:
        lines = []
        for row in range(self.rowCount()):
            cells = [self.item(row, c) for c in range(3)]
            marked = [c.text() for c in cells if c is not None and c.isSelected()]
            if marked:
                lines.append("\t".join([ROWS[row], *marked]))
        return "\n".join(lines)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self._tint()

    def _tint(self) -> None:
        look = look_of(self.palette())
        for column, is_stale in enumerate((*self._is_stale, any(self._is_stale))):
            for row in range(self.rowCount()):
                item = self.item(row, column)
                if item is not None:
                    item.setForeground(look.faint_ink if is_stale else look.ink)
                    font = self.font()
                    font.setItalic(is_stale)
                    item.setFont(font)
            severity = self._severities[column] if column < 2 else None
            item = self.item(_FINDINGS_ROW, column)
            if item is not None:
                item.setIcon(QIcon() if severity is None else self._mark(severity))

    def _mark(self, severity: Severity) -> QIcon:
        side = 11
        pixmap = QPixmap(2 * side, 2 * side)
        pixmap.setDevicePixelRatio(2.0)
        pixmap.fill(QColor(0, 0, 0, 0))
        painter = QPainter(pixmap)
        paint_severity(painter, severity, pixmap.rect().toRectF().adjusted(0, 0, -side, -side), self.palette())
        painter.end()
        return QIcon(pixmap)
