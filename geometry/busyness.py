"""How busy a pattern looks: its smallest cell, the smallest patch that is to be seen, and how often it changes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, cast

import numpy as np
from scipy import ndimage

from geometry.layup_grid import LayupGrid, grid_of
from geometry.lineup import SEAM_NAMES, Seam, SeamName
from geometry.lineup_paths import sawn_edge
from geometry.piece import Piece
from geometry.project import Blank, CutName
from geometry.solids import FloatArray, IntArray

_POINTS: Final = 12_000
"""Places at which each face is looked at; a patch is measured to about one such place."""
_FEWEST_PLACES: Final = 4
"""What shows at fewer places than these is a corner of something else, or a trick of the raster."""


@dataclass(frozen=True, slots=True)
class Busyness:
    """How busy the long faces of a piece look.

    Attributes
    ----------
    smallest_patch_mm2 : the smallest patch of one species, laid flat, of those the ends do not cut off if there are
        such; measured on a raster, to some square millimetres; None where there is no face
    changes_per_100_mm : how often the species changes per 100 mm along the seams, both sides taken together; None where
        the pattern is too fine to be followed
    """

    smallest_patch_mm2: float | None
    changes_per_100_mm: float | None


def busyness(piece: Piece, seams: Sequence[Seam]) -> Busyness:
    """Return how busy a piece looks.

    Parameters
    ----------
    piece : the piece
    seams : its seams, without errors
    """
    grid = grid_of(piece.variant)
    sides = [bands for seam in seams for bands in (seam.low_bands, seam.high_bands) if bands]
    length = math.fsum(bands[-1].to_mm for bands in sides)
    changes = sum(len(bands) - 1 for bands in sides)
    often = None if any(s.same_species is None for s in seams) or not length else 100.0 * changes / length
    patches = [p for face in SEAM_NAMES for p in _patches(piece, grid, face)]
    whole = [area for area, is_whole in patches if is_whole] or [area for area, _ in patches]
    return Busyness(min(whole, default=None), often)


def smallest_cell_mm(grid: LayupGrid, blank: Blank) -> float | None:
    """Return the least thickness of the strips, blocks or bands that show as such, or None of a plain blank.

    Neighbours of the same species count as one. Bands of a V are measured square to themselves.
    """
    smallest: float | None = None
    sizes = (blank.width, blank.depth, blank.length)
    lows = (-blank.width / 2.0, -blank.depth / 2.0, 0.0)
    for axis, (edges, low, size) in enumerate(zip(grid.edges, lows, sizes, strict=True)):
        before, after = np.delete(grid.cells, -1, axis), np.delete(grid.cells, 0, axis)
        others = tuple(a for a in range(3) if a != axis)
        shown = edges[(before != after).any(axis=others)]
        if not len(shown):
            continue
        if axis == 2 and grid.shear is not None:
            # the outermost bands run on past the blank
            if len(shown) < 2:
                continue
            least = float(np.diff(shown).min()) / math.hypot(1.0, grid.shear.slope)
        else:
            least = float(np.diff(np.concatenate([[low], shown, [low + size]])).min())
        smallest = least if smallest is None else min(smallest, least)
    return smallest


# ---------------------------------------------------------------- patches on a raster


def _patches(piece: Piece, grid: LayupGrid, face: SeamName) -> list[tuple[float, bool]]:
    """Return area in mm² and wholeness of each patch of one species on a face of the piece, the face laid flat.

    Rows run along the line, columns across the blank. A face is two pieces of wood: at each height the half towards
    the low edge of the blank up to the other line, and the half from there to its high edge; on the glued piece these
    edges meet in the seam, in the middle of the face.
    """
    cut: CutName = "front" if face[1] == "x" else "side"
    other: CutName = "side" if cut == "front" else "front"
    reach = piece.cut(other).face.half
    along, path = _evenly(sawn_edge(piece, face), reach)
    if len(path) < 2:
        return []
    row_height = float(along[1] - along[0])
    columns = max(8, min(200, _POINTS // len(path)))
    width = 2.0 * reach / columns
    v = (np.arange(columns) + 0.5) * width - reach
    u, z = (np.repeat(c, columns).reshape(len(path), columns) for c in path.T)
    across = np.broadcast_to(v, u.shape)
    points = np.stack([u, across, z] if cut == "front" else [across, u, z], axis=-1)
    species = grid.species_at(points.reshape(-1, 3)).reshape(u.shape)
    # what lies low of the other line is carried to the + side, where its trims take their part of it
    names: tuple[SeamName, SeamName] = ("+y", "-y") if other == "side" else ("+x", "-x")
    low, high = (_first_across(sawn_edge(piece, name), path[:, 1]) for name in names)
    is_low, is_high = across < low[:, None], across > high[:, None]
    # the high half of the blank lies on the low side of the seam
    laid = np.concatenate([np.where(is_high, species, -1), np.where(is_low, species, -1)], axis=1)
    return _areas(laid, row_height * width)


def _areas(laid: IntArray, cell: float) -> list[tuple[float, bool]]:
    out: list[tuple[float, bool]] = []
    for s in np.unique(laid[laid >= 0]):
        labels, count = ndimage.label(laid == s)
        areas = np.bincount(labels.ravel(), minlength=count + 1)[1:] * cell
        cut_off = set(np.unique(labels[[0, -1]]).tolist())
        out += [
            (area, i not in cut_off) for i, area in enumerate(areas.tolist(), start=1) if area > _FEWEST_PLACES * cell
        ]
    return out


def _evenly(path: FloatArray, reach: float) -> tuple[FloatArray, FloatArray]:
    """Return places (n,) along a sawn face's edge and its points (n, 2) there, at even steps."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    total = float(along[-1])
    # as many rows as make the raster about square
    rows = int(np.clip(math.sqrt(_POINTS * total / (2.0 * reach)), 8, 2000))
    at = (np.arange(rows) + 0.5) * total / rows
    return at, np.stack([np.interp(at, along, path[:, k]) for k in (0, 1)], axis=1)


def _first_across(path: FloatArray, z: FloatArray) -> FloatArray:
    """Return where a path is across at heights ``z`` (n,); where it comes by more than once, at its first pass."""
    highest = np.maximum.accumulate(path[:, 1])
    rises = np.append(True, np.diff(highest) > 0.0)
    return cast(FloatArray, np.interp(z, path[rises, 1], path[rises, 0]))
