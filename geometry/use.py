"""What the piece is for: what stands on it and pushes it, and the room it stands in. Nothing of it moves the saw."""

from __future__ import annotations

from typing import Literal

import msgspec

from geometry.checks import number, size
from geometry.species import SpeciesName

UseKind = Literal["leg", "lamp", "stool", "post"]

DRIEST_PERCENT, DAMPEST_PERCENT = 35.0, 65.0
"""Relative humidity of a heated room in winter and of the same room in summer (common practice, no source)."""


class Plate(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A flat base under the foot, its middle under the middle of the foot."""

    width: float
    depth: float
    thickness: float
    species: SpeciesName = "walnut"

    def __post_init__(self) -> None:
        """Refuse sizes that are none."""
        for key in ("width", "depth"):
            size(key, getattr(self, key))
        number("thickness", self.thickness, above=0.0)


class Use(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What the piece has to bear.

    ``kind`` says how it is held and loaded: a leg hangs in its apron and is pushed at the foot; a lamp, a stool on one
    column and a post stand on their foot and are pushed at the top. Without a kind nothing is said of load or balance.

    Keys left out take the defaults of their kind (`geometry.loads`). ``load_n`` presses straight down on the top,
    ``offset_mm`` off its middle in the worst direction; ``push_n`` is level, in the worst direction. ``top_mass_kg``
    is a shade or a top with its centre ``top_height_mm`` above the foot of the piece, over the middle of its top;
    without a height it lies on the top. ``seat_mm`` is the width and depth of a stool's seat. ``channel_mm`` is the
    bore of a wire channel up the middle. ``humidity_percent`` is the driest and the dampest the room becomes.
    """

    kind: UseKind | None = None
    load_n: float | None = None
    offset_mm: float = 0.0
    push_n: float | None = None
    top_mass_kg: float = 0.0
    top_height_mm: float | None = None
    seat_mm: tuple[float, float] | None = None
    plate: Plate | None = None
    channel_mm: float | None = None
    for_children: bool = False
    humidity_percent: tuple[float, float] = (DRIEST_PERCENT, DAMPEST_PERCENT)

    def __post_init__(self) -> None:
        """Refuse what is no load, no height and no humidity."""
        for key in ("load_n", "push_n", "top_height_mm"):
            if getattr(self, key) is not None:
                number(key, getattr(self, key), least=0.0)
        for key in ("offset_mm", "top_mass_kg"):
            number(key, getattr(self, key), least=0.0)
        if self.channel_mm is not None:
            number("channel_mm", self.channel_mm, above=0.0)
        for i, value in enumerate(self.seat_mm or ()):
            size(f"seat_mm[{i}]", value)
        dry, damp = self.humidity_percent
        for i, value in enumerate(self.humidity_percent):
            number(f"humidity_percent[{i}]", value, least=0.0)
            if value > 100.0:
                raise ValueError(f"humidity_percent[{i}]: expected at most 100, found {value:g}")
        if dry > damp:
            raise ValueError(f"humidity_percent: expected the driest first, found {dry:g} before {damp:g}")
