"""Moisture, shrinkage, strength and slope of grain against published values.

Wood Handbook: USDA Forest Products Laboratory, FPL-GTR-190 (2010) and FPL-GTR-282 (2021, whose equation numbers are
used). "From memory" stands where the document could not be looked at again.
"""

import math

import numpy as np
import pytest
import shapely

from geometry.moisture import change_of_size, settled_moisture, shrinkage_to, strength_at_moisture
from geometry.sections import polygon_moments
from geometry.species import SPECIES_NAMES
from geometry.strength import SAFETY_FACTOR, bending_strength_mpa, hankinson, push_stress_mpa, share_left
from geometry.wood_values import SHRINKAGE, STRENGTH

# Table 5-3a (metric, 12 %): bending strength MPa, stiffness GPa, compression along the grain MPa, shear MPa;
# table 4-3: shrinkage radial, tangential, volumetric in percent
READ = {
    "walnut": (101, 11.6, 52.3, 9.4, 5.5, 7.8, 12.8), "cherry": (85, 10.3, 49.0, 11.7, 3.7, 7.1, 11.5),
    "maple": (109, 12.6, 54.0, 16.1, 4.8, 9.9, 14.7), "red-oak": (99, 12.5, 46.6, 12.3, 4.0, 8.6, 13.7),
    "white-oak": (105, 12.3, 51.3, 13.8, 5.6, 10.5, 16.3), "ash": (103, 12.0, 51.1, 13.2, 4.9, 7.8, 13.3),
    "poplar": (70, 10.9, 38.2, 8.2, 4.6, 8.2, 12.7), "beech": (103, 11.9, 50.3, 13.9, 5.5, 11.9, 17.2),
    "birch": (114, 13.9, 56.3, 13.0, 7.3, 9.5, 16.8), "basswood": (60, 10.1, 32.6, 6.8, 6.6, 9.3, 15.8),
    "fir": (85, 13.4, 49.9, 7.8, 4.8, 7.6, 12.4),
}  # fmt: skip
# the same tables; the shrinkage from memory
SHRINKAGE_REMEMBERED = {
    "soft-maple": (92, 11.3, 45.1, 12.8, 4.0, 8.2, 12.6), "pine": (59, 8.5, 33.1, 6.2, 2.1, 6.1, 8.2),
}  # fmt: skip


@pytest.mark.parametrize("name", [*READ, *SHRINKAGE_REMEMBERED])
def test_strength_and_shrinkage_are_those_of_the_tables(name):
    s, m = STRENGTH[name], SHRINKAGE[name]
    found = (s.bending_mpa, s.stiffness_gpa, s.crushing_mpa, s.shear_mpa, m.radial, m.tangential, m.volumetric)
    assert found == {**READ, **SHRINKAGE_REMEMBERED}[name]
    assert s.source == "5-3a"
    assert m.source == ("4-3" if name in READ else "memory")


# Table 5-5b, inch-pound, for teak; Agriculture Handbook 607 for mahogany; for sapele table 5-5b from memory:
# bending strength in psi, stiffness in million psi, compression along the grain in psi
IMPORTED = {"teak": (14_600, 1.55, 8_410), "mahogany": (11_500, 1.50, 6_780), "sapele": (15_300, 1.82, 8_160)}


@pytest.mark.parametrize("name", IMPORTED)
def test_imported_woods_are_converted_from_pounds_and_inches(name):
    mpa = 0.006894757
    bending, stiffness, crushing = IMPORTED[name]
    s = STRENGTH[name]
    assert s.bending_mpa == pytest.approx(bending * mpa, rel=2e-3)
    assert s.stiffness_gpa == pytest.approx(stiffness * 1e3 * mpa, rel=6e-3)
    assert s.crushing_mpa == pytest.approx(crushing * mpa, rel=2e-3)


def test_every_wood_has_its_values_and_they_are_ordered_as_in_all_wood():
    assert set(SPECIES_NAMES) == set(STRENGTH) == set(SHRINKAGE)
    for name in SPECIES_NAMES:
        s, m = STRENGTH[name], SHRINKAGE[name]
        assert s.green_bending_mpa < s.bending_mpa
        assert s.shear_mpa < s.crushing_mpa < s.bending_mpa
        assert m.radial < m.tangential < m.volumetric


