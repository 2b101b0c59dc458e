"""How much of each species a piece holds, what it weighs and how it balances."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from geometry.blank_wood import densities_kg_mm3
from geometry.layup import Plain
from geometry.layup_grid import grid_of
from geometry.measures import Moments, moments
from geometry.piece import Piece
from geometry.region_moments import MONOMIALS, species_moments
from geometry.sawing import QUARTER_SIGNS
from geometry.solids import FloatArray
from geometry.species import SpeciesName
from geometry.species_bodies import split_by_species


@dataclass(frozen=True, slots=True, eq=False)
class WoodInPiece:
    """The wood of a glued piece, species by species.

    Attributes
    ----------
    species : the species of the lay-up
    quarter_volumes_mm3 : (4, n) volume of each species in quarters 1 to 4
    mass_kg : of the piece, at 12 % moisture content
    quarter_masses_kg : (4,) of quarters 1 to 4
    centre_mm : (3,) centre of mass in the glued piece's own place; NaN where there is no wood
    inertia_kg_mm2 : (3, 3) about the centre of mass
    """

    species: tuple[SpeciesName, ...]
    quarter_volumes_mm3: FloatArray
    mass_kg: float
    quarter_masses_kg: FloatArray
    centre_mm: FloatArray
    inertia_kg_mm2: FloatArray

    @property
    def volumes_mm3(self) -> FloatArray:
        """Volume (n,) of each species in the piece."""
        return cast(FloatArray, self.quarter_volumes_mm3.sum(axis=0))


def wood_in(piece: Piece, glued: Moments | None = None, quarters: Sequence[float] | None = None) -> WoodInPiece:
    """Return what the glued piece holds of each species.

    Parameters
    ----------
    piece : the piece
    glued, quarters : its moments and its quarters' volumes where they are known; a piece of one species needs no more
    """
    variant = piece.variant
    if isinstance(variant.layup, Plain):
        glued = moments(piece.glued()) if glued is None else glued
        volumes = np.array([moments(q).volume_mm3 for q in piece.quarters] if quarters is None else quarters)
        density = float(densities_kg_mm3((variant.layup.species,))[0])
        return WoodInPiece(
            (variant.layup.species,), volumes[:, None], glued.volume_mm3 * density, volumes * density,
            glued.centre_mm, glued.inertia_mm5 * density,
        )  # fmt: skip
    if variant.blank.is_tapered:
        return _wood_in_tapered(piece)
    grid, blank = grid_of(variant), variant.blank
    front, side = piece.front.face, piece.side.face
    sums = species_moments((front.left, front.right), (side.left, side.right), grid)
    in_quarters = np.stack([sums[(sx + 1) // 2, (sy + 1) // 2] for sx, sy in QUARTER_SIGNS])
    weighed = np.einsum("qsm,s->qm", in_quarters, densities_kg_mm3(grid.species))
    whole = np.zeros(len(MONOMIALS))
    for (sx, sy), quarter in zip(QUARTER_SIGNS, weighed, strict=True):
        whole += _moved(quarter, -sx * blank.width / 2.0, -sy * blank.depth / 2.0)
    mass, centre, inertia = _balance(whole)
    return WoodInPiece(grid.species, in_quarters[:, :, 0], mass, weighed[:, 0], centre, inertia)


def _wood_in_tapered(piece: Piece) -> WoodInPiece:
    """Return the wood of a tapered piece from its quarters' solids, parted by species; their faces slant."""
    grid = grid_of(piece.variant)
    densities = densities_kg_mm3(grid.species)
    volumes = np.zeros((4, len(grid.species)))
    mass, first, second = 0.0, np.zeros(3), np.zeros((3, 3))
    parted = split_by_species(piece.quarters, grid, piece.variant.blank)
    for q, (parts, move) in enumerate(zip(parted, piece.glue_moves(), strict=True)):
        for s, name in enumerate(grid.species):
            if name not in parts:
                continue
            m = moments(parts[name].moved(move))
            volumes[q, s] = m.volume_mm3
            mass += m.volume_mm3 * densities[s]
            first += m.volume_mm3 * densities[s] * m.centre_mm
            # about the origin: ∫ r rᵀ from the inertia about the body's own centre, and the centre's own share
            spread = np.trace(m.inertia_mm5) / 2.0 * np.eye(3) - m.inertia_mm5
            second += densities[s] * (spread + m.volume_mm3 * np.outer(m.centre_mm, m.centre_mm))
    if mass <= 0.0:
        return WoodInPiece(grid.species, volumes, 0.0, np.zeros(4), np.full(3, np.nan), np.zeros((3, 3)))
    centre = first / mass
    second -= mass * np.outer(centre, centre)
    inertia = np.trace(second) * np.eye(3) - second
    return WoodInPiece(grid.species, volumes, mass, volumes @ densities, centre, inertia)


def _moved(m: FloatArray, dx: float, dy: float) -> FloatArray:
    """Return the moments (10,) of a body moved level."""
    one, x, y, z, xx, yy, zz, xy, xz, yz = m
    return np.array(
        [
            one, x + dx * one, y + dy * one, z,
            xx + 2.0 * dx * x + dx * dx * one, yy + 2.0 * dy * y + dy * dy * one, zz,
            xy + dx * y + dy * x + dx * dy * one, xz + dx * z, yz + dy * z,
        ]
    )  # fmt: skip


def _balance(m: FloatArray) -> tuple[float, FloatArray, FloatArray]:
    """Return mass, centre and inertia about the centre from moments (10,)."""
    mass = float(m[0])
    if mass <= 0.0:
        return 0.0, np.full(3, np.nan), np.zeros((3, 3))
    centre = m[1:4] / mass
    xx, yy, zz, xy, xz, yz = m[4:]
    second = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]) - mass * np.outer(centre, centre)
    return mass, centre, np.trace(second) * np.eye(3) - second
