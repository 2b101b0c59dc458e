"""Boards, stages and their drawings: what every glue-up is told with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from geometry.project import DisplayUnits
from geometry.species import SpeciesName
from geometry.units import format_length

Sizes = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Trade:
    """Allowances of the workshop, in millimetres (common practice, no source).

    Attributes
    ----------
    thick_mm, wide_mm, long_mm : what a rough board is larger than the milled one
    square_mm : what each face of the glued-up blank is planed by
    saw_mm : what a saw takes between two parts of one board
    """

    thick_mm: float = 3.0
    wide_mm: float = 6.0
    long_mm: float = 40.0
    square_mm: float = 1.5
    saw_mm: float = 3.0


@dataclass(frozen=True, slots=True)
class Board:
    """Boards to mill alike.

    Attributes
    ----------
    label : a letter to write on them
    count : how many
    species : of what
    milled : thickness, width and length in mm, ready to glue
    note : what they are for, where it is not plain
    """

    label: str
    count: int
    species: SpeciesName
    milled: Sizes
    note: str = ""

    def rough(self, trade: Trade) -> Sizes:
        """Return thickness, width and length of each before milling; what it is longer stays on until the last."""
        t, w, length = self.milled
        return t + trade.thick_mm, w + trade.wide_mm, length + trade.long_mm


@dataclass(frozen=True, slots=True)
class Shape:
    """A polygon of a stage's drawing, in mm, to be filled with a species' colour (None: only outlined)."""

    outline: tuple[tuple[float, float], ...]
    species: SpeciesName | None
    label: str = ""


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of the glue-up: what to do, and what it looks like."""

    title: str
    words: str
    shapes: tuple[Shape, ...]


def boards_of(wanted: Iterable[tuple[SpeciesName, Sizes]]) -> tuple[Board, ...]:
    """Return the boards with equal ones counted together, lettered in the order in which they come."""
    counts: dict[tuple[SpeciesName, Sizes], int] = {}
    for name, (t, w, length) in wanted:
        key = name, (round(t, 6), round(w, 6), round(length, 6))
        counts[key] = counts.get(key, 0) + 1
    return tuple(Board(letters(i), count, name, milled) for i, ((name, milled), count) in enumerate(counts.items()))


def long_boards_of(pieces: Iterable[tuple[SpeciesName, Sizes]], trade: Trade, what: str) -> tuple[Board, ...]:
    """Return one long board for all short pieces that are alike, to be crosscut after milling; ``what`` they are."""
    out = []
    for board in boards_of(pieces):
        t, w, each = board.milled
        n = board.count
        long = n * each + (n - 1) * trade.saw_mm
        out.append(replace(board, count=1, milled=(t, w, long), note=f"for {n} {what}{'' if n == 1 else 's'}"))
    return tuple(out)


def letters(i: int) -> str:
    """Return A to Z, then AA, AB and so on."""
    out = ""
    i += 1
    while i:
        i, rest = divmod(i - 1, 26)
        out = chr(ord("A") + rest) + out
    return out


def rectangle(x: float, y: float, width: float, height: float, species: SpeciesName | None, label: str = "") -> Shape:
    """Return an upright rectangle from its lower left corner."""
    return Shape(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), species, label)


def row_of(
    sizes: Sequence[float],
    names: Sequence[SpeciesName],
    across: float,
    units: DisplayUnits,
    *,
    upright: bool = False,
    at: tuple[float, float] = (0.0, 0.0),
) -> tuple[Shape, ...]:
    """Return rectangles side by side, or one on top of the other, each with its size."""
    out = []
    place = 0.0
    for size, name in zip(sizes, names, strict=True):
        label = format_length(size, units)
        if upright:
            out.append(rectangle(at[0], at[1] + place, across, size, name, label))
        else:
            out.append(rectangle(at[0] + place, at[1], size, across, name, label))
        place += size
    return tuple(out)
