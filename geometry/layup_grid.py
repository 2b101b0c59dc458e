"""One representation for every lay-up: a grid of boards in the blank's coordinates, optionally sheared into a V."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast

import numpy as np

from geometry.layup import Checker, Chevron, Layup, Plain, Stripes
from geometry.project import Blank, Variant
from geometry.solids import FloatArray, IntArray
from geometry.species import SpeciesName


@dataclass(frozen=True, slots=True)
class VShear:
    """Bands that climb away from a peak: z' = z + abs(across - peak) · slope, with across = x or y, in mm."""

    across: Literal["x", "y"]
    peak: float
    slope: float

    def lift(self, points: FloatArray) -> FloatArray:
        """Return z' - z at points (n, 3)."""
        u = points[:, 0 if self.across == "x" else 1]
        return cast(FloatArray, np.abs(u - self.peak) * self.slope)


@dataclass(frozen=True, slots=True, eq=False)
class LayupGrid:
    """What the blank is made of, as a function of its own coordinates.

    Every cell is one board with a grain of its own. A point on an edge belongs to the cell above it.

    Attributes
    ----------
    species : the species that occur
    edges : inner borders of the cells along x, y and z (z' where there is a shear), each sorted, in mm
    cells : (nx, ny, nz) index into ``species``, one more along each axis than there are edges
    shear : the V, or None
    """

    species: tuple[SpeciesName, ...]
    edges: tuple[FloatArray, FloatArray, FloatArray]
    cells: IntArray
    shear: VShear | None = None

    def coordinates(self, points: FloatArray) -> FloatArray:
        """Return (x, y, z') of points (n, 3) in the blank's coordinates."""
        if self.shear is None:
            return points
        out = points.copy()
        out[:, 2] += self.shear.lift(points)
        return out

    def cells_at(self, points: FloatArray) -> IntArray:
        """Return the cell (n, 3) in which each of the points (n, 3) lies; points outside take the nearest cell."""
        c = self.coordinates(np.asarray(points, dtype=np.float64))
        found = [np.searchsorted(self.edges[k], c[:, k], side="right") for k in range(3)]
        return cast(IntArray, np.stack(found, axis=1).astype(np.int64))

    def species_at(self, points: FloatArray) -> IntArray:
        """Return the index (n,) into ``species`` of the wood at points (n, 3)."""
        i, j, k = self.cells_at(points).T
        return cast(IntArray, self.cells[i, j, k])


_NONE = np.zeros(0)


def grid_of(variant: Variant) -> LayupGrid:
    """Return the grid of a variant's lay-up."""
    return layup_grid(variant.layup, variant.blank)


def layup_grid(layup: Layup, blank: Blank) -> LayupGrid:
    """Return the grid of a lay-up in a blank; strips and blocks are counted at the foot."""
    match layup:
        case Plain():
            return LayupGrid((layup.species,), (_NONE, _NONE, _NONE), np.zeros((1, 1, 1), dtype=np.int64))
        case Stripes():
            return _stripes(layup, blank)
        case Checker():
            return _checker(layup, blank)
        case Chevron():
            return _chevron(layup, blank)


def _inner_edges(sizes: tuple[float, ...], start: float) -> FloatArray:
    return cast(FloatArray, start + np.cumsum(np.asarray(sizes, dtype=np.float64))[:-1])


def _stripes(layup: Stripes, blank: Blank) -> LayupGrid:
    names = tuple(dict.fromkeys(name for _, name in layup.strips))
    index = np.array([names.index(name) for _, name in layup.strips], dtype=np.int64)
    widths = tuple(width for width, _ in layup.strips)
    if layup.along == "x":
        return LayupGrid(names, (_inner_edges(widths, -blank.width / 2.0), _NONE, _NONE), index.reshape(-1, 1, 1))
    return LayupGrid(names, (_NONE, _inner_edges(widths, -blank.depth / 2.0), _NONE), index.reshape(1, -1, 1))


def _checker(layup: Checker, blank: Blank) -> LayupGrid:
    z = layup.z if layup.z is not None else (blank.length,)
    i, j, k = np.indices((len(layup.x), len(layup.y), len(z)))
    names = tuple(dict.fromkeys(layup.species))
    # the same species may stand twice in the list: the pattern counts places, not names
    place = np.array([names.index(name) for name in layup.species], dtype=np.int64)
    edges = (
        _inner_edges(layup.x, -blank.width / 2.0),
        _inner_edges(layup.y, -blank.depth / 2.0),
        _inner_edges(z, 0.0),
    )
    return LayupGrid(names, edges, place[(i + j + k) % len(layup.species)])


def _chevron(layup: Chevron, blank: Blank) -> LayupGrid:
    half = (blank.width if layup.across == "x" else blank.depth) / 2.0
    slope = float(np.tan(np.radians(layup.angle_deg)))
    furthest = (half + abs(layup.peak)) * slope
    nearest = max(0.0, abs(layup.peak) - half) * slope  # a peak off the blank leaves plain slanting bands
    low, high = min(0.0, furthest, nearest), blank.length + max(0.0, furthest, nearest)
    first = int(np.floor(low / layup.pitch))
    last = int(np.floor(high / layup.pitch))
    bands = np.arange(first, last + 1)
    names = tuple(dict.fromkeys(layup.species))
    place = np.array([names.index(name) for name in layup.species], dtype=np.int64)
    index = place[bands % len(layup.species)]
    z_edges = np.asarray(bands[1:] * layup.pitch, dtype=np.float64)
    # the two arms of the V are boards of their own
    peak: FloatArray = np.array([layup.peak]) if abs(layup.peak) < half else _NONE
    arms = len(peak) + 1
    shape = (arms, 1, len(bands)) if layup.across == "x" else (1, arms, len(bands))
    cells = np.broadcast_to(index, shape).copy()
    edges: tuple[FloatArray, FloatArray, FloatArray]
    edges = (peak, _NONE, z_edges) if layup.across == "x" else (_NONE, peak, z_edges)
    return LayupGrid(names, edges, cells, VShear(layup.across, layup.peak, slope))
