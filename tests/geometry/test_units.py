"""Lengths typed and printed: every accepted spelling, every refusal, and the way there and back."""

import math
import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.errors import LengthError
from geometry.units import MM_PER_INCH, format_both, format_length, parse_length

bench_lengths = st.floats(-10_000, 10_000)
denominators = st.sampled_from([1, 2, 4, 8, 16, 32, 64])
units = st.sampled_from(["mm", "in"])


@pytest.mark.parametrize(
    ("typed", "inches"),
    [
        ('2 3/8"', Fraction(19, 8)),
        ("2-3/8 in", Fraction(19, 8)),
        ("2–3/8 in", Fraction(19, 8)),
        ("2   3 / 8 inches", Fraction(19, 8)),
        ("2\N{NO-BREAK SPACE}3/8″", Fraction(19, 8)),
        ("2⅜″", Fraction(19, 8)),
        ("2 ⅜ in.", Fraction(19, 8)),
        ("2-⅜ in", Fraction(19, 8)),
        ("2.375in", Fraction(19, 8)),
        ("2,50 IN", Fraction(5, 2)),
        ("19/8 inch", Fraction(19, 8)),
        ('3/8"', Fraction(3, 8)),
        ("3⁄8''", Fraction(3, 8)),
        ("½”", Fraction(1, 2)),
        (".5in", Fraction(1, 2)),
        ("5. in", Fraction(5)),
        ("1' 2 1/2\"", Fraction(29, 2)),
        ("1′ 2½″", Fraction(29, 2)),
        ("1'2 1/2", Fraction(29, 2)),
        ("1'-2 1/2\"", Fraction(29, 2)),
        ("1' - 2 1/2\"", Fraction(29, 2)),
        ("1 ft 2.5 in", Fraction(29, 2)),
        ("1 foot 2 1/2 inches", Fraction(29, 2)),
        ("1½'", Fraction(18)),
        ("3 feet", Fraction(36)),
        ('-2 3/8"', Fraction(-19, 8)),
        ('−2-3/8"', Fraction(-19, 8)),
        ('- 2 3/8"', Fraction(-19, 8)),
        ('+2 3/8"', Fraction(19, 8)),
        ("-1' 2 1/2\"", Fraction(-29, 2)),
        ('−½"', Fraction(-1, 2)),
    ],
)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_inches_are_inches_whatever_the_display_unit(typed, inches, unit):
    assert parse_length(typed, unit) == float(inches * Fraction(254, 10))


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("60,5 mm", 60.5),
        ("60.5mm", 60.5),
        ("  60.5 MM ", 60.5),
        ("60 1/2 mm", 60.5),
        ("60½ mm", 60.5),
        ("6.05 cm", 60.5),
        ("-60,5 mm", -60.5),
        ("−60,5mm", -60.5),
        ("1200 mm", 1200.0),
        ("0,125 mm", 0.125),
        ("12,50 mm", 12.5),
    ],
)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_millimetres_are_millimetres_whatever_the_display_unit(typed, mm, unit):
    assert parse_length(typed, unit) == mm


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("60.5", 60.5),
        ("2 3/8", 2.375),
        ("2-3/8", 2.375),
        ("-2 3/8", -2.375),
        ("-2-3/8", -2.375),
        ("⅜", 0.375),
    ],
)
def test_a_bare_number_is_in_the_display_unit(typed, number):
    assert parse_length(typed) == number
    assert parse_length(typed, "mm") == number
    assert parse_length(typed, "in") == float(Fraction(number) * Fraction(254, 10))


@pytest.mark.parametrize("typed", ["0", "-0", "−0 mm", '0"', "-0/8 in", "0' 0\""])
def test_nothing_is_zero_without_a_sign(typed):
    assert math.copysign(1, parse_length(typed)) == 1
    assert parse_length(typed) == 0


@pytest.mark.parametrize(
    "typed",
    [
        "abc",
        "mm",
        '"',
        "-",
        ".",
        ",",
        "/",
        "1/0",
        '2 3/0"',
        "-1/0 mm",
        "1' 1/0\"",
        "3/8/2",
        "2 1/2 1/4",
        "1 2",
        "2.5 1/2",
        "2 - 3/8",
        "2−3/8",
        "--2",
        "+-2",
        "2 -",
        "1.2.3",
        "1,2,3",
        "1e999",
        "1e3",
        "nan",
        "inf",
        "-inf",
        "infinity",
        "0x10",
        "1_000",
        "5 m",
        "5 yd",
        '3" 4"',
        "1' 2'",
        "1' 2 mm",
        "1' -2\"",
        "1'- 2\"",
        "2 mm in",
        "٣",
        "²",
        "²/8",
        "60.5 mm x",
        "60\n50",
        "\x00",
    ],
)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_is_no_length_is_refused_by_name_with_an_example(typed, unit):
    with pytest.raises(LengthError) as caught:
        parse_length(typed, unit)
    message = str(caught.value)
    printable = "".join(character if character.isprintable() else " " for character in typed)
    assert f"“{printable}”" in message
    assert_one_sentence_with_an_example(message)


