"""Moisture and wood: what it settles to in a room, how it swells and shrinks, and what that does to its strength.

Equation numbers are those of the Wood Handbook, FPL-GTR-282 (2021).
"""

from __future__ import annotations

import math
from typing import Final

from geometry.species import MOISTURE_PERCENT

FIBRE_SATURATION_PERCENT: Final = 30.0
"""Above this wood does not swell any more (Wood Handbook's own default)."""

STRENGTH_MEETS_GREEN_PERCENT: Final = 25.0
"""Mp of equation 5-3: at this moisture drying wood begins to gain strength; 25 where a species has no own value
(table 5-13)."""

ROOM_CELSIUS: Final = 21.0


def settled_moisture(humidity_percent: float, celsius: float = ROOM_CELSIUS) -> float:
    """Return the moisture content in percent that wood settles to in a room (equation 4-5).

    Parameters
    ----------
    humidity_percent : relative humidity, 0 to 100; outside it counts as the nearest of the two
    celsius : the room's temperature
    """
    h, t = min(max(humidity_percent, 0.0), 100.0) / 100.0, celsius
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * h
    bound = (k1 * kh + 2.0 * k1 * k2 * kh * kh) / (1.0 + k1 * kh + k1 * k2 * kh * kh)
    return 1800.0 / w * (kh / (1.0 - kh) + bound)


def shrinkage_to(shrinkage_percent: float, moisture_percent: float) -> float:
    """Return the shrinkage in percent from green to a moisture content (equation 4-9: S0 · (1 - M/30)).

    Parameters
    ----------
    shrinkage_percent : S0, from green to ovendry
    moisture_percent : at or above 30 % nothing has shrunk yet
    """
    dryness = 1.0 - min(max(moisture_percent, 0.0), FIBRE_SATURATION_PERCENT) / FIBRE_SATURATION_PERCENT
    return shrinkage_percent * dryness


def change_of_size(size_mm: float, shrinkage_percent: float, from_percent: float, to_percent: float) -> float:
    """Return how much a size grows in millimetres when wood goes from one moisture to another (from equation 4-9).

    The size is taken as the green one, as the handbook does for small changes: S0 / 100 · size · ΔM / 30.
    """
    less = shrinkage_to(shrinkage_percent, from_percent) - shrinkage_to(shrinkage_percent, to_percent)
    return size_mm * less / 100.0


def strength_at_moisture(
    at_12: float, green: float, moisture_percent: float, meets_green_percent: float = STRENGTH_MEETS_GREEN_PERCENT
) -> float:
    """Return a strength at a moisture content (equation 5-3: P12 · (P12 / Pg)^((12 - M) / (Mp - 12))).

    Parameters
    ----------
    at_12, green : the same property at 12 % and green, in the same unit
    moisture_percent : at or above ``meets_green_percent`` the green value stands
    """
    m = min(max(moisture_percent, 0.0), meets_green_percent)
    return at_12 * math.pow(at_12 / green, (MOISTURE_PERCENT - m) / (meets_green_percent - MOISTURE_PERCENT))
