"""Blades against common practice and against a search by brute force."""

import math
from fractions import Fraction

import numpy as np
import pytest

from geometry.blades import MEASURED_FACTOR, STOCK_BLADES, measured_radius, stock_blade, widest_stock_blade

# Common practice, no source: the ranges in which the radius of each width is commonly tabulated, in inches.
TABULATED = {
    "1/8": (1 / 8, 3 / 16), "3/16": (5 / 16, 3 / 8), "1/4": (5 / 8, 5 / 8), "3/8": (1 + 1 / 4, 1 + 1 / 2),
    "1/2": (2 + 1 / 2, 2 + 1 / 2), "5/8": (3 + 3 / 4, 4), "3/4": (5 + 7 / 16, 5 + 1 / 2), "1": (7, 7 + 5 / 8),
}  # fmt: skip


@pytest.mark.parametrize("blade", STOCK_BLADES, ids=lambda b: b.inches)
def test_the_stock_table_lies_within_what_is_commonly_tabulated(blade):
    low, high = TABULATED[blade.inches.rstrip('"')]
    assert low * 25.4 - 0.5 <= blade.radius_mm <= high * 25.4 + 0.5
    width = float(Fraction(blade.inches.rstrip('"')))
    assert blade.width_mm == pytest.approx(width * 25.4, abs=0.15)


def test_the_stock_table_is_that_which_is_promised():
    # promised as it stands, without factor or interpolation
    assert [(b.width_mm, b.radius_mm) for b in STOCK_BLADES] == [
        (3.2, 4.8), (4.8, 9.5), (6.35, 16.0), (9.5, 36.5), (12.7, 63.5), (16.0, 102.0), (19.0, 140.0), (25.4, 184.0),
    ]  # fmt: skip


def test_a_width_between_two_is_judged_as_the_wider():
    assert stock_blade(6.35).width_mm == 6.35
    assert stock_blade(9.525).width_mm == 9.5  # 3/8 in by the calliper
    assert stock_blade(3.175).width_mm == 3.2
    assert stock_blade(8.0).width_mm == 9.5
    assert stock_blade(1.0).width_mm == 3.2
    assert stock_blade(30.0) is None


def test_the_widest_blade_that_follows():
    assert widest_stock_blade(None).width_mm == 25.4
    assert widest_stock_blade(16.0).width_mm == 6.35
    assert widest_stock_blade(15.999).width_mm == 4.8
    assert widest_stock_blade(1e6).width_mm == 25.4
    assert widest_stock_blade(4.79) is None


@pytest.mark.parametrize("inches", ["3/16", "1/4", "3/8", "1/2", "5/8", "3/4"])
def test_the_formula_with_a_usual_set_lands_in_the_commonly_tabulated_range(inches):
    # Common practice, no source: 0.43 mm between kerf and body fits the tables of 3/16 to 3/4 in blades (1/8 in is
    # rounded in the tables, 1 in blades carry more set).
    low, high = TABULATED[inches]
    radius = measured_radius(25.4 * float(Fraction(inches)), 0.6, 0.6 + 0.436)
    assert 0.84 * low * 25.4 <= radius <= 1.16 * high * 25.4


def test_the_factor_is_that_of_its_derivation():
    # w / √(s R) = 2 + √2 with s half of what the kerf has over the body, so R = w² / ((2 + √2)² / 2 · (kerf - body))
    assert pytest.approx((2 + math.sqrt(2)) ** 2 / 2, abs=0.005) == MEASURED_FACTOR


def least_radius_by_search(width: float, room: float) -> float:
    """The least radius at which a tooth centred on a circle leaves its straight body within the slot.

    Behind the tooth the body strays from the circle; it may swing to whatever side is best, and may nowhere stray
    further than half the room on either side. Searched on exact circles, not on the parabola of the formula.
    """

    def least_stray(radius: float) -> float:
        behind = np.linspace(0.0, width, 400)
        swings = np.linspace(0.0, 2.5 * width / radius, 1200)[:, None]
        # the tooth is at the origin on the circle about (radius, 0); the body runs back at a slight angle
        x, y = behind * np.sin(swings), -behind * np.cos(swings)
        stray = np.hypot(x - radius, y) - radius
        return float(np.abs(stray).max(axis=1).min())

    low, high = width / 4, 1e5
    for _ in range(50):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if least_stray(middle) > room / 2.0 else (low, middle)
    return high


@pytest.mark.parametrize(
    ("width", "body", "kerf"), [(6.35, 0.635, 1.05), (3.2, 0.5, 0.9), (12.7, 0.6, 1.1), (25, 0.9, 1.4)]
)
def test_the_formula_is_what_a_search_finds(width, body, kerf):
    searched, formula = least_radius_by_search(width, kerf - body), measured_radius(width, body, kerf)
    assert formula == pytest.approx(searched, rel=0.03)


def test_a_quarter_inch_blade_measured_by_brute_force():
    # Worked out apart, as a rectangle moved in an annulus: 6.35 mm wide, body 0.635, kerf 1.05 follows 16.5 mm.
    assert measured_radius(6.35, 0.635, 1.05) == pytest.approx(16.5, abs=0.3)


@pytest.mark.parametrize(
    ("width", "body", "kerf"), [(6, 0.6, 0.6), (6, 0.6, 0.5), (1e200, 0.5, 1.0), (6, 1e-320, 2e-320)]
)
def test_no_room_no_radius(width, body, kerf):
    assert measured_radius(width, body, kerf) is None
