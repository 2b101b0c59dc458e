"""Inches against what others have laid down.

Sources: the international yard and pound agreement, in force in the United States from 1 July 1959: 1 yard is
exactly 0.9144 m, so 1 foot exactly 0.3048 m and 1 inch exactly 25.4 mm. NIST Special Publication 811, appendix B,
is quoted from memory, section numbers included: inch to metre 2.54 E-02 and foot to metre 3.048 E-01, both exact.
"""

from fractions import Fraction

import pytest

from geometry.units import MM_PER_INCH, format_length, parse_length


def test_the_inch_is_a_thirty_sixth_of_the_international_yard():
    # International yard and pound agreement, 1959.
    yard_mm = Fraction(9144, 10)
    assert Fraction(MM_PER_INCH).limit_denominator(1000) == yard_mm / 36
    assert parse_length("1 in") == 25.4
    assert parse_length("36 in") == 914.4
    assert parse_length("1 ft") == 304.8


def test_it_is_not_the_older_inch_of_the_surveyors():
    # NIST SP 811, appendix B.6, from memory: the survey foot is 1200/3937 m, two parts in a million longer.
    surveyed_mm = float(Fraction(1200, 3937) * 1000)
    assert surveyed_mm - parse_length("1 ft") == pytest.approx(304.8 * 2e-6, rel=1e-3)


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("1/64 in", 0.396875),
        ("1/32 in", 0.79375),
        ("1/16 in", 1.5875),
        ("3/8 in", 9.525),
        ("11/16 in", 17.4625),
    ],
)
def test_rows_of_a_fraction_to_millimetre_table(typed, mm):
    # Drill and wrench conversion tables; these rows from memory, exact since 25.4 / 64 = 0.396875.
    assert parse_length(typed) == mm


@pytest.mark.parametrize(("typed", "mm"), [("4'", 1219.2), ("8'", 2438.4)])
def test_a_full_sheet_of_plywood(typed, mm):
    # Common practice, no source: the 4 by 8 foot sheet is sold in metric countries as 1220 x 2440 mm.
    assert parse_length(typed) == mm
    assert round(mm, -1) == {1219.2: 1220, 2438.4: 2440}[mm]


def test_common_blade_widths_print_as_the_maker_names_them():
    # Common practice, no source: blades are sold as 1/8, 3/16, 1/4, 3/8, 1/2 inch, or 3, 5, 6, 10, 13 mm.
    printed = {mm: format_length(mm, "in") for mm in (3.175, 4.7625, 6.35, 9.525, 12.7)}
    assert printed == {3.175: '1/8"', 4.7625: '3/16"', 6.35: '1/4"', 9.525: '3/8"', 12.7: '1/2"'}
    assert [format_length(mm, "in") for mm in (3, 5, 6, 10, 13)] == ['1/8"', '3/16"', '1/4"', '3/8"', '1/2"']
