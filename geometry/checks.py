"""The few checks that the constructors of a project share. Each raises ValueError as ``key: what was expected``."""

from __future__ import annotations

import math
from collections.abc import Sized

SMALLEST_SIZE_MM, LARGEST_SIZE_MM = 5.0, 5000.0
LARGEST_KERF_MM = 10.0
LARGEST_COORDINATE_MM = 10_000.0


def number(key: str, value: float, *, above: float | None = None, least: float | None = None) -> None:
    """Raise ValueError unless ``value`` is finite and, if asked, above or not below a limit."""
    if not math.isfinite(value):
        raise ValueError(f"{key}: expected a finite number, found {value}")
    if above is not None and not value > above:
        raise ValueError(f"{key}: expected a number above {above:g}, found {value:g}")
    if least is not None and not value >= least:
        raise ValueError(f"{key}: expected a number not below {least:g}, found {value:g}")


def size(key: str, value: float) -> None:
    """Raise ValueError unless ``value`` is a size of a blank, 5 to 5000 mm."""
    number(key, value)
    if not SMALLEST_SIZE_MM <= value <= LARGEST_SIZE_MM:
        raise ValueError(f"{key}: expected a size from {SMALLEST_SIZE_MM:g} to {LARGEST_SIZE_MM:g} mm, found {value:g}")


def kerf(key: str, value: float) -> None:
    """Raise ValueError unless ``value`` is a kerf or an allowance, 0 to 10 mm."""
    number(key, value)
    if not 0.0 <= value <= LARGEST_KERF_MM:
        raise ValueError(f"{key}: expected a width from 0 to {LARGEST_KERF_MM:g} mm, found {value:g}")


def coordinate(key: str, value: float) -> None:
    """Raise ValueError unless ``value`` is a place within ten metres of the face."""
    number(key, value)
    if abs(value) > LARGEST_COORDINATE_MM:
        raise ValueError(
            f"{key}: expected a place within {LARGEST_COORDINATE_MM:g} mm of the face's foot, found {value:g}"
        )


def chosen(key: str, value: Sized, what: str) -> None:
    """Raise ValueError when there is nothing in ``value``."""
    if not len(value):
        raise ValueError(f"{key}: expected {what}, found none")


def text(key: str, value: str) -> None:
    """Raise ValueError unless ``value`` is text that a file can hold: no half of a surrogate pair."""
    try:
        value.encode("utf-8")
    except UnicodeEncodeError as error:
        raise ValueError(f"{key}: expected readable text, found half a character") from error
