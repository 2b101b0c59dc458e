"""A body taken apart by what it is made of: one solid for each species, cut along the borders of the lay-up."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.layup_grid import LayupGrid, VShear, grid_of
from geometry.piece import Piece
from geometry.prisms import STRAIGHT, prism
from geometry.project import Blank, CutName
from geometry.sawing import checked, to_manifold
from geometry.solids import BoolArray, FloatArray, Solid
from geometry.species import SpeciesName
from geometry.tolerances import CUTTER_OVERSHOOT_MM
from geometry.turning import GLUED, placements


def split_by_species(
    solids: Sequence[Solid], grid: LayupGrid, blank: Blank
) -> tuple[dict[SpeciesName, Solid], ...]:  # fmt: skip
    """Return, for each solid, what of it is made of each species; species it has none of are left out.

    Parameters
    ----------
    solids : inside the blank, in its coordinates
    grid, blank : what it is made of
    """
    if len(grid.species) == 1:
        return tuple({} if solid.is_empty else {grid.species[0]: solid} for solid in solids)
    regions = [(name, _region(grid, blank, index)) for index, name in enumerate(grid.species)]
    out = []
    for solid in solids:
        parts: dict[SpeciesName, Solid] = {}
        if not solid.is_empty:
            body = to_manifold(solid)
            for name, region in regions:
                part = checked(body ^ region)
                if not part.is_empty:
                    parts[name] = part
        out.append(parts)
    return tuple(out)


def glued_by_species(piece: Piece) -> dict[SpeciesName, Solid]:
    """Return the glued piece as one solid for each species, where it stands; together they are the whole piece."""
    grid, blank = grid_of(piece.variant), piece.variant.blank
    if len(grid.species) == 1:
        whole = piece.glued()
        return {} if whole.is_empty else {grid.species[0]: whole}
    gathered: dict[SpeciesName, list[manifold3d.Manifold]] = {name: [] for name in grid.species}
    moves = placements(blank, piece.quarters, GLUED)
    for parts, move in zip(split_by_species(piece.quarters, grid, blank), moves, strict=True):
        for name, part in parts.items():
            gathered[name].append(to_manifold(part.moved(move)))
    joined = {
        name: checked(manifold3d.Manifold.batch_boolean(bodies, manifold3d.OpType.Add))
        for name, bodies in gathered.items()
        if bodies
    }
    return {name: solid for name, solid in joined.items() if not solid.is_empty}


def _region(grid: LayupGrid, blank: Blank, index: int) -> manifold3d.Manifold:
    """Return all cells of one species as a body that overshoots the blank.

    Cells that agree all along one direction across the blank are drawn once, as a region of the plane square to it.
    A V is drawn in the plane in which it is seen.
    """
    cut: CutName = "side" if grid.shear is not None and grid.shear.across == "y" else "front"
    drawn, through = (0, 1) if cut == "front" else (1, 0)
    is_it = np.moveaxis(grid.cells == index, through, 0)  # (layers through, cells across, cells up)
    borders = _borders(grid, blank)
    slabs = []
    first = 0
    for layer in range(1, len(is_it) + 1):
        if layer < len(is_it) and np.array_equal(is_it[layer], is_it[first]):
            continue
        region = _drawn(is_it[first], borders[drawn], borders[2], grid.shear)
        if not region.is_empty:
            start, end = float(borders[through][first]), float(borders[through][layer])
            # the side is sawn towards -x
            slabs.append(prism(region, STRAIGHT[cut], *((start, end) if cut == "front" else (-end, -start))))
        first = layer
    return manifold3d.Manifold.batch_boolean(slabs, manifold3d.OpType.Add)


def _borders(grid: LayupGrid, blank: Blank) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return all borders along x, y and z', the outer ones past the blank."""
    a, b = max(blank.width, blank.width_at_top) / 2.0, max(blank.depth, blank.depth_at_top) / 2.0
    low, high = 0.0, blank.length
    if grid.shear is not None:
        half = a if grid.shear.across == "x" else b
        climb = abs(grid.shear.slope) * (half + CUTTER_OVERSHOOT_MM + abs(grid.shear.peak))
        low, high = low - climb, high + climb
    ends = ((-a, a), (-b, b), (low, high))
    x, y, z = (
        np.concatenate([
            [min([start, *edges[:1]]) - CUTTER_OVERSHOOT_MM],
            edges,
            [max([end, *edges[-1:]]) + CUTTER_OVERSHOOT_MM],
        ])
        for edges, (start, end) in zip(grid.edges, ends, strict=True)
    )  # fmt: skip
    return x, y, z


def _drawn(is_it: BoolArray, across: FloatArray, up: FloatArray, shear: VShear | None) -> BaseGeometry:
    """Return the cells (across, up) that are wanted as a region of the plane (u, z)."""
    cells = []
    for i in range(is_it.shape[0]):
        change = np.flatnonzero(np.diff(np.concatenate([[False], is_it[i], [False]]).astype(np.int8)))
        for first, last in change.reshape(-1, 2):  # runs of cells one on top of another
            cells.append(_cell(float(across[i]), float(across[i + 1]), float(up[first]), float(up[last]), shear))
    return shapely.union_all(cells)


def _cell(left: float, right: float, low: float, high: float, shear: VShear | None) -> shapely.Polygon:
    if shear is None:
        return shapely.box(left, low, right, high)
    u = np.array([left, shear.peak, right] if left < shear.peak < right else [left, right])
    lift = np.abs(u - shear.peak) * shear.slope
    below, above = np.stack([u, low - lift], axis=1), np.stack([u, high - lift], axis=1)
    return shapely.Polygon(np.concatenate([below, above[::-1]]))