# ---------------------------------------------------------------- moisture


@pytest.mark.parametrize(("humidity", "percent"), [(30, 6.2), (40, 7.7), (50, 9.2), (60, 11.0), (65, 12.0)])
def test_wood_settles_to_the_moisture_of_equation_4_5(humidity, percent):
    # worked out apart from equation 4-5 at 21 °C
    assert settled_moisture(humidity, 21.0) == pytest.approx(percent, abs=0.06)


def test_wood_settles_drier_in_dry_air_and_when_it_is_warm():
    damp = [settled_moisture(h) for h in range(0, 100, 5)]
    assert damp[0] == 0.0
    assert damp == sorted(damp)
    assert settled_moisture(50, 40.0) < settled_moisture(50, 10.0)


def test_shrinkage_is_that_of_equation_4_9():
    # Equation 4-9: S0 (1 - M/30)
    assert shrinkage_to(7.8, 12.0) == pytest.approx(7.8 * 0.6)
    assert shrinkage_to(7.8, 0.0) == 7.8
    assert shrinkage_to(7.8, 30.0) == shrinkage_to(7.8, 80.0) == 0.0


def test_seventy_millimetres_of_walnut_over_four_percent():
    # worked out apart from equation 4-9: 0.73 mm along the rings, 0.51 mm square to them
    walnut = SHRINKAGE["walnut"]
    assert change_of_size(70.0, walnut.tangential, 8.0, 12.0) == pytest.approx(0.73, abs=0.005)
    assert change_of_size(70.0, walnut.radial, 8.0, 12.0) == pytest.approx(0.51, abs=0.005)
    assert change_of_size(70.0, walnut.radial, 12.0, 8.0) == pytest.approx(-0.51, abs=0.005)


def test_strength_and_moisture_of_equation_5_3():
    # P12 (P12 / Pg)^((12 - M) / (Mp - 12)): at 12 % the dry value, at Mp the green one, half-way their mean ratio
    assert strength_at_moisture(101.0, 66.0, 12.0) == 101.0
    assert strength_at_moisture(101.0, 66.0, 25.0) == pytest.approx(66.0)
    assert strength_at_moisture(101.0, 66.0, 60.0) == pytest.approx(66.0)
    assert strength_at_moisture(101.0, 66.0, 18.5) == pytest.approx(math.sqrt(101.0 * 66.0))
    assert strength_at_moisture(101.0, 66.0, 8.0) == pytest.approx(101.0 * (101.0 / 66.0) ** (4.0 / 13.0))
    assert bending_strength_mpa("walnut", 12.0) == 101.0


# ---------------------------------------------------------------- slope of grain

# Wood Handbook table 5-12 (from memory): bending strength left, percent, at a slope of 1 in so many
TABLE_5_12 = {25: 96, 20: 93, 15: 89, 10: 81, 5: 55}
# worked out apart: Hankinson with exponent 2, across the grain 0.04 and 0.07 of along it
WORKED_OUT = {
    25: (96, 98), 20: (94, 97), 15: (90, 94), 12: (86, 92), 10: (81, 88), 8: (73, 83), 6: (61, 74), 5: (52, 66),
    4: (42, 56), 3: (29, 43),
}  # fmt: skip


@pytest.mark.parametrize("over", TABLE_5_12)
def test_slope_of_grain_weakens_as_in_table_5_12(over):
    assert 100.0 * share_left(1.0 / over) == pytest.approx(TABLE_5_12[over], abs=3.5)


@pytest.mark.parametrize("over", WORKED_OUT)
def test_hankinson_worked_out_apart(over):
    angle = math.atan(1.0 / over)
    four, seven = WORKED_OUT[over]
    assert 100.0 * hankinson(1.0, 0.04, angle) == pytest.approx(four, abs=0.6)
    assert 100.0 * hankinson(1.0, 0.07, angle) == pytest.approx(seven, abs=0.6)


