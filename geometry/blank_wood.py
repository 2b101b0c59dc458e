"""How much of each species a blank holds before any cut."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from geometry.layup import Plain
from geometry.layup_grid import grid_of
from geometry.project import Variant
from geometry.region_moments import species_moments
from geometry.solids import FloatArray
from geometry.species import SPECIES, SpeciesName


def densities_kg_mm3(species: Sequence[SpeciesName]) -> FloatArray:
    """Return the density (n,) of each species in kg/mm³ at 12 % moisture content."""
    return np.array([SPECIES[name].density_kg_m3 * 1e-9 for name in species])


def blank_volumes_mm3(variant: Variant) -> dict[SpeciesName, float]:
    """Return the volume of each species in the blank before any cut, counted at the foot where it is tapered."""
    blank = variant.blank
    if isinstance(variant.layup, Plain):
        return {variant.layup.species: blank.volume_mm3}
    grid = grid_of(variant)
    a, b = blank.width / 2.0, blank.depth / 2.0
    front, side = shapely.box(-a, 0.0, a, blank.length), shapely.box(-b, 0.0, b, blank.length)
    volumes = species_moments((front,), (side,), grid)[0, 0, :, 0]
    return {name: float(v) for name, v in zip(grid.species, volumes, strict=True)}


def dominant_species(variant: Variant) -> SpeciesName:
    """Return the species of which the blank holds most; of equals the first in the lay-up."""
    volumes = blank_volumes_mm3(variant)
    most = max(volumes.values())
    return next(name for name, v in volumes.items() if v >= most * (1.0 - 1e-9))