@pytest.mark.parametrize("typed", ["", "   ", "\t\n", "\N{NO-BREAK SPACE}"])
def test_an_empty_field_says_so(typed):
    with pytest.raises(LengthError, match=r"^Nothing was typed") as caught:
        parse_length(typed)
    assert_one_sentence_with_an_example(str(caught.value))


@pytest.mark.parametrize("typed", ["9" * 400, "1" * 5000 + "/3", "0." + "0" * 300 + "1", "word " * 50])
def test_endless_text_is_refused_and_quoted_in_short(typed):
    with pytest.raises(LengthError, match="too long") as caught:
        parse_length(typed)
    message = str(caught.value)
    assert f"“{typed[:24]}…”" in message
    assert len(message) < 150
    assert_one_sentence_with_an_example(message)


@pytest.mark.parametrize(
    ("typed", "large", "small"),
    [("1,200", "1200", "1.200"), ("12,500 mm", "12500", "12.500"), ("-2,375 in", "2375", "2.375")],
)
def test_a_comma_that_may_part_thousands_is_not_guessed(typed, large, small):
    with pytest.raises(LengthError) as caught:
        parse_length(typed)
    assert str(caught.value) == f"“{typed}” could mean {large} or {small}: type the one you mean, without a comma."
    assert parse_length(large) == 1000 * parse_length(small)


@pytest.mark.parametrize(
    ("mm", "decimals", "written"),
    [
        (60.325, 1, "60.3 mm"),
        (60.325, 2, "60.33 mm"),
        (60.325, 3, "60.325 mm"),
        (60.0, 3, "60 mm"),
        (60.5, 3, "60.5 mm"),
        (100.0, 0, "100 mm"),
        (99.96, 1, "100 mm"),
        (-12.04, 1, "-12 mm"),
        (0.0, 1, "0 mm"),
        (-0.0, 1, "0 mm"),
        (-0.04, 1, "0 mm"),
        (-0.06, 1, "-0.1 mm"),
        (5000.0, 1, "5000 mm"),
    ],
)
def test_millimetres_drop_zeros_at_the_end(mm, decimals, written):
    assert format_length(mm, "mm", decimals=decimals) == written


@pytest.mark.parametrize(
    ("inches", "denominator", "written"),
    [
        (2.375, 16, '2 3/8"'),
        (2.0, 16, '2"'),
        (0.0, 16, '0"'),
        (-0.0, 16, '0"'),
        (-0.5, 16, '-1/2"'),
        (-2.375, 16, '-2 3/8"'),
        (2.999, 16, '3"'),
        (-2.999, 16, '-3"'),
        (0.99, 16, '1"'),
        (0.01, 16, '0"'),
        (-0.01, 16, '0"'),
        (2 + 5 / 32, 32, '2 5/32"'),
        (2 + 5.1 / 32, 16, '2 3/16"'),
        (2 + 4.9 / 32, 16, '2 1/8"'),
        (11 / 16, 16, '11/16"'),
        (2.4, 1, '2"'),
    ],
)
def test_inches_are_reduced_mixed_fractions(inches, denominator, written):
    assert format_length(inches * MM_PER_INCH, "in", denominator=denominator) == written


@pytest.mark.parametrize("sign", ["", "-"])
def test_half_a_step_goes_away_from_zero_as_the_decimal_was_typed(sign):
    # None of these is a half in binary; each is in the decimal that a person typed or reads.
    assert format_length(float(f"{sign}12.7"), "in", denominator=1) == f'{sign}1"'
    assert format_length(float(f"{sign}0.79375"), "in", denominator=16) == f'{sign}1/16"'
    assert format_length(float(f"{sign}2.38125"), "in", denominator=16) == f'{sign}1/8"'
    assert format_length(float(f"{sign}0.15"), "mm") == f"{sign}0.2 mm"
    assert format_length(float(f"{sign}0.25"), "mm") == f"{sign}0.3 mm"
    assert format_length(float(f"{sign}0.35"), "mm") == f"{sign}0.4 mm"


