"""Words set into columns, one after the other, over as many columns as it takes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from geometry.drawing.items import BLACK, Ink, Item, Look, Stroke, Text, grey
from geometry.drawing.placing import Box
from geometry.drawing.shapes import segment
from geometry.drawing.words import ASCENT, LEADING, broken, width_of

LAYER = "words"
_RULE = Look(0.15, grey(0.55))


class NoRoom(Exception):
    """The columns are full."""


@dataclass(frozen=True, slots=True)
class Column:
    """A box of a page in which words run from the top down."""

    page: int
    box: Box


class Flow:
    """Sets words into columns; what has been set stands in ``items`` by page."""

    def __init__(self, columns: Iterable[Column], size: float) -> None:
        """Begin at the top of the first column.

        Parameters
        ----------
        columns : in the order in which they are filled; as many as are given, without end where that is endless
        size : of the type, in mm
        """
        self._columns: Iterator[Column] = iter(columns)
        self.size = size
        self.items: dict[int, list[Item]] = {}
        self._next()

    def _next(self) -> None:
        column = next(self._columns, None)
        if column is None:
            raise NoRoom
        self.page, self.box = column.page, column.box
        self.y = self.box.top

    @property
    def is_at_top(self) -> bool:
        """True where nothing stands in the column yet."""
        return self.y >= self.box.top

    def next_column(self) -> None:
        """Go on at the top of the next column, unless this one is still empty."""
        if not self.is_at_top:
            self._next()

    def need(self, height: float) -> None:
        """Go on in the next column where this one has not that much room left.

        Raises
        ------
        NoRoom
            no column has
        """
        if self.y - height < self.box.bottom - 1e-9 and not self.is_at_top:
            self._next()

    def put(self, items: Iterable[Item]) -> None:
        """Add items that stand where they are."""
        self.items.setdefault(self.page, []).extend(items)

    def take(self, height: float) -> Box:
        """Return the next box of a height, as wide as the column."""
        self.need(height)
        box = Box(self.box.left, self.y - height, self.box.right, self.y)
        self.y -= height
        return box

    def gap(self, share: float = 0.5) -> None:
        """Leave a gap, by the size of the type; none at the top of a column."""
        if not self.is_at_top:
            self.y -= share * self.size

    def heading(self, text: str, scale: float = 1.25, keep: float = 3.5) -> None:
        """Set a heading, with room for some lines below it, and a rule under it."""
        size = scale * self.size
        self.gap(1.0)
        lines = broken(text, size, self.box.width, True)
        self.need(len(lines) * LEADING * size + keep * self.size)
        for line in lines:
            self._line(line, self.box.left, size, True, BLACK)
        box = self.take(0.55 * self.size)
        self.put([Stroke(segment((box.left, box.top), (box.right, box.top)), LAYER, _RULE)])

    def words(
        self,
        text: str,
        *,
        mark: str = "",
        bold: bool = False,
        scale: float = 1.0,
        indent: float = 1.5,
        ink: Ink = BLACK,
    ) -> None:
        """Set a paragraph, a mark hanging before it; its first two lines stay together."""
        size = scale * self.size
        left = max(indent * size, width_of(mark, size, bold) + 0.4 * size) if mark else 0.0
        lines = broken(text, size, self.box.width - left, bold)
        self.need(min(len(lines), 2) * LEADING * size)
        for i, line in enumerate(lines):
            self.need(LEADING * size)
            if i == 0 and mark:
                self.put([Text((self.box.left, self.y - ASCENT * size), mark, size, LAYER, bold=bold, ink=ink)])
            self._line(line, self.box.left + left, size, bold, ink)
        self.y -= 0.3 * size

    def _line(self, line: str, x: float, size: float, bold: bool, ink: Ink) -> None:
        self.put([Text((x, self.y - ASCENT * size), line, size, LAYER, bold=bold, ink=ink)])
        self.y -= LEADING * size

    def table(self, heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float]) -> None:
        """Set a table, ``shares`` the widths of its columns by that of the flow's; rows stay whole."""
        self._row(heads, shares, bold=True)
        for row in rows:
            self._row(row, shares)

    def _row(self, cells: Sequence[str], shares: Sequence[float], *, bold: bool = False) -> None:
        size, gap = self.size, 0.8 * self.size
        widths = [share * self.box.width for share in shares]
        lines = [broken(c, size, w - gap, bold) for c, w in zip(cells, widths, strict=True)]
        box = self.take((max(map(len, lines)) * LEADING + 0.7) * size)
        x = box.left
        for cell, width in zip(lines, widths, strict=True):
            y = box.top - 0.25 * size - ASCENT * size
            for line in cell:
                self.put([Text((x, y), line, size, LAYER, bold=bold)])
                y -= LEADING * size
            x += width
        self.put([Stroke(segment((box.left, box.bottom), (box.right, box.bottom)), LAYER, _RULE)])

    def ruled(self, count: int, spacing: float) -> None:
        """Draw lines to write on."""
        for _ in range(count):
            box = self.take(spacing)
            self.put([Stroke(segment((box.left, box.bottom), (box.right, box.bottom)), LAYER, _RULE)])