def test_hankinson_at_its_ends():
    # Equation 8-16: along the grain P, across it Q
    assert hankinson(50.0, 7.0, 0.0) == 50.0
    assert hankinson(50.0, 7.0, math.pi / 2) == pytest.approx(7.0)
    assert share_left(math.inf) == pytest.approx(0.04)


# ---------------------------------------------------------------- sections and thin ankles


def test_second_moments_of_textbook_sections():
    # textbook: square b⁴/12, triangle b h³/36 and b² h²/72, L from its two rectangles
    square = polygon_moments(shapely.box(3.0, 4.0, 28.0, 29.0))
    assert (square.ixx_mm4, square.iyy_mm4) == pytest.approx((32552.0833, 32552.0833))
    triangle = polygon_moments(shapely.Polygon([(0, 0), (30, 0), (0, 60)]))
    assert (triangle.x_mm, triangle.y_mm) == pytest.approx((10.0, 20.0))
    assert (triangle.ixx_mm4, triangle.iyy_mm4, triangle.ixy_mm4) == pytest.approx((180_000, 45_000, -45_000))
    angle = polygon_moments(shapely.Polygon([(0, 0), (40, 0), (40, 10), (10, 10), (10, 50), (0, 50)]))
    assert (angle.area_mm2, angle.x_mm, angle.y_mm) == pytest.approx((800.0, 12.5, 17.5))
    found = (angle.ixx_mm4, angle.iyy_mm4, angle.ixy_mm4)
    assert found == pytest.approx((181_666.667, 101_666.667, -75_000.0))


def test_a_hole_takes_its_own_moments_off():
    # textbook: a square of side s on its corner has s⁴/12 about either axis too
    hollow = shapely.difference(shapely.box(-30, -20, 30, 20), shapely.Polygon([(7, 0), (0, 7), (-7, 0), (0, -7)]))
    m = polygon_moments(hollow)
    side = 7.0 * math.sqrt(2.0)
    assert m.area_mm2 == pytest.approx(2400.0 - side**2)
    assert m.ixx_mm4 == pytest.approx(60.0 * 40.0**3 / 12.0 - side**4 / 12.0)
    assert m.iyy_mm4 == pytest.approx(40.0 * 60.0**3 / 12.0 - side**4 / 12.0)


# worked out apart: side of a square, second moment, section modulus over the faces b³/6 and over the corner b³√2/12
ANKLES = {
    20: (13333, 1333, 943), 22: (19521, 1775, 1255), 25: (32552, 2604, 1841), 28: (51221, 3659, 2587),
    30: (67500, 4500, 3182), 35: (125052, 7146, 5053),
}  # fmt: skip


@pytest.mark.parametrize("side", ANKLES)
def test_thin_square_ankles(side):
    section = shapely.box(0, 0, side, side)
    m = polygon_moments(section)
    second, over_faces, over_corner = ANKLES[side]
    assert m.ixx_mm4 == pytest.approx(second, abs=0.6)
    assert m.ixx_mm4 / (side / 2.0) == pytest.approx(over_faces, abs=0.6)
    # the worst direction of a push is over the corner
    assert 1.0 / push_stress_mpa(section, m, 1.0) == pytest.approx(over_corner, abs=0.6)


@pytest.mark.parametrize(("over", "newtons"), [(np.inf, 465), (10, 376), (6, 282), (4, 193), (3, 137)])
def test_the_push_a_walnut_ankle_of_25_mm_takes(over, newtons):
    # worked out apart: diagonal push at the floor, 100 mm below the section, factor 4, mean strength 101 MPa
    assert SAFETY_FACTOR == 4.0
    section = shapely.box(0, 0, 25, 25)
    stress_per_newton = push_stress_mpa(section, polygon_moments(section), 100.0)
    borne = STRENGTH["walnut"].bending_mpa * share_left(1.0 / over) / SAFETY_FACTOR / stress_per_newton
    assert borne == pytest.approx(newtons, abs=1.0)
