"""What the saw and the limits ask of every fitted cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from geometry.blades import STOCK_BLADES, reach
from geometry.project import Blade, CutName, Variant

RADIUS_MARGIN: Final = 1.03
"""Fitted bends stay this much easier than the blade follows: between the places looked at a bend may be tighter."""

NO_BEND_MM: Final = 1e7
"""The radius of a blade that cannot turn: straight, for any length of wood."""


@dataclass(frozen=True, slots=True)
class Saw:
    """What the saw and the limits ask of every cut of one view.

    Attributes
    ----------
    kerf, sanding : width of the slot; what sanding takes off each sawn face
    blade : the blade chosen, or None
    wall : least wood beside a line, and between a trim and the glue seam
    tolerance : how far the piece may stray from the wish
    """

    kerf: float
    sanding: float
    blade: Blade | None
    wall: float
    tolerance: float

    @property
    def half_slot(self) -> float:
        """Half of what goes at the line."""
        return self.kerf / 2.0 + self.sanding

    @property
    def radius(self) -> float:
        """Tightest radius that the blade follows; that of the narrowest stock blade where none is chosen."""
        if self.blade is None:
            return STOCK_BLADES[0].radius_mm
        radius = reach(self.blade).radius_mm
        return NO_BEND_MM if radius is None else radius

    @property
    def tightest_bend(self) -> float:
        """Greatest curvature of a fitted cut, in 1/mm."""
        return 1.0 / (RADIUS_MARGIN * max(self.radius, 1e-3))

    @property
    def within(self) -> float:
        """How far the fitting strays on purpose: less than the tolerance, which leaves room for what is between."""
        return 0.85 * self.tolerance


def saw_of(variant: Variant, name: CutName, tolerance: float) -> Saw:
    """Return what is asked of the cuts of a view."""
    cut = variant.cut(name)
    return Saw(cut.kerf, variant.sanding, cut.blade, variant.limits.wall, tolerance)
