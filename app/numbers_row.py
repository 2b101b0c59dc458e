"""The row below the piece: its numbers, always in view."""

from __future__ import annotations

from typing import Final, Literal, get_args

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from app.look import faded, look_of
from app.panel_text import with_tabular_figures
from app.piece_numbers import Figure, figures
from geometry.project import DisplayUnits
from geometry.report import Report

_MARGIN = 12
_BETWEEN = 26
"""Room between two figures, with a hairline in its middle."""
_AFTER_LABEL = 6

_ABOVE = 5

Detail = Literal["long", "plain", "short"]
DETAILS: Final[tuple[Detail, ...]] = get_args(Detail)
"""How much is said, most first; the first that fits is shown."""


class _Figures(QWidget):
    """The figures side by side, as fully as one line has room for, and on more lines where none does."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFont(with_tabular_figures(self.font()))
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.figures: tuple[Figure, ...] = ()
        self.is_stale = False

    # -------------------------------------------------------------- what is said where

    def detail(self, width: int) -> Detail:
        """Return how much is said at a width."""
        fitting = (d for d in DETAILS if len(self._lines(d, width)) <= 1)
        return next(fitting, "plain")

    def texts(self) -> tuple[str, ...]:
        detail = self.detail(self.width())
        return tuple(getattr(figure, detail) for figure in self.figures)

    def _advance(self, figure: Figure, detail: Detail) -> int:
        metrics = self.fontMetrics()
        text: str = getattr(figure, detail)
        return metrics.horizontalAdvance(figure.label) + _AFTER_LABEL + metrics.horizontalAdvance(text)

    def _lines(self, detail: Detail, width: int) -> list[list[Figure]]:
        lines: list[list[Figure]] = []
        used = 0
        for figure in self.figures:
            advance = self._advance(figure, detail)
            if lines and used + _BETWEEN + advance <= width:
                lines[-1].append(figure)
                used += _BETWEEN + advance
            else:
                lines.append([figure])
                used = advance
        return lines

    # -------------------------------------------------------------- room and paint

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        lines = self._lines(self.detail(width), width)
        return max(len(lines), 1) * self._line_height() + 2 * _ABOVE

    def sizeHint(self) -> QSize:
        whole = sum(self._advance(f, "long") + _BETWEEN for f in self.figures)
        return QSize(whole, self._line_height() + 2 * _ABOVE)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, self._line_height() + 2 * _ABOVE)

    def _line_height(self) -> int:
        return self.fontMetrics().height() + 3

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        look = look_of(self.palette())
        font = QFont(self.font())
        font.setItalic(self.is_stale)
        painter.setFont(font)
        ink = look.faint_ink if self.is_stale else look.ink
        detail, height = self.detail(self.width()), self._line_height()
        for row, figures_of_line in enumerate(self._lines(detail, self.width())):
            x, y = 0, _ABOVE + row * height
            for i, figure in enumerate(figures_of_line):
                if i:
                    painter.setPen(QPen(faded(look.ink, 0.25), 1.0))
                    painter.drawLine(x - _BETWEEN // 2, y + 2, x - _BETWEEN // 2, y + height - 4)
                painter.setPen(look.faint_ink)
                x = self._draw(painter, x, y, figure.label) + _AFTER_LABEL
                painter.setPen(ink)
                x = self._draw(painter, x, y, getattr(figure, detail)) + _BETWEEN
        painter.end()

    def _draw(self, painter: QPainter, x: int, y: int, text: str) -> int:
        """Draw a text in what room is left; give where it ends."""
        metrics = self.fontMetrics()
        room = max(self.width() - x, 0)
        shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, room)
        painter.drawText(x, y, room, self._line_height(), Qt.AlignmentFlag.AlignVCenter, shown)
        return x + metrics.horizontalAdvance(text)


class NumbersRow(QWidget):
    """Sizes, volume, mass, and the tightest radius and blade of each line.

    At a narrow width the places go first, then words, then a second line begins; pointing at the row shows everything.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make a row with nothing to show yet."""
        super().__init__(parent)
        self._figures = _Figures(self)
        self._line = QHBoxLayout(self)
        self._line.setContentsMargins(_MARGIN, 0, _MARGIN, 0)
        self._line.setSpacing(16)
        self._line.addWidget(self._figures, 1)
        self.setAccessibleName("Numbers of the piece")
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_report(self, report: Report | None, units: DisplayUnits) -> None:
        """Show the numbers of a piece; None while there is none."""
        self._figures.figures = () if report is None else figures(report, units)
        self._figures.is_stale = False
        self._describe()

    def set_stale(self, is_stale: bool) -> None:
        """Grey the numbers while they are of the last piece that could be built, not of the lines as drawn."""
        self._figures.is_stale = is_stale
        self._describe()

    @property
    def is_stale(self) -> bool:
        """True while the numbers are of a piece before."""
        return self._figures.is_stale

    def texts(self) -> tuple[str, ...]:
        """Return the numbers as they are worded at the width there is."""
        return self._figures.texts()

    def add_at_end(self, widget: QWidget) -> None:
        """Put something at the right end of the row: the numbers of the selected node."""
        self._line.addWidget(widget)

    def _describe(self) -> None:
        lines = [f"{figure.label}: {figure.long}" for figure in self._figures.figures]
        if lines and self.is_stale:
            lines.insert(0, "Of the last piece that could be built:")
        self.setToolTip("\n".join(lines))
        self.setAccessibleDescription("; ".join(lines))
        self._figures.updateGeometry()
        self._figures.update()
