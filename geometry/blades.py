"""Which bandsaw blade follows which bend."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from geometry.project import Blade
from geometry.tolerances import STOCK_BLADE_MM


@dataclass(frozen=True, slots=True)
class StockBlade:
    """A width that blades are sold in and the radius it commonly follows, in millimetres."""

    width_mm: float
    radius_mm: float
    inches: str


STOCK_BLADES: Final[tuple[StockBlade, ...]] = (
    StockBlade(3.2, 4.8, '1/8"'),
    StockBlade(4.8, 9.5, '3/16"'),
    StockBlade(6.35, 16.0, '1/4"'),
    StockBlade(9.5, 36.5, '3/8"'),
    StockBlade(12.7, 63.5, '1/2"'),
    StockBlade(16.0, 102.0, '5/8"'),
    StockBlade(19.0, 140.0, '3/4"'),
    StockBlade(25.4, 184.0, '1"'),
)
"""Common practice, no source: the radius commonly tabulated for each width, used as it stands."""

MEASURED_FACTOR: Final = 5.83
"""(2 + √2)² / 2, rounded: R = w² / (5.83 (kerf - body)).

From a blade whose tooth stands centred on the line and whose body is free to swing in its slot until its middle
touches one wall and its back the other: behind the tooth the body strays y²/2R - θ y from the line, which may
nowhere exceed (kerf - body) / 2; the best swing θ gives this R.
"""


COMFORT: Final = 1.25
"""A bend this many times wider than what the blade just follows is sawn with comfort (common practice, no source)."""

THICK_MM: Final = 50.0
THICK_ALLOWANCE: Final = 1.25
"""Tables are made for thin boards: in work thicker than this a blade wants that much more room, because it bows in the
cut and cannot be twisted (common practice, no source). Advice only."""


def thickness_allowance(depth_mm: float) -> float:
    """Return by how much more room a blade wants in work of that thickness."""
    return THICK_ALLOWANCE if depth_mm > THICK_MM else 1.0


def measured_radius(width_mm: float, body_mm: float, kerf_mm: float) -> float | None:
    """Return the tightest radius a measured blade follows, or None where its slot leaves no room to turn at all.

    Parameters
    ----------
    width_mm : from the tips of the teeth to the back
    body_mm : thickness behind the teeth
    kerf_mm : width of the slot it saws
    """
    room = kerf_mm - body_mm
    if room <= 0.0:
        return None
    radius = width_mm * (width_mm / (MEASURED_FACTOR * room))
    return radius if math.isfinite(radius) else None


def stock_blade(width_mm: float) -> StockBlade | None:
    """Return the stock blade of that width, or else the next wider one, or None where none is as wide."""
    for blade in STOCK_BLADES:
        if width_mm <= blade.width_mm + STOCK_BLADE_MM:
            return blade
    return None


def widest_stock_blade(radius_mm: float | None) -> StockBlade | None:
    """Return the widest stock blade that follows a radius (None: a straight line), or None where none does."""
    if radius_mm is None:
        return STOCK_BLADES[-1]
    following = [b for b in STOCK_BLADES if b.radius_mm <= radius_mm]
    return following[-1] if following else None


@dataclass(frozen=True, slots=True)
class Reach:
    """What is known of the bends a chosen blade follows.

    Attributes
    ----------
    radius_mm : the tightest radius it follows; None where it cannot turn at all
    is_known : False for a blade wider than the stock table, whose radius is at least that given
    """

    radius_mm: float | None
    is_known: bool = True


def reach(blade: Blade) -> Reach:
    """Return the tightest radius a chosen blade follows: its own where it was measured, else the stock table's."""
    if blade.body is not None and blade.kerf is not None:
        return Reach(measured_radius(blade.width, blade.body, blade.kerf))
    stock = stock_blade(blade.width)
    return Reach(STOCK_BLADES[-1].radius_mm, False) if stock is None else Reach(stock.radius_mm)
