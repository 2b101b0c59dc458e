"""The numbers of a piece as the maker reads them, alone and beside those of another. Words only, no widgets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from app.severity import COUNTED, WORDS
from geometry.blades import StockBlade
from geometry.findings import SEVERITIES, Severity
from geometry.project import CUT_NAMES, CutName, DisplayUnits
from geometry.report import CutNumbers, Report
from geometry.units import MM_PER_INCH, format_length

KG_PER_POUND: Final = 0.45359237
"""Exact: the international pound, from 1959."""

MINUS: Final = "−"
SAME: Final = "same"
NO_WOOD: Final = "no wood"

LINES: Final[dict[CutName, str]] = {"front": "Front line", "side": "Side line"}


@dataclass(frozen=True, slots=True)
class Figure:
    """One number with its label, at three lengths: with its place, plain, and as short as it gets."""

    label: str
    long: str
    plain: str
    short: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """One row of a table of two pieces."""

    label: str
    a: str
    b: str
    difference: str


def length(mm: float, units: DisplayUnits) -> str:
    """Return a length."""
    return format_length(mm, units, denominator=32)


def volume(mm3: float, units: DisplayUnits) -> str:
    """Return a volume in litres or cubic inches."""
    return f"{mm3 / 1e6:.3f} l" if units == "mm" else f"{mm3 / MM_PER_INCH**3:.1f} cu in"


def mass(kg: float, units: DisplayUnits) -> str:
    """Return a mass in kilograms or pounds."""
    return f"{kg:.2f} kg" if units == "mm" else f"{kg / KG_PER_POUND:.2f} lb"


def sizes_mm(report: Report) -> tuple[float, float, float] | None:
    """Return the room the piece needs along x, y and z, or None where there is no wood."""
    if report.bounds_mm is None:
        return None
    x, y, z = (report.bounds_mm[1] - report.bounds_mm[0]).tolist()
    return x, y, z


def blade_words(blade: StockBlade, units: DisplayUnits) -> str:
    """Return a stock blade by its width."""
    return f"{blade.width_mm:g} mm" if units == "mm" else blade.inches


def figures(report: Report, units: DisplayUnits) -> tuple[Figure, ...]:
    """Return the numbers of a piece that are always in view: sizes, volume, mass, radius and blade of each line."""
    sizes = sizes_mm(report)
    room = times(sizes, units) if sizes else NO_WOOD
    litres, kilograms = volume(report.volume.volume_mm3, units), mass(report.mass_kg, units)
    return (
        Figure("Size", room, room, room),
        Figure("Volume", litres, litres, litres),
        Figure("Mass", kilograms, kilograms, kilograms),
        *(_line_figure(name, report.cuts[name], units) for name in CUT_NAMES),
    )


def times(sizes: Sequence[float], units: DisplayUnits) -> str:
    """Return sizes with a cross between them; the unit stands once where it is millimetres."""
    if units == "mm":
        return " × ".join([length(mm, units).removesuffix(" mm") for mm in sizes]) + " mm"
    return " × ".join(length(mm, units) for mm in sizes)


def _line_figure(name: CutName, numbers: CutNumbers, units: DisplayUnits) -> Figure:
    if numbers.bend is None:
        return Figure(LINES[name], "straight, any blade", "straight, any blade", "straight")
    radius = f"radius {length(numbers.bend.radius_mm, units)}"
    place = f"{radius} at {length(numbers.bend.at[1], units)} up"
    if numbers.widest is None:
        return Figure(LINES[name], f"{place}, no stock blade", f"{radius}, no stock blade", f"{radius}, no blade")
    blade = blade_words(numbers.widest, units)
    other = f"{numbers.widest.width_mm:g} mm" if units == "in" else numbers.widest.inches
    return Figure(LINES[name], f"{place}, blade {blade} ({other})", f"{radius}, blade {blade}", f"{radius}, {blade}")


# ---------------------------------------------------------------- two pieces


ROWS: Final = ("Size", "Volume", "Mass", "Thinnest section", LINES["front"], LINES["side"], "Findings")


def comparisons(a: Report | None, b: Report | None, units: DisplayUnits) -> tuple[Comparison, ...]:
    """Return the numbers of two pieces and how the second differs from the first; None is one not there yet."""
    nothing = ("",) * len(ROWS)
    first, second = (nothing if report is None else _column(report, units) for report in (a, b))
    between = nothing if a is None or b is None else _differences(a, b, units)
    return tuple(Comparison(*row) for row in zip(ROWS, first, second, between, strict=True))


def worst_words(report: Report) -> str:
    """Return the worst finding with how many others there are."""
    if not report.findings:
        return "none"
    worst, others = report.findings[0], len(report.findings) - 1
    more = f" (and {others} more)" if others else ""
    return f"{WORDS[worst.severity]}: {worst.message}{more}"


def worst_severity(report: Report | None) -> Severity | None:
    """Return the severity of the worst finding, or None where there is none."""
    return report.findings[0].severity if report is not None and report.findings else None


def _column(report: Report, units: DisplayUnits) -> tuple[str, ...]:
    sizes, thinnest = sizes_mm(report), report.smallest
    return (
        times(sizes, units) if sizes else NO_WOOD,
        volume(report.volume.volume_mm3, units),
        mass(report.mass_kg, units),
        times((thinnest.width, thinnest.depth), units) if thinnest else NO_WOOD,
        *(_line_figure(name, report.cuts[name], units).plain for name in CUT_NAMES),
        worst_words(report),
    )


def _differences(a: Report, b: Report, units: DisplayUnits) -> tuple[str, ...]:
    a_thin, b_thin = ((r.smallest.width, r.smallest.depth) if r.smallest else None for r in (a, b))
    return (
        _sizes_apart(sizes_mm(a), sizes_mm(b), units),
        _apart(volume, a.volume.volume_mm3, b.volume.volume_mm3, units),
        _apart(mass, a.mass_kg, b.mass_kg, units),
        _sizes_apart(a_thin, b_thin, units),
        *(_radii_apart(a.cuts[name], b.cuts[name], units) for name in CUT_NAMES),
        _findings_apart(a, b),
    )


def _apart(words: Callable[[float, DisplayUnits], str], a: float, b: float, units: DisplayUnits) -> str:
    """Return b less a with its sign, or that they are the same where the last figure shown is."""
    size = words(abs(b - a), units)
    if size == words(0.0, units):
        return SAME
    return f"{'+' if b > a else MINUS}{size}"


def _sizes_apart(a: Sequence[float] | None, b: Sequence[float] | None, units: DisplayUnits) -> str:
    if a is None or b is None:
        return SAME if a is b else ""
    parts = [_apart(length, p, q, units) for p, q in zip(a, b, strict=True)]
    if all(part == SAME for part in parts):
        return SAME
    if units == "mm":
        return " × ".join("0" if part == SAME else part.removesuffix(" mm") for part in parts) + " mm"
    return " × ".join("0" if part == SAME else part for part in parts)


def _radii_apart(a: CutNumbers, b: CutNumbers, units: DisplayUnits) -> str:
    if a.bend is None or b.bend is None:
        if a.bend is b.bend:
            return SAME
        return "A is straight" if a.bend is None else "B is straight"
    apart = _apart(length, a.bend.radius_mm, b.bend.radius_mm, units)
    return SAME if apart == SAME else f"radius {apart}"


def _findings_apart(a: Report, b: Report) -> str:
    parts = []
    for severity in SEVERITIES:
        more = sum(f.severity == severity for f in b.findings) - sum(f.severity == severity for f in a.findings)
        if more:
            sign = "+" if more > 0 else MINUS
            parts.append(f"{sign}{abs(more)} {COUNTED[severity][abs(more) != 1]}")
    return ", ".join(parts) or SAME
