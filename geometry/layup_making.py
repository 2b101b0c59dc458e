"""Lay-ups made for a blank in one step, and carried over from one kind or one blank to another.

Every function returns a lay-up that fills the blank it is given.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, Literal, assert_never

from msgspec.structs import replace

from geometry.editing import tidy
from geometry.layup import Checker, Chevron, Layup, Plain, Stripes
from geometry.project import Blank
from geometry.species import SpeciesName
from geometry.tolerances import STRIP_SUM_MM

Across = Literal["x", "y"]
LayupKind = Literal[
    "plain", "stripes across the width", "stripes across the depth", "level layers", "end checker",
    "checker all through", "chevron across the width", "chevron across the depth",
]  # fmt: skip

TWO: Final[tuple[SpeciesName, SpeciesName]] = ("walnut", "maple")
"""Dark and light: what a pattern starts with where nothing was chosen."""

_STRIPS, _BLOCKS, _ANGLE_DEG = 5, 3, 45.0


def size_along(blank: Blank, axis: Literal["x", "y", "z"]) -> float:
    """Return the blank's width, depth or length."""
    return {"x": blank.width, "y": blank.depth, "z": blank.length}[axis]


def filled(weights: Sequence[float], total: float) -> tuple[float, ...]:
    """Return sizes in the proportion of the weights that add up to the total.

    They are tidy, equal weights give equal sizes, and what rounding leaves over goes to the middle one, so that what
    was alike about the centre stays so.
    """
    scale = total / math.fsum(weights)
    sizes = [tidy(w * scale) for w in weights]
    middle = len(sizes) // 2
    sizes[middle] = tidy(total - math.fsum(sizes[:middle] + sizes[middle + 1 :]))
    return tuple(sizes)


def taking_turns(count: int, species: Sequence[SpeciesName]) -> tuple[SpeciesName, ...]:
    """Return that many species, taking turns."""
    return tuple(species[i % len(species)] for i in range(count))


# ---------------------------------------------------------------- makers


def equal_strips(blank: Blank, across: Across, count: int, species: Sequence[SpeciesName] = TWO) -> Stripes:
    """Return strips of equal width whose species take turns."""
    widths = filled((1.0,) * count, size_along(blank, across))
    return Stripes(across, tuple(zip(widths, taking_turns(count, species), strict=True)))


def level_layers(blank: Blank, heights: Sequence[float] | int, species: Sequence[SpeciesName] = TWO) -> Checker:
    """Return layers one on top of the other from the foot up, whose species take turns.

    Parameters
    ----------
    blank : the blank
    heights : how many equal layers, or their heights, which are stretched to the blank's length
    species : in turn from the foot up
    """
    weights = (1.0,) * heights if isinstance(heights, int) else tuple(heights)
    return Checker((blank.width,), (blank.depth,), tuple(species), filled(weights, blank.length))


def end_checker(blank: Blank, nx: int, ny: int, species: Sequence[SpeciesName] = TWO) -> Checker:
    """Return square columns that run all along: a checker on the end, stripes on the faces."""
    return Checker(filled((1.0,) * nx, blank.width), filled((1.0,) * ny, blank.depth), tuple(species))


def checker_all_through(blank: Blank, nx: int, ny: int, nz: int, species: Sequence[SpeciesName] = TWO) -> Checker:
    """Return blocks that change in all three directions."""
    return replace(end_checker(blank, nx, ny, species), z=filled((1.0,) * nz, blank.length))


def chevron(
    blank: Blank,
    across: Across,
    angle_deg: float = _ANGLE_DEG,
    pitch: float | None = None,
    species: Sequence[SpeciesName] = TWO,
) -> Chevron:
    """Return bands that climb to both sides of the blank's centre; as high as a third of its width unless said."""
    return Chevron(across, angle_deg, pitch or tidy(size_along(blank, across) / 3.0), tuple(species))


# ---------------------------------------------------------------- from one kind to another


def kind_of(layup: Layup) -> LayupKind:
    """Return which kind a lay-up is, in the words the maker chooses it by."""
    match layup:
        case Plain():
            return "plain"
        case Stripes():
            return "stripes across the width" if layup.along == "x" else "stripes across the depth"
        case Checker():
            if layup.z is None:
                return "end checker"
            return "level layers" if len(layup.x) == len(layup.y) == 1 else "checker all through"
        case Chevron():
            return "chevron across the width" if layup.across == "x" else "chevron across the depth"


def species_in(layup: Layup) -> tuple[SpeciesName, ...]:
    """Return the species of a lay-up, each once, in the order in which they come."""
    match layup:
        case Plain():
            return (layup.species,)
        case Stripes():
            return tuple(dict.fromkeys(s for _, s in layup.strips))
        case _:
            return tuple(dict.fromkeys(layup.species))


def turned_into(layup: Layup, kind: LayupKind, blank: Blank) -> Layup:
    """Return a lay-up of another kind in the same species; stripes across the other side keep their proportions.

    A lay-up that is of that kind already is returned as it is.
    """
    if kind_of(layup) == kind:
        return layup
    species = species_in(layup)
    if len(species) == 1 and kind != "plain":
        # a pattern needs a second wood to be seen
        species = (*species, "maple" if species[0] != "maple" else "walnut")
        if isinstance(layup, Checker | Chevron):
            layup = replace(layup, species=species)
    match kind:
        case "plain":
            return Plain(species[0])
        case "stripes across the width" | "stripes across the depth":
            across: Across = "x" if kind == "stripes across the width" else "y"
            if isinstance(layup, Stripes):
                widths = filled([w for w, _ in layup.strips], size_along(blank, across))
                return Stripes(across, tuple(zip(widths, (s for _, s in layup.strips), strict=True)))
            return equal_strips(blank, across, _STRIPS, species)
        case "level layers":
            if isinstance(layup, Checker) and layup.z is not None:
                return Checker((blank.width,), (blank.depth,), layup.species, layup.z)
            return level_layers(blank, 2 * _STRIPS + 1, species)
        case "end checker":
            if isinstance(layup, Checker):
                return replace(layup, z=None)
            return end_checker(blank, _BLOCKS, _BLOCKS, species)
        case "checker all through":
            z = filled((1.0,) * max(1, round(blank.length * _BLOCKS / blank.width)), blank.length)
            if isinstance(layup, Checker) and layup.z is None:
                return replace(layup, z=z)
            return replace(end_checker(blank, _BLOCKS, _BLOCKS, species), z=z)
        case "chevron across the width" | "chevron across the depth":
            side: Across = "x" if kind == "chevron across the width" else "y"
            if isinstance(layup, Chevron):
                return replace(layup, across=side)
            return chevron(blank, side, species=species)
        case _:
            assert_never(kind)


def fitted(layup: Layup, blank: Blank) -> Layup:
    """Return the lay-up stretched to fill another blank; what fills it already is returned as it is.

    Strips keep their proportions, the peak of a chevron stays where it is.
    """
    match layup:
        case Stripes():
            widths = _stretched([w for w, _ in layup.strips], size_along(blank, layup.along))
            return replace(layup, strips=tuple(zip(widths, (s for _, s in layup.strips), strict=True)))
        case Checker():
            z = None if layup.z is None else _stretched(layup.z, blank.length)
            return replace(layup, x=_stretched(layup.x, blank.width), y=_stretched(layup.y, blank.depth), z=z)
        case _:
            return layup


def _stretched(sizes: Sequence[float], total: float) -> tuple[float, ...]:
    return tuple(sizes) if abs(math.fsum(sizes) - total) <= STRIP_SUM_MM else filled(sizes, total)
