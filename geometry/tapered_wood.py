"""The wood of a tapered piece: what its leaning quarters hold of each species, and how they balance once glued."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, cast

import manifold3d
import numpy as np

from geometry.blank_wood import frustum_moments
from geometry.layup_grid import LayupGrid
from geometry.measures import Moments, moments
from geometry.piece import Piece
from geometry.project import CUT_NAMES, Blank
from geometry.region_moments import MONOMIALS, species_moments
from geometry.sawing import QUARTER_SIGNS, checked, to_manifold
from geometry.solids import NO_WOOD, FloatArray, Solid
from geometry.species_bodies import split_by_species
from geometry.tapering import dihedral_error, lean_of_blade

MOST_PARTS: Final = 160
"""Strips, blocks or bands that quarters are taken apart into; a finer pattern is weighed as an even mix."""


def tapered_volumes(piece: Piece, grid: LayupGrid) -> FloatArray:
    """Return the volume (4, species) of each species in quarters 1 to 4, as sawn."""
    if _is_levelled(piece):
        return cast(FloatArray, _levelled(piece, grid)[:, :, 0])
    return cast(FloatArray, _by_species(piece.quarters, grid, piece.variant.blank)[:, :, 0])


def tapered_balance(piece: Piece, grid: LayupGrid, densities: FloatArray) -> FloatArray:
    """Return the moments (10,) of mass of the glued piece, in powers of mm; see `region_moments.MONOMIALS`.

    Where the corners are wider than square the quarters would run into one another: what overlaps is planed off their
    flats, and counts once.
    """
    blank, moves = piece.variant.blank, piece.glue_moves()
    if dihedral_error(blank) > 0.0:
        planed, slivers = _planed(piece)
        # slivers are all edges, at which booleans fail, and next to nothing
        by_species = _by_species(planed, grid, blank)
        by_species += _evenly(slivers, grid, blank)
    elif _is_levelled(piece):
        by_species = _levelled(piece, grid)
    else:
        by_species = _by_species(piece.quarters, grid, blank)
    weighed = np.einsum("qsm,s->qm", by_species, densities)
    return cast(FloatArray, sum(moved_moments(m, move) for m, move in zip(weighed, moves, strict=True)))


def _is_levelled(piece: Piece) -> bool:
    """True where both blades run square to the axis: then a quarter is two regions carried through one another."""
    variant = piece.variant
    return all(lean_of_blade(variant.blank, name, variant.taper_support) == 0.0 for name in CUT_NAMES)


def _levelled(piece: Piece, grid: LayupGrid) -> FloatArray:
    front, side = piece.front.face, piece.side.face
    sums = species_moments((front.left, front.right), (side.left, side.right), grid)
    return np.stack([sums[(sx + 1) // 2, (sy + 1) // 2] for sx, sy in QUARTER_SIGNS])


def _by_species(solids: Sequence[Solid], grid: LayupGrid, blank: Blank) -> FloatArray:
    """Return the moments (solids, species, 10) of what each solid holds of each species."""
    if _parts(grid) > MOST_PARTS:
        return _evenly(solids, grid, blank)
    out = np.zeros((len(solids), len(grid.species), len(MONOMIALS)))
    for i, parts in enumerate(split_by_species(solids, grid, blank)):
        for s, name in enumerate(grid.species):
            if name in parts:
                out[i, s] = _powers(moments(parts[name]))
    return out


def _evenly(solids: Sequence[Solid], grid: LayupGrid, blank: Blank) -> FloatArray:
    """Return the same of solids taken as an even mix of what the blank holds."""
    held = frustum_moments(blank, grid)[:, 0]
    mixed = [np.outer(held / held.sum(), _powers(moments(solid))) for solid in solids]
    return np.array(mixed).reshape(len(solids), len(grid.species), len(MONOMIALS))


def _parts(grid: LayupGrid) -> int:
    """Return how many strips, blocks or bands show, neighbours of one species taken together."""
    count = 1
    for axis in range(3):
        before, after = np.delete(grid.cells, -1, axis), np.delete(grid.cells, 0, axis)
        count *= 1 + int((before != after).any(axis=tuple(a for a in range(3) if a != axis)).sum())
    return count


def _planed(piece: Piece) -> tuple[tuple[Solid, ...], tuple[Solid, ...]]:
    """Return the quarters in the blank's coordinates less what overlaps when they are glued, and the slivers left over.

    Each is planed to its own side of the glue planes, half the overlap off each flat. Where a seam is not flush that
    takes slivers that no other quarter fills: they belong to the piece.
    """
    moves = piece.glue_moves()
    stand = [to_manifold(q.moved(m)) for q, m in zip(piece.quarters, moves, strict=True)]
    flat = [_flattened(body, sx, sy) for body, (sx, sy) in zip(stand, QUARTER_SIGNS, strict=True)]
    there = manifold3d.Manifold.batch_boolean(flat, manifold3d.OpType.Add)
    slivers: list[Solid] = []
    for body, move in zip(stand, moves, strict=True):
        sliver = body - there
        if sliver.status() != manifold3d.Error.NoError:  # thinner than rounding: there is none
            slivers.append(NO_WOOD)
            continue
        there = there + sliver
        slivers.append(checked(sliver).moved(_back(move)))
    planed = tuple(checked(body).moved(_back(move)) for body, move in zip(flat, moves, strict=True))
    return planed, tuple(slivers)


def _flattened(body: manifold3d.Manifold, sx: int, sy: int) -> manifold3d.Manifold:
    """Return a quarter planed to its side of both glue planes."""
    for normal in ((-float(sx), 0.0, 0.0), (0.0, -float(sy), 0.0)):
        planed = body.trim_by_plane(normal, 0.0)
        if planed.status() == manifold3d.Error.NoError:  # else there is less to plane off than rounding
            body = planed
    return body


def _powers(m: Moments) -> FloatArray:
    """Return the integrals (10,) of the `MONOMIALS` over a body."""
    if m.volume_mm3 == 0.0:
        return np.zeros(len(MONOMIALS))
    v, c = m.volume_mm3, m.centre_mm
    second = np.trace(m.inertia_mm5) / 2.0 * np.eye(3) - m.inertia_mm5 + v * np.outer(c, c)
    return np.array([v, *(v * c), *np.diag(second), second[0, 1], second[0, 2], second[1, 2]])


def moved_moments(m: FloatArray, move: FloatArray) -> FloatArray:
    """Return the moments (10,) of a body after a rigid 4 by 4 move."""
    one, first = float(m[0]), m[1:4]
    second = np.array([[m[4], m[7], m[8]], [m[7], m[5], m[9]], [m[8], m[9], m[6]]])
    turn, shift = move[:3, :3], move[:3, 3]
    turned = turn @ first
    here = turned + one * shift
    square = turn @ second @ turn.T + np.outer(turned, shift) + np.outer(shift, turned) + one * np.outer(shift, shift)
    return np.array([one, *here, *np.diag(square), square[0, 1], square[0, 2], square[1, 2]])


def _back(move: FloatArray) -> FloatArray:
    """Return the rigid move that undoes another."""
    back = np.eye(4)
    back[:3, :3] = move[:3, :3].T
    back[:3, 3] = -move[:3, :3].T @ move[:3, 3]
    return back
