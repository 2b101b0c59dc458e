"""What the bench says: the entries of its lists, and what a constructor refused, as a maker would say it."""

from __future__ import annotations

import re

from geometry.blades import STOCK_BLADES, StockBlade, reach, stock_blade
from geometry.project import Blade
from geometry.tolerances import STOCK_BLADE_MM
from geometry.units import Unit, format_length


def size(mm: float, unit: Unit) -> str:
    """Return a size of wood or a radius."""
    return format_length(mm, unit, denominator=32)


def stock_entry(blade: StockBlade, unit: Unit) -> str:
    """Return a stock blade as an entry of the list: its width in both units and the radius it follows."""
    metric = f"{blade.width_mm:g} mm"
    both = f"{metric} ({blade.inches})" if unit == "mm" else f"{blade.inches} ({metric})"
    return f"{both}, radius {size(blade.radius_mm, unit)}"


def stock_of(blade: Blade) -> StockBlade | None:
    """Return the stock blade that a chosen one is, or None where its width is another."""
    for stock in STOCK_BLADES:
        if abs(blade.width - stock.width_mm) <= STOCK_BLADE_MM:
            return stock
    return None


def odd_entry(blade: Blade, unit: Unit) -> str:
    """Return a blade of a width that is not in stock as an entry of the list."""
    width = format_length(blade.width, unit, decimals=2, denominator=32)
    counted = stock_blade(blade.width)
    if counted is None:
        return f"{width}, wider than any listed"
    return f"{width}, counts as {f'{counted.width_mm:g} mm' if unit == 'mm' else counted.inches}"


def reach_words(blade: Blade | None, unit: Unit) -> str:
    """Return a sentence on the bends a blade follows; none for no blade."""
    if blade is None:
        return ""
    follows = reach(blade)
    if follows.radius_mm is None:
        return (
            "This blade saws a slot no wider than its own body, so it cannot turn at all: "
            "measure body and kerf again, or take a blade with more set."
        )
    radius = size(follows.radius_mm, unit)
    if not follows.is_known:
        return f"No radius is commonly given for so wide a blade; count on {radius} or more, and try it in scrap."
    return f"It follows bends down to a radius of {radius}."


def refused(error: ValueError) -> str:
    """Return what a constructor refused as a sentence without the key it names.

    The fields hold their own limits, so this is for what only the whole design can know.
    """
    _, _, rest = str(error).partition(": ")
    found = re.fullmatch(r"expected (.*), found (.*)", rest or str(error), re.DOTALL)
    if found is None:
        return "That does not go with the rest of the design, so it was left as it was."
    return f"This needs {found[1]}; with what you typed it would be {found[2]}."
