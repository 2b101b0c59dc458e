"""Weights of the woods against the Wood Handbook and the Agriculture Handbook.

Sources: USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), table 5-3a, metric, rows at 12 % moisture
content; equations 4-13 and 4-14 as numbered in FPL-GTR-282 (2021); USDA Agriculture Handbook 607 for mahogany, sapele
and teak, whose specific gravity is given on the green volume.
"""

import pytest

from geometry.species import MOISTURE_PERCENT, SPECIES, SPECIES_NAMES, density_at_moisture, gravity_from_green

# Table 5-3a: specific gravity at 12 %
TABLE_5_3A = {
    "walnut": 0.55, "cherry": 0.50, "maple": 0.63, "soft-maple": 0.54, "red-oak": 0.63, "white-oak": 0.68,
    "ash": 0.60, "poplar": 0.42, "beech": 0.64, "birch": 0.62, "basswood": 0.37, "pine": 0.35, "fir": 0.48,
}  # fmt: skip
# the same rows in kg/m³, from equation 4-14: 1000 · G · (1 + 12/100)
DENSITIES = {
    "walnut": 616, "cherry": 560, "maple": 706, "soft-maple": 605, "red-oak": 706, "white-oak": 762, "ash": 672,
    "poplar": 470, "beech": 717, "birch": 694, "basswood": 414, "pine": 392, "fir": 538,
}  # fmt: skip
# Agriculture Handbook 607: specific gravity on the green volume, and the range the dry wood is given with, kg/m³
GREEN = {"mahogany": (0.45, 530, 545), "sapele": (0.55, 660, 680), "teak": (0.55, 643, 676)}


@pytest.mark.parametrize("name", TABLE_5_3A)
def test_specific_gravity_is_that_of_the_table(name):
    assert SPECIES[name].specific_gravity == TABLE_5_3A[name]
    assert SPECIES[name].density_kg_m3 == pytest.approx(DENSITIES[name], abs=0.5)


@pytest.mark.parametrize("name", GREEN)
def test_tropical_woods_are_converted_from_their_green_volume(name):
    green, low, high = GREEN[name]
    # Equation 4-13: G = Gb / (1 - 0.265 Gb (1 - 12/30))
    assert SPECIES[name].specific_gravity == pytest.approx(green / (1 - 0.265 * green * (1 - 12 / 30)))
    assert low <= SPECIES[name].density_kg_m3 <= high


def test_there_is_no_wood_without_a_source():
    assert set(SPECIES_NAMES) == set(SPECIES) == set(TABLE_5_3A) | set(GREEN)
    assert MOISTURE_PERCENT == 12.0


def test_wood_grows_heavier_with_moisture():
    # Equation 4-14 at its ends: ovendry wood weighs its gravity, and at 12 % that much more
    assert density_at_moisture(0.5, 0.0) == 500.0
    assert density_at_moisture(0.5, 12.0) == pytest.approx(560.0)
    # Equation 4-13 at the fibre saturation point of 30 % gives back the green gravity
    assert gravity_from_green(0.5, 30.0) == pytest.approx(0.5)
