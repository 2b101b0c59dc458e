"""Where the strokes of a ruler stand and which of them carry a number, in the maker's unit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.project import DisplayUnits
from geometry.units import MM_PER_INCH, format_length

_INCH_STEPS = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A stroke of a ruler: its place in millimetres, and its number without the unit, or an empty text."""

    at_mm: float
    number: str = ""


def number_of(mm: float, units: DisplayUnits) -> str:
    """Return a length without its unit, with a true minus sign."""
    return format_length(mm, units).removesuffix(" mm").removesuffix('"').replace("-", "−")


def step_of(px_per_mm: float, units: DisplayUnits, least_px: float) -> float:
    """Return the smallest round step in millimetres that is at least so many pixels."""
    least_mm = least_px / px_per_mm
    if units == "in":
        for step in _INCH_STEPS:
            if step * MM_PER_INCH >= least_mm:
                return step * MM_PER_INCH
        return math.ceil(least_mm / (48.0 * MM_PER_INCH)) * 48.0 * MM_PER_INCH
    power = 10.0 ** math.floor(math.log10(least_mm))
    return max(next(m for m in (1.0, 2.0, 5.0, 10.0) if m * power >= least_mm - 1e-12) * power, 1.0)


def strokes(
    low_mm: float, high_mm: float, px_per_mm: float, units: DisplayUnits, number_px: float, closes: bool = False
) -> tuple[Stroke, ...]:
    """Return the strokes of a ruler between two places.

    Parameters
    ----------
    low_mm, high_mm : first and last place
    px_per_mm : scale of the drawing
    units : the unit on display
    number_px : room a number needs along the ruler
    closes : the last place carries its number too, and one too near to it gives way
    """
    step = step_of(px_per_mm, units, number_px)
    parts = next((n for n in (5, 4, 2) if step / n * px_per_mm >= 4.0 and _is_round(step / n, units)), 1)
    small = step / parts
    out: list[Stroke] = []
    for k in range(math.ceil(low_mm / small - 1e-9), math.floor(high_mm / small + 1e-9) + 1):
        at = k * small
        numbered = k % parts == 0
        if closes and high_mm - at < number_px / px_per_mm and at < high_mm - 1e-9:
            numbered = False
        out.append(Stroke(at, number_of(at, units) if numbered else ""))
    if closes and (not out or abs(out[-1].at_mm - high_mm) > 1e-9 or not out[-1].number):
        out = [s for s in out if abs(s.at_mm - high_mm) > 1e-9]
        out.append(Stroke(high_mm, number_of(high_mm, units)))
    return tuple(out)


def _is_round(step_mm: float, units: DisplayUnits) -> bool:
    if units == "in":
        inches = step_mm / MM_PER_INCH
        return any(abs(inches - s) < 1e-9 for s in _INCH_STEPS)
    power = 10.0 ** math.floor(math.log10(step_mm) + 1e-9)
    return any(abs(step_mm / power - m) < 1e-6 for m in (1.0, 2.0, 5.0))
