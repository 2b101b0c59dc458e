"""What wood weighs and how it is sold, against what others have laid down."""

from fractions import Fraction

import pytest

from geometry.species import SPECIES, density_at_moisture, gravity_from_green
from geometry.wood_list import BOARD_FOOT_MM3


def test_a_board_foot_is_a_foot_square_and_an_inch_thick():
    # Common definition of the lumber trade: 12 in x 12 in x 1 in = 144 cubic inches; the inch is 25.4 mm exactly.
    assert float(144 * Fraction(254, 10) ** 3) == 2359737.216
    board_foot = BOARD_FOOT_MM3
    assert board_foot == pytest.approx(2359737.216, rel=1e-15)
    # NIST Handbook 130 and NIST SP 811, appendix B, from memory: 1 board foot = 2.359 737 E-03 cubic metres.
    assert round(board_foot * 1e-9, 9) == 2.359737e-3


# USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190 (2010), table 5-3a, rows at 12 % moisture content:
# specific gravity on ovendry mass and volume at 12 %. Read from a copy of the table.
TABLE_5_3A = {
    "walnut": 0.55, "cherry": 0.50, "maple": 0.63, "soft-maple": 0.54, "red-oak": 0.63, "white-oak": 0.68,
    "ash": 0.60, "poplar": 0.42, "beech": 0.64, "birch": 0.62, "basswood": 0.37, "pine": 0.35, "fir": 0.48,
}  # fmt: skip


@pytest.mark.parametrize("name", TABLE_5_3A)
def test_densities_are_the_handbooks_gravity_by_its_formula(name):
    # FPL-GTR-282 (2021), equation 4-14: density = 1000 G (1 + MC / 100) in kg/m3, here with 12 %
    assert SPECIES[name].density_kg_m3 == pytest.approx(1000.0 * TABLE_5_3A[name] * 1.12, rel=1e-12)


@pytest.mark.parametrize(("name", "green", "low", "high"), [
    ("mahogany", 0.45, 525.0, 545.0), ("sapele", 0.55, 665.0, 680.0), ("teak", 0.55, 640.0, 680.0),
])  # fmt: skip
def test_imported_woods_are_converted_from_the_green_volume(name, green, low, high):
    # FPL-GTR-190 table 5-5 and Agriculture Handbook 607 give gravity on the green volume; equation 4-13 of FPL-GTR-282
    # converts it: G12 = Gb / (1 - 0.265 Gb (1 - 12/30)), fibre saturation at 30 %
    expected = green / (1.0 - 0.265 * green * (1.0 - 12.0 / 30.0))
    assert gravity_from_green(green) == pytest.approx(expected, rel=1e-12)
    assert SPECIES[name].specific_gravity == pytest.approx(expected, rel=1e-12)
    # commonly tabulated densities at 12 %, from memory
    assert low < SPECIES[name].density_kg_m3 < high


def test_density_falls_to_the_ovendry_mass():
    # equation 4-14 at no moisture is the gravity itself times the density of water
    assert density_at_moisture(0.5, 0.0) == 500.0
    assert set(TABLE_5_3A) | {"mahogany", "sapele", "teak"} == set(SPECIES)
