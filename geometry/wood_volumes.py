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
from geometry.tapered_wood import moved_moments, tapered_balance, tapered_volumes


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
    grid, blank, densities = grid_of(variant), variant.blank, densities_kg_mm3(grid_of(variant).species)
    if blank.is_tapered:
        held = tapered_volumes(piece, grid)
        balance = _balance(tapered_balance(piece, grid, densities))
        return WoodInPiece(grid.species, held, balance[0], held @ densities, *balance[1:])
    front, side = piece.front.face, piece.side.face
    sums = species_moments((front.left, front.right), (side.left, side.right), grid)
    in_quarters = np.stack([sums[(sx + 1) // 2, (sy + 1) // 2] for sx, sy in QUARTER_SIGNS])
    weighed = np.einsum("qsm,s->qm", in_quarters, densities)
    whole = np.zeros(len(MONOMIALS))
    for quarter, move in zip(weighed, piece.glue_moves(), strict=True):
        whole += moved_moments(quarter, move)
    mass, centre, inertia = _balance(whole)
    return WoodInPiece(grid.species, in_quarters[:, :, 0], mass, weighed[:, 0], centre, inertia)


def _balance(m: FloatArray) -> tuple[float, FloatArray, FloatArray]:
    """Return mass, centre and inertia about the centre from moments (10,)."""
    mass = float(m[0])
    if mass <= 0.0:
        return 0.0, np.full(3, np.nan), np.zeros((3, 3))
    centre = m[1:4] / mass
    xx, yy, zz, xy, xz, yz = m[4:]
    second = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]) - mass * np.outer(centre, centre)
    return mass, centre, np.trace(second) * np.eye(3) - second
