"""A drawing parted over as many sheets as it needs, each overlapping its neighbours."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.drawing.placing import Box
from geometry.templates.paper import OVERLAP_MM
from geometry.tolerances import PLACE_MM


@dataclass(frozen=True, slots=True)
class Tile:
    """What one sheet shows of a drawing.

    Attributes
    ----------
    row, column : from the foot and from the left, from 0
    window : in the drawing's coordinates
    """

    row: int
    column: int
    window: Box


@dataclass(frozen=True, slots=True)
class Tiling:
    """A drawing parted over sheets: rows from the foot up, columns from the left."""

    rows: int
    columns: int
    tiles: tuple[Tile, ...]


def count_of(size: float, window: float, overlap: float = OVERLAP_MM) -> int:
    """Return how many windows in a row, each overlapping the next, cover a size."""
    return max(1, math.ceil((size - overlap - PLACE_MM) / (window - overlap)))


def tile(box: Box, width: float, height: float, overlap: float = OVERLAP_MM) -> Tiling:
    """Return the tiles of a window's width and height that cover a box, the box in the middle of them all."""
    columns, rows = count_of(box.width, width, overlap), count_of(box.height, height, overlap)
    across, up = width - overlap, height - overlap
    left = box.middle[0] - (columns * across + overlap) / 2.0
    bottom = box.middle[1] - (rows * up + overlap) / 2.0
    return Tiling(
        rows,
        columns,
        tuple(
            Tile(r, c, Box(left + c * across, bottom + r * up, left + c * across + width, bottom + r * up + height))
            for r in range(rows)
            for c in range(columns)
        ),
    )
