"""How the blank is built up: one board, strips, blocks or chevrons. Frozen; the constructors check."""

from __future__ import annotations

import math
from typing import Literal

import msgspec

from geometry.checks import chosen, number
from geometry.species import SpeciesName
from geometry.tolerances import STRIP_SUM_MM


class Plain(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="plain"):
    """One species all through."""

    species: SpeciesName = "walnut"


class Stripes(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="stripes"):
    """Strips of given widths and species, from -x to +x or from -y to +y, at the foot."""

    along: Literal["x", "y"]
    strips: tuple[tuple[float, SpeciesName], ...]

    def __post_init__(self) -> None:
        """Refuse a lay-up without strips or with a strip of no width."""
        chosen("strips", self.strips, "at least one [width, species]")
        for i, (width, _) in enumerate(self.strips):
            number(f"strips[{i}][0]", width, above=0.0)


class Checker(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="checker"):
    """Blocks in a grid; cell (i, j, k) takes species number (i + j + k) modulo their count."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    species: tuple[SpeciesName, ...]
    z: tuple[float, ...] | None = None

    def __post_init__(self) -> None:
        """Refuse an empty grid, a block of no size, or no species."""
        for key, sizes in (("x", self.x), ("y", self.y), ("z", self.z)):
            if sizes is None:
                continue
            chosen(key, sizes, "at least one size")
            for i, value in enumerate(sizes):
                number(f"{key}[{i}]", value, above=0.0)
        chosen("species", self.species, "at least one species")


class Chevron(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag_field="kind", tag="chevron"):
    """Bands that climb to both sides of a peak: z' = z + abs(across - peak) · tan(angle), pitch along z."""

    across: Literal["x", "y"]
    angle_deg: float
    pitch: float
    species: tuple[SpeciesName, ...]
    peak: float = 0.0

    def __post_init__(self) -> None:
        """Refuse an angle that is no slope, a pitch of nothing, or no species."""
        number("angle_deg", self.angle_deg)
        if not abs(self.angle_deg) < 90.0:
            raise ValueError(f"angle_deg: expected an angle between -90 and 90 degrees, found {self.angle_deg:g}")
        number("pitch", self.pitch, above=0.0)
        number("peak", self.peak)
        chosen("species", self.species, "at least one species")


Layup = Plain | Stripes | Checker | Chevron


def check_fills(layup: Layup, width: float, depth: float, length: float) -> None:
    """Raise ValueError unless the strips of a lay-up fill the blank at the foot within 0.01 mm.

    Parameters
    ----------
    layup : the lay-up
    width, depth, length : the blank's sizes in millimetres
    """
    sums: list[tuple[str, float, float, str]] = []
    match layup:
        case Stripes():
            total = math.fsum(w for w, _ in layup.strips)
            across = width if layup.along == "x" else depth
            sums.append(("layup.strips", total, across, "width" if layup.along == "x" else "depth"))
        case Checker():
            sums.append(("layup.x", math.fsum(layup.x), width, "width"))
            sums.append(("layup.y", math.fsum(layup.y), depth, "depth"))
            if layup.z is not None:
                sums.append(("layup.z", math.fsum(layup.z), length, "length"))
        case _:
            pass
    for key, total, wanted, what in sums:
        # the added rounding is that of adding decimal fractions, not a wider tolerance
        if abs(total - wanted) > STRIP_SUM_MM + 1e-9:
            raise ValueError(
                f"{key}: expected sizes that add up to the blank's {what} of {wanted:g} mm, found {total:g} mm"
            )