def test_both_units_at_once():
    assert format_both(60.325) == '60.3 mm (2 3/8")'
    assert format_both(60.325, first="in", decimals=3) == '2 3/8" (60.325 mm)'


@given(bench_lengths, st.integers(0, 6))
def test_millimetres_come_back_within_half_the_last_step(mm, decimals):
    back = parse_length(format_length(mm, "mm", decimals=decimals), "in")
    assert abs(Fraction(back) - Fraction(mm)) <= Fraction(1, 2 * 10**decimals) + rounding_of(mm)


@given(bench_lengths, denominators)
def test_inches_come_back_within_half_the_last_step(mm, denominator):
    back = parse_length(format_length(mm, "in", denominator=denominator), "mm")
    assert abs(Fraction(back) - Fraction(mm)) <= Fraction(254, 20 * denominator) + rounding_of(mm)


@given(bench_lengths, units, st.integers(0, 6), denominators)
def test_what_was_printed_prints_the_same_again(mm, unit, decimals, denominator):
    once = format_length(mm, unit, decimals, denominator)
    assert format_length(parse_length(once, "mm"), unit, decimals, denominator) == once


@given(bench_lengths, denominators)
def test_a_printed_fraction_is_proper_reduced_and_no_finer_than_asked(mm, denominator):
    match = re.fullmatch(r'(-?)(?:([0-9]+)|(?:([0-9]+) )?([0-9]+)/([0-9]+))"', format_length(mm, "in", 1, denominator))
    assert match is not None
    sign, alone, whole, top, bottom = match.groups()
    if alone is not None:
        assert not (sign and alone == "0")
    else:
        assert 0 < int(top) < int(bottom) <= denominator
        assert math.gcd(int(top), int(bottom)) == 1
        assert denominator % int(bottom) == 0
        assert whole != "0"


@given(bench_lengths, st.integers(0, 6))
def test_a_printed_decimal_has_no_idle_zeros(mm, decimals):
    written = format_length(mm, "mm", decimals)
    assert re.fullmatch(r"-?(0|[1-9][0-9]*)(\.[0-9]*[1-9])? mm", written)
    assert written != "-0 mm"


@given(
    st.sampled_from(["", "+", "-", "−"]),
    st.integers(0, 9999),
    st.integers(0, 99),
    st.integers(1, 99),
    st.sampled_from([" ", "-", "  "]),
    st.sampled_from([("mm", Fraction(1)), (" in", Fraction(254, 10)), ('"', Fraction(254, 10)), (" cm", Fraction(10))]),
)
def test_whole_and_fraction_add_up_under_one_sign(sign, whole, top, bottom, joint, named):
    name, mm_each = named
    expected = (whole + Fraction(top, bottom)) * mm_each * (-1 if sign in ("-", "−") else 1)
    assert parse_length(f"{sign}{whole}{joint}{top}/{bottom}{name}", "in") == float(expected)


@given(st.text(alphabet="0123456789 -−./,'\"½⅜inmft″′e+", max_size=14) | st.text(max_size=50), units)
def test_any_text_is_a_finite_length_or_a_length_error(text, unit):
    try:
        mm = parse_length(text, unit)
    except LengthError as error:
        assert str(error).endswith(".")
    else:
        assert math.isfinite(mm)


@pytest.mark.parametrize("mm", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_only_finite_lengths_are_written(mm, unit):
    with pytest.raises(ValueError, match="finite"):
        format_length(mm, unit)


def test_a_caller_with_an_unknown_unit_or_step_is_told():
    with pytest.raises(ValueError, match="furlong"):
        parse_length("1", "furlong")
    with pytest.raises(ValueError, match="furlong"):
        format_length(1.0, "furlong")
    with pytest.raises(ValueError, match="furlong"):
        format_both(1.0, "furlong")
    with pytest.raises(ValueError, match="decimals"):
        format_length(1.0, "mm", decimals=-1)
    with pytest.raises(ValueError, match="denominator"):
        format_length(1.0, "in", denominator=0)


def rounding_of(mm: float) -> Fraction:
    """What the one rounding to a float at the end of reading may add."""
    return Fraction(math.ulp(abs(mm) + 1))


def assert_one_sentence_with_an_example(message: str) -> None:
    assert message.endswith(".")
    assert "\n" not in message
    assert not re.search(r"[.!?]\s+[A-Z]", message)
    example = re.search(r"type something like (.+?), ", message)
    assert example is not None
    assert parse_length(example[1]) == 60.5
