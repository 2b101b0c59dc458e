"""Lengths as people type and read them: millimetres, and inches in fractions.

Everything else in the project is in millimetres; only what is typed or shown passes through here. The
arithmetic is done on exact fractions and becomes a float once, at the end: 2 3/8" is the float nearest to
60.325 and nothing else.
"""

import math
import re
import unicodedata
from fractions import Fraction
from typing import Literal

from geometry.errors import LengthError

Unit = Literal["mm", "in"]

MM_PER_INCH = 25.4
"""Exact: the international inch, from 1 yard = 0.9144 m (yard and pound agreement of 1959)."""

_EXACT_MM_PER_INCH = Fraction(254, 10)
_INCHES_PER_FOOT = 12

_LONGEST_TEXT = 40  # characters; no length a person means is longer, and so no number can run out of a float
_LONGEST_QUOTE = 24  # characters of the typed text that an error repeats

_EXAMPLES = '60.5 mm, 2 3/8" or 1\' 2 1/2"'

_MM_PER_UNIT = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": _EXACT_MM_PER_INCH,
    "ft": _EXACT_MM_PER_INCH * _INCHES_PER_FOOT,
}

# Other ways to write the two marks and the joining hyphen, as keyboards and word processors put them. A minus
# sign is not among the hyphens: in front of a number it is a sign, but between two numbers it would be a sum.
_SAME_CHARACTER = str.maketrans(
    {
        "″": '"',
        "”": '"',
        "“": '"',
        "′": "'",
        "’": "'",
        "‘": "'",
        "⁄": "/",
        "∕": "/",
        "‐": "-",
        "‑": "-",
        "–": "-",
    }
)

# A whole number and a fraction are joined by spaces or one hyphen (2 3/8, 2-3/8). Alternatives run from the
# longest form to the shortest. Digits are 0-9 only: \d would let other scripts' numerals through.
_NUMBER = r"(?:[0-9]+(?:\s+|-)[0-9]+\s*/\s*[0-9]+|[0-9]+\s*/\s*[0-9]+|[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
_LENGTH = re.compile(
    rf"""(?P<sign>[-+−]?)\s*
    (?:
        (?P<feet>{_NUMBER})\s*(?:'(?!')|ft\.?|foot|feet)
        (?:(?:\s*|-|\s+-\s+)(?P<inches>{_NUMBER})\s*(?:"|''|in\.?|inch|inches)?)?
      |
        (?P<number>{_NUMBER})\s*(?:(?P<mm>mm)|(?P<cm>cm)|(?P<in>"|''|in\.?|inch|inches))?
    )""",
    re.VERBOSE | re.IGNORECASE,
)
_PARTS = re.compile(r"(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)")
_PERHAPS_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


def parse_length(text: str, unit: Unit = "mm") -> float:
    """Read a length as a person types it.

    Accepted are decimals with a point or a comma, fractions, a whole number and a fraction joined by a space
    or a hyphen, feet before inches, and a sign in front of it all: ``60,5 mm``, ``2.375in``, ``3/8"``,
    ``2-3/8 in``, ``1' 2 1/2"``, ``−½``. A hyphen in front is a sign (``-2 3/8`` is -2.375); between a whole
    number and its fraction it only joins them (``2-3/8`` is +2.375).

    Parameters
    ----------
    text
        What was typed.
    unit
        The unit on display, ``"mm"`` or ``"in"``; a number typed without a unit is in it.

    Returns
    -------
    float
        The length in millimetres, finite.

    Raises
    ------
    LengthError
        If the text is not a length, or could be two: ``1,200`` is 1200 to some and 1.2 to others.
    """
    _check_unit(unit)
    typed = text.strip()
    if not typed:
        raise LengthError(f"Nothing was typed where a length is wanted: type something like {_EXAMPLES}.")
    if len(typed) > _LONGEST_TEXT:
        raise LengthError(f"{_quoted(typed)} is too long to be a length: type something like {_EXAMPLES}.")
    match = _LENGTH.fullmatch(_plain(typed))
    if match is None:
        raise LengthError(f"{_quoted(typed)} cannot be read as a length: type something like {_EXAMPLES}.")
    if match["feet"] is not None:
        length = _value(match["feet"], typed) * _MM_PER_UNIT["ft"]
        if match["inches"] is not None:
            length += _value(match["inches"], typed) * _MM_PER_UNIT["in"]
    else:
        named = next((name for name in ("mm", "cm", "in") if match[name] is not None), unit)
        length = _value(match["number"], typed) * _MM_PER_UNIT[named]
    return float(-length if match["sign"] in ("-", "−") else length)


