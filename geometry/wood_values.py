"""Strength and shrinkage of the workshop's sixteen woods: means of clear, straight-grained wood at 12 % moisture.

Where each number comes from is told beside it:

``5-3a``
    USDA Forest Products Laboratory, *Wood Handbook*, FPL-GTR-190 (2010), table 5-3a, metric, rows at 12 %
``5-5b``
    the same, table 5-5b (imported woods, inch-pound, converted)
``4-3``
    the same, table 4-3: shrinkage from green to ovendry
``AH607``
    USDA Agriculture Handbook 607
``memory``
    one of those tables, from memory: to be checked before it is relied on
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from geometry.species import SpeciesName

Source = Literal["5-3a", "5-5b", "4-3", "AH607", "memory"]


@dataclass(frozen=True, slots=True)
class WoodStrength:
    """What a wood bears at 12 % moisture, mean values.

    Attributes
    ----------
    bending_mpa : modulus of rupture
    green_bending_mpa : the same of green wood; all from memory of tables 5-3a and 5-5
    stiffness_gpa : modulus of elasticity in bending
    crushing_mpa : compression parallel to the grain
    shear_mpa : shear parallel to the grain
    source : where all but the green value come from
    """

    bending_mpa: float
    green_bending_mpa: float
    stiffness_gpa: float
    crushing_mpa: float
    shear_mpa: float
    source: Source


@dataclass(frozen=True, slots=True)
class Shrinkage:
    """How much a wood shrinks from green to ovendry, in percent of its green size.

    Attributes
    ----------
    radial, tangential, volumetric : square to the growth rings, along them, and in volume
    source : where these come from
    """

    radial: float
    tangential: float
    volumetric: float
    source: Source


STRENGTH: Final[dict[SpeciesName, WoodStrength]] = {
    "walnut": WoodStrength(101.0, 66.0, 11.6, 52.3, 9.4, "5-3a"),
    "cherry": WoodStrength(85.0, 55.0, 10.3, 49.0, 11.7, "5-3a"),
    "maple": WoodStrength(109.0, 65.0, 12.6, 54.0, 16.1, "5-3a"),
    "soft-maple": WoodStrength(92.0, 53.0, 11.3, 45.1, 12.8, "5-3a"),
    "red-oak": WoodStrength(99.0, 57.0, 12.5, 46.6, 12.3, "5-3a"),
    "white-oak": WoodStrength(105.0, 57.0, 12.3, 51.3, 13.8, "5-3a"),
    # one copy of the 2021 edition shows 106; a worked example of the same document prints 103
    "ash": WoodStrength(103.0, 66.0, 12.0, 51.1, 13.2, "5-3a"),
    "poplar": WoodStrength(70.0, 41.0, 10.9, 38.2, 8.2, "5-3a"),
    "beech": WoodStrength(103.0, 59.0, 11.9, 50.3, 13.9, "5-3a"),
    "birch": WoodStrength(114.0, 57.0, 13.9, 56.3, 13.0, "5-3a"),
    "basswood": WoodStrength(60.0, 34.0, 10.1, 32.6, 6.8, "5-3a"),
    "pine": WoodStrength(59.0, 34.0, 8.5, 33.1, 6.2, "5-3a"),
    "fir": WoodStrength(85.0, 53.0, 13.4, 49.9, 7.8, "5-3a"),
    "mahogany": WoodStrength(79.3, 62.1, 10.3, 46.7, 8.5, "AH607"),  # its shear from memory
    "sapele": WoodStrength(105.5, 70.3, 12.5, 56.3, 15.6, "memory"),
    "teak": WoodStrength(100.7, 80.0, 10.7, 58.0, 13.0, "5-5b"),
}

SHRINKAGE: Final[dict[SpeciesName, Shrinkage]] = {
    "walnut": Shrinkage(5.5, 7.8, 12.8, "4-3"),
    "cherry": Shrinkage(3.7, 7.1, 11.5, "4-3"),
    "maple": Shrinkage(4.8, 9.9, 14.7, "4-3"),
    "soft-maple": Shrinkage(4.0, 8.2, 12.6, "memory"),
    "red-oak": Shrinkage(4.0, 8.6, 13.7, "4-3"),
    "white-oak": Shrinkage(5.6, 10.5, 16.3, "4-3"),
    "ash": Shrinkage(4.9, 7.8, 13.3, "4-3"),
    "poplar": Shrinkage(4.6, 8.2, 12.7, "4-3"),
    "beech": Shrinkage(5.5, 11.9, 17.2, "4-3"),
    "birch": Shrinkage(7.3, 9.5, 16.8, "4-3"),
    "basswood": Shrinkage(6.6, 9.3, 15.8, "4-3"),
    "pine": Shrinkage(2.1, 6.1, 8.2, "memory"),
    "fir": Shrinkage(4.8, 7.6, 12.4, "4-3"),
    "mahogany": Shrinkage(3.0, 4.1, 7.8, "AH607"),
    "sapele": Shrinkage(4.6, 7.4, 14.0, "AH607"),
    "teak": Shrinkage(2.5, 5.8, 7.0, "memory"),
}
