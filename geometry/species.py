"""What the workshop's sixteen woods weigh.

Specific gravity is on the ovendry mass and the volume at 12 % moisture content. Sources: USDA Forest Products
Laboratory, *Wood Handbook*, FPL-GTR-190 (2010), table 5-3a, for the woods of North America; USDA Agriculture
Handbook 607 and Wood Handbook table 5-5 for mahogany, sapele and teak, whose specific gravity on the green
volume is converted with equation 4-13 of FPL-GTR-282 (2021).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

SpeciesName = Literal[
    "walnut", "cherry", "maple", "soft-maple", "red-oak", "white-oak", "ash", "poplar",
    "beech", "birch", "basswood", "pine", "fir", "mahogany", "sapele", "teak",
]  # fmt: skip

SPECIES_NAMES: tuple[SpeciesName, ...] = get_args(SpeciesName)

MOISTURE_PERCENT = 12.0


def density_at_moisture(specific_gravity: float, moisture_percent: float = MOISTURE_PERCENT) -> float:
    """Return the density in kg/m³ (FPL-GTR-282, equation 4-14: 1000 · G · (1 + M/100)).

    Parameters
    ----------
    specific_gravity : on ovendry mass and the volume at that moisture content
    moisture_percent : moisture content, percent of the ovendry mass
    """
    return 1000.0 * specific_gravity * (1.0 + moisture_percent / 100.0)


def gravity_from_green(green_specific_gravity: float, moisture_percent: float = MOISTURE_PERCENT) -> float:
    """Return the specific gravity at a moisture content from that on the green volume (equation 4-13)."""
    return green_specific_gravity / (1.0 - 0.265 * green_specific_gravity * (1.0 - moisture_percent / 30.0))


@dataclass(frozen=True, slots=True)
class Species:
    """One wood: its name for the maker, its botanical stand-in, and its specific gravity at 12 %."""

    name: SpeciesName
    label: str
    specific_gravity: float

    @property
    def density_kg_m3(self) -> float:
        """Density at 12 % moisture content."""
        return density_at_moisture(self.specific_gravity)


SPECIES: dict[SpeciesName, Species] = {
    s.name: s
    for s in (
        Species("walnut", "Walnut (black)", 0.55),
        Species("cherry", "Cherry (black)", 0.50),
        Species("maple", "Maple (sugar, hard)", 0.63),
        Species("soft-maple", "Soft maple (red)", 0.54),
        Species("red-oak", "Red oak (northern)", 0.63),
        Species("white-oak", "White oak", 0.68),
        Species("ash", "Ash (white)", 0.60),
        Species("poplar", "Yellow-poplar", 0.42),
        Species("beech", "Beech (American)", 0.64),
        Species("birch", "Birch (yellow)", 0.62),
        Species("basswood", "Basswood", 0.37),
        Species("pine", "Pine (eastern white)", 0.35),
        Species("fir", "Douglas-fir (coast)", 0.48),
        Species("mahogany", "Mahogany (American)", gravity_from_green(0.45)),
        Species("sapele", "Sapele", gravity_from_green(0.55)),
        Species("teak", "Teak", gravity_from_green(0.55)),
    )
}
