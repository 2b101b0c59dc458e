"""Which teeth for the cut: how many stand in the work, of what form, and how fast it may be fed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from geometry.project import CutName, Variant
from geometry.units import MM_PER_INCH

FEWEST_TEETH: Final = 3.0
BEST_TEETH: Final = (6.0, 12.0)
MOST_TEETH: Final = 24.0
"""Teeth in the work at once: with fewer than 3 it chatters and tears, 6 to 12 are best, more than 24 pack dust (common
practice, no source)."""

COARSEST, FINEST = 2.0, 24.0
"""Teeth per inch that blades are sold with."""

BLADE_SPEED_M_MIN: Final = 900.0
"""Speed of a small bandsaw's blade, 15 m/s (from memory)."""

SLOW_FEED, BRISK_FEED = 0.3, 1.0
"""Feed in metres a minute by hand through 70 mm of hardwood (common practice, no source)."""

_FEED_DEPTH_MM = 70.0

DUST_SWELLS: Final = 5.0
GULLET_SHARE: Final = 0.35
FULL_ENOUGH: Final = 0.6
"""Dust takes about five times the room of the wood, a gullet about 0.35 of the pitch squared, and it should be filled
no more than six tenths (an engineering estimate, no source)."""

ToothForm = Literal["regular", "skip", "hook"]

FORM_WORDS: Final[dict[ToothForm, str]] = {
    "regular": "Regular teeth: the cut is thin or mostly across the grain, and they leave the smoothest wall.",
    "skip": "Skip teeth: every other tooth is missing, so that the long fibres of a cut along the grain clear.",
    "hook": "Hook teeth: they lean forward and pull well through deep, hard wood along the grain.",
}

TRADE_OFF: Final = (
    "Fine teeth leave a smoother wall but pack with dust; coarse or skip teeth clear a long cut along the grain and "
    "leave more to sand."
)

_THIN_MM, _DEEP_MM = 25.0, 38.0
_HARD_KG_M3 = 600.0
_NARROW_RADIUS_MM = 36.5


@dataclass(frozen=True, slots=True)
class ToothAdvice:
    """What to look for in a blade.

    Attributes
    ----------
    depth_mm : thickness sawn through
    along_share : share 0..1 of the cut that runs with the grain
    form : form of tooth
    best : teeth per inch, from and to, that put 6 to 12 teeth into the work, as far as they are sold
    least, most : teeth per inch for 3 and for 24 teeth in the work
    feed_m_min : slow and brisk feed, with the coarsest of the best
    """

    depth_mm: float
    along_share: float
    form: ToothForm
    best: tuple[float, float]
    least: float
    most: float
    feed_m_min: tuple[float, float]


def sawn_depth_mm(variant: Variant, name: CutName) -> float:
    """Return the thickness a cut is sawn through: the depth for the front line, the width for the side line."""
    blank = variant.blank
    if name == "front":
        return max(blank.depth, blank.depth_at_top)
    return max(blank.width, blank.width_at_top)


def teeth_in_work(per_inch: float, depth_mm: float) -> float:
    """Return how many teeth stand in the work at once."""
    return per_inch * depth_mm / MM_PER_INCH


def gullet_fill(per_inch: float, depth_mm: float, feed_m_min: float, speed_m_min: float = BLADE_SPEED_M_MIN) -> float:
    """Return how full a gullet leaves the work, 1 for brim-full (an estimate).

    Each tooth bites feed · pitch / speed deep over the whole depth; loose, that takes five times the room, and there
    is 0.35 pitch² of it.
    """
    pitch = MM_PER_INCH / per_inch
    bite = feed_m_min * pitch / speed_m_min
    return DUST_SWELLS * bite * depth_mm / (GULLET_SHARE * pitch * pitch)


def fastest_feed(per_inch: float, depth_mm: float, speed_m_min: float = BLADE_SPEED_M_MIN) -> float:
    """Return the feed in m/min at which the gullets are as full as they should be."""
    return FULL_ENOUGH / gullet_fill(per_inch, depth_mm, 1.0, speed_m_min)


def tooth_advice(depth_mm: float, along_share: float, density_kg_m3: float, radius_mm: float | None) -> ToothAdvice:
    """Return what teeth suit a cut.

    Parameters
    ----------
    depth_mm : thickness sawn through
    along_share : share of the cut that runs with the grain
    density_kg_m3 : of the wood; from 600 on it counts as hard
    radius_mm : tightest radius of the line, None where straight; narrow blades are not sold with hook teeth
    """
    per_tooth = MM_PER_INCH / depth_mm

    def sold(per_inch: float) -> float:
        return min(max(per_inch, COARSEST), FINEST)

    form: ToothForm = "skip"
    if depth_mm < _THIN_MM or (depth_mm < _DEEP_MM and along_share < 0.5):
        form = "regular"
    elif density_kg_m3 >= _HARD_KG_M3 and (radius_mm is None or radius_mm >= _NARROW_RADIUS_MM):
        form = "hook"
    best = (sold(BEST_TEETH[0] * per_tooth), sold(BEST_TEETH[1] * per_tooth))
    brisk = min(BRISK_FEED * _FEED_DEPTH_MM / depth_mm, fastest_feed(best[1], depth_mm))
    return ToothAdvice(
        depth_mm, along_share, form, best, FEWEST_TEETH * per_tooth, MOST_TEETH * per_tooth,
        (min(SLOW_FEED * _FEED_DEPTH_MM / depth_mm, brisk), brisk),
    )  # fmt: skip