def format_length(mm: float, unit: Unit = "mm", decimals: int = 1, denominator: int = 16) -> str:
    """Write a length for a person to read, with its unit.

    Parameters
    ----------
    mm
        The length in millimetres.
    unit
        ``"mm"`` gives a decimal such as ``60.3 mm``; ``"in"`` a reduced fraction such as ``2 3/8"``.
    decimals
        For millimetres: the most decimals written; zeros at the end are dropped.
    denominator
        For inches: the finest fraction written, 16 for the nearest 1/16.

    Returns
    -------
    str
        Text that `parse_length` reads back to within half of the last step. A length that lies half-way
        between two steps goes to the one farther from zero.

    Raises
    ------
    ValueError
        If ``mm`` is not finite, ``decimals`` is negative, or ``denominator`` is less than 1.
    """
    _check_unit(unit)
    if not math.isfinite(mm):
        raise ValueError(f"a length to be written must be finite, not {mm}")
    if unit == "mm":
        return f"{_decimal(_as_typed(mm), decimals)} mm"
    return f'{_mixed(_as_typed(mm) / _EXACT_MM_PER_INCH, denominator)}"'


def format_both(mm: float, first: Unit = "mm", decimals: int = 1, denominator: int = 16) -> str:
    """Write a length in both units, as ``60.3 mm (2 3/8")``; ``first="in"`` turns the two round."""
    _check_unit(first)
    second: Unit = "in" if first == "mm" else "mm"
    outside, inside = (format_length(mm, each, decimals, denominator) for each in (first, second))
    return f"{outside} ({inside})"


def _check_unit(unit: str) -> None:
    if unit not in ("mm", "in"):
        raise ValueError(f'a display unit is "mm" or "in", not {unit!r}')


def _quoted(typed: str) -> str:
    shown = "".join(character if character.isprintable() else " " for character in typed)
    return f"“{shown}”" if len(shown) <= _LONGEST_QUOTE else f"“{shown[:_LONGEST_QUOTE]}…”"


def _plain(typed: str) -> str:
    """Spell one-character fractions out and use one character for each mark: 2⅜″ becomes 2 3/8"."""
    spelled = ""
    for character in typed:
        if unicodedata.decomposition(character).startswith("<fraction>"):
            if spelled[-1:].isdigit():
                spelled += " "
            character = unicodedata.normalize("NFKC", character)
        spelled += character
    return spelled.translate(_SAME_CHARACTER)


def _value(number: str, typed: str) -> Fraction:
    """Give the exact value of one unsigned number, a decimal or a fraction."""
    parts = _PARTS.fullmatch(number)
    if parts is not None:
        bottom = int(parts["bottom"])
        if bottom == 0:
            raise LengthError(
                f"{_quoted(typed)} has a zero under the fraction's stroke: type something like {_EXAMPLES}."
            )
        return int(parts["whole"] or 0) + Fraction(int(parts["top"]), bottom)
    if _PERHAPS_THOUSANDS.fullmatch(number):
        joined, pointed = number.replace(",", ""), number.replace(",", ".")
        raise LengthError(f"{_quoted(typed)} could mean {joined} or {pointed}: type the one you mean, without a comma.")
    return Fraction(number.replace(",", "."))


def _as_typed(mm: float) -> Fraction:
    """Take a float for the shortest decimal that gives it, so that 0.25 mm and 1/32" are half-way exactly."""
    return Fraction(repr(float(mm)))


def _steps(value: Fraction, steps_per_unit: int) -> int:
    """Count the whole steps nearest to the size of a value; a half counts as one."""
    return math.floor(abs(value) * steps_per_unit + Fraction(1, 2))


def _decimal(value: Fraction, decimals: int) -> str:
    """Write a value to the nearest 1/10^decimals, without zeros at the end."""
    if decimals < 0:
        raise ValueError(f"decimals cannot be negative, but are {decimals}")
    steps = _steps(value, 10**decimals)
    whole, left_over = divmod(steps, 10**decimals)
    written = f"{whole}.{left_over:0{decimals}d}".rstrip("0").rstrip(".") if left_over else f"{whole}"
    return f"-{written}" if value < 0 and steps else written


def _mixed(value: Fraction, denominator: int) -> str:
    """Write a value to the nearest 1/denominator, as a whole number and a reduced fraction."""
    if denominator < 1:
        raise ValueError(f"the finest fraction needs a denominator of 1 or more, not {denominator}")
    # Steps first, whole inches after: so rounding carries, and 2.999 is 48 sixteenths, which are 3.
    steps = _steps(value, denominator)
    whole, left_over = divmod(steps, denominator)
    words = [str(whole)] if whole or not left_over else []
    if left_over:
        rest = Fraction(left_over, denominator)
        words.append(f"{rest.numerator}/{rest.denominator}")
    written = " ".join(words)
    return f"-{written}" if value < 0 and steps else written
