"""How much of each species a blank holds before any cut."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

import numpy as np
import shapely

from geometry.layup import Plain
from geometry.layup_grid import LayupGrid, grid_of
from geometry.project import Blank, Variant
from geometry.region_moments import species_moments
from geometry.solids import FloatArray
from geometry.species import SPECIES, SpeciesName


def densities_kg_mm3(species: Sequence[SpeciesName]) -> FloatArray:
    """Return the density (n,) of each species in kg/mm³ at 12 % moisture content."""
    return np.array([SPECIES[name].density_kg_m3 * 1e-9 for name in species])


def blank_volumes_mm3(variant: Variant) -> dict[SpeciesName, float]:
    """Return the volume of each species in the blank before any cut; its strips are counted at the foot."""
    blank = variant.blank
    if isinstance(variant.layup, Plain):
        return {variant.layup.species: blank.volume_mm3}
    grid = grid_of(variant)
    volumes = frustum_moments(blank, grid)[:, 0]
    return {name: float(v) for name, v in zip(grid.species, volumes, strict=True)}


def frustum_moments(blank: Blank, grid: LayupGrid) -> FloatArray:
    """Return the moments (species, 10) of each species in a blank, tapered or not: see `region_moments`.

    At every height the blank is as wide as its front face and as deep as its right face, so it is the two faces carried
    through one another.
    """
    faces = [
        shapely.Polygon([(-foot / 2.0, 0.0), (foot / 2.0, 0.0), (top / 2.0, blank.length), (-top / 2.0, blank.length)])
        for foot, top in ((blank.width, blank.width_at_top), (blank.depth, blank.depth_at_top))
    ]
    return cast(FloatArray, species_moments(faces[:1], faces[1:], grid)[0, 0])


def dominant_species(variant: Variant) -> SpeciesName:
    """Return the species of which the blank holds most; of equals the first in the lay-up."""
    volumes = blank_volumes_mm3(variant)
    most = max(volumes.values())
    return next(name for name, v in volumes.items() if v >= most * (1.0 - 1e-9))
