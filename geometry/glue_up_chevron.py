"""How a chevron is glued up: strips into two leaning slabs, cut at the angle, opened like a book."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from geometry.glue_up_parts import Board, Shape, Sizes, Stage, Trade, long_boards_of, rectangle
from geometry.layup import Chevron
from geometry.layup_grid import layup_grid
from geometry.project import Blank, DisplayUnits
from geometry.species import SpeciesName
from geometry.units import format_length


def chevron_glue_up(
    layup: Chevron, blank: Blank, trade: Trade, units: DisplayUnits
) -> tuple[tuple[Board, ...], tuple[Stage, ...]]:
    """Return boards and stages of a chevron.

    Each arm of the V is a slab of its own. Its strips are pitch · cos(angle) thick, run up at the angle and are each
    set back by thickness · tan(angle) from the one before, so that the slab leans and little is lost when it is sawn
    at the angle. The second slab is made the same and opened beside the first like a page of a book.
    """
    across = blank.width if layup.across == "x" else blank.depth
    deep = (blank.depth if layup.across == "x" else blank.width) + 2.0 * trade.square_mm
    angle = math.radians(abs(layup.angle_deg))
    thick = layup.pitch * math.cos(angle)
    peak = min(max(layup.peak, -across / 2.0), across / 2.0)
    arms = [_arm(layup, blank, width) for width in (across / 2.0 + peak, across / 2.0 - peak) if width > 0.0]
    pieces: list[tuple[SpeciesName, Sizes]] = []
    for arm in arms:
        long = (arm.width + trade.square_mm) / math.cos(angle) + thick * math.tan(angle)
        pieces += [(band.species, (thick, deep, long)) for band in arm.bands]
    return long_boards_of(pieces, trade, "strip"), tuple(_stages(layup, blank, arms, thick, units))


@dataclass(frozen=True, slots=True)
class _Band:
    """A strip of an arm: its species and where its lower border meets the peak, in mm above the foot."""

    species: SpeciesName
    low: float


@dataclass(frozen=True, slots=True)
class _Arm:
    """One side of a V: its width, and the strips that it shows between foot and top."""

    width: float
    bands: tuple[_Band, ...]


def _arm(layup: Chevron, blank: Blank, width: float) -> _Arm:
    grid = layup_grid(layup, blank)
    slope = math.tan(math.radians(layup.angle_deg))
    half = (blank.width if layup.across == "x" else blank.depth) / 2.0
    # with a peak beyond the blank the arm begins where the V has climbed already
    lift = max(0.0, abs(layup.peak) - half) * slope
    edges = grid.edges[2]
    first = (float(edges[0]) if len(edges) else layup.pitch) - layup.pitch - lift
    bands = [_Band(grid.species[s], first + k * layup.pitch) for k, s in enumerate(grid.cells[0, 0].tolist())]
    fall = width * slope
    shown = [
        b for b in bands if b.low - max(fall, 0.0) < blank.length and b.low + layup.pitch - min(fall, 0.0) > 0.0
    ]  # fmt: skip
    return _Arm(width, tuple(shown))


def _stages(layup: Chevron, blank: Blank, arms: list[_Arm], thick: float, units: DisplayUnits) -> Iterable[Stage]:
    def size(mm: float) -> str:
        return format_length(mm, units)

    slope, pitch = math.tan(math.radians(layup.angle_deg)), layup.pitch
    back = f", each set back by {size(thick * abs(slope))} from the one before, so that the slab leans" if slope else ""
    two = "two slabs, one for each arm" if len(arms) == 2 else "a slab"
    slabs = [shape for n, arm in enumerate(arms) for shape in _leaning(arm, slope, pitch, 1.0, n * 1.2 * arms[0].width)]
    yield Stage(
        "Glue the slabs",
        f"Plane the boards to {size(thick)}, crosscut them into strips, and glue {two}, the strips in the order "
        f"drawn{back}.",
        tuple(slabs),
    )
    outlines = [
        rectangle(n * 1.2 * arms[0].width, 0.0, arm.width, blank.length, None,
                  f"{size(arm.width)} × {size(blank.length)}")
        for n, arm in enumerate(arms)
    ]  # fmt: skip
    yield Stage(
        "Cut at the angle",
        f"Saw each slab at {abs(layup.angle_deg):g}° off square to its strips, to the width of its arm: "
        f"{' and '.join(size(arm.width) for arm in arms)}. Plane the edge that will be the peak.",
        (*slabs, *outlines),
    )
    if len(arms) == 2:
        left, right = arms
        whole = left.width + right.width
        yield Stage(
            "Open like a book and glue",
            "Turn the first slab over beside the second, like a page of a book, so that the strips meet along the "
            "peak; line them up by eye, glue and tape across every joint, and let it set for a day.",
            (
                *_leaning(left, slope, pitch, -1.0, left.width),
                *_leaning(right, slope, pitch, 1.0, left.width),
                rectangle(0.0, 0.0, whole, blank.length, None, f"{size(whole)} × {size(blank.length)}"),
            ),
        )
    w, d = size(blank.width), size(blank.depth)
    yield Stage(
        "Square the blank",
        f"Plane the faces equally on both sides, so that the peak stays where it is, to {w} × {d}; then saw both ends "
        f"square to {size(blank.length)}.",
        (rectangle(0.0, 0.0, blank.width, blank.depth, None, f"{w} × {d}"),),
    )


def _leaning(arm: _Arm, slope: float, pitch: float, toward: float, at: float) -> Iterable[Shape]:
    """Return the strips of an arm as parallelograms, the peak's edge at ``at`` and the arm to its right or left."""
    far, fall = at + toward * arm.width, arm.width * slope
    for b in arm.bands:
        high = b.low + pitch
        yield Shape(((at, b.low), (far, b.low - fall), (far, high - fall), (at, high)), b.species)
