"""What small faults at the bench do to this design, worst first: where care pays most.

All of it is the rigid geometry of `geometry.lineup_errors`, with faults a careful maker may still make.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from geometry.curvature import extent
from geometry.lineup_errors import lean_step_mm, out_of_square_steps_mm, slip_step_mm
from geometry.measures import smallest_section
from geometry.piece import Piece, face_sizes
from geometry.project import CUT_NAMES, CutName, DisplayUnits
from geometry.units import format_length

Fault = Literal["table-tilt", "out-of-square", "slipped-tape", "wide-kerf", "off-the-line"]

TILT_DEG: Final = 0.5
OUT_OF_SQUARE_MM: Final = 0.2
SLIP_MM: Final = 1.0
WIDER_KERF_MM: Final = 0.2
OFF_LINE_MM: Final = 0.5
"""The faults tried: the saw's table tilted, one face of the blank off square over its width, a half taped back too far
along, a kerf wider than assumed, the blade beside the line (common practice, no source)."""

_LEAST_ALLOWED_MM = 0.1
"""Where nothing is left of a limit, its harm is reckoned with this, so that it stays a number."""


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What one fault does.

    Attributes
    ----------
    fault : which
    effect_mm : the step at a seam, or by how much the piece or a wall gets thinner
    allowed_mm : the step the maker allows, or how far the thinnest place is from its limit
    cut : the cut in which it does most; None where both suffer alike
    cause, effect, care : what goes wrong, what comes of it, and what to do against it
    """

    fault: Fault
    effect_mm: float
    allowed_mm: float
    cut: CutName | None
    cause: str
    effect: str
    care: str

    @property
    def harm(self) -> float:
        """The effect over what is allowed: over 1 is more than the design bears."""
        return self.effect_mm / self.allowed_mm


_SEAMS: Final[dict[CutName, str]] = {"front": "left and right seams", "side": "front and back seams"}


def sensitivities(piece: Piece, units: DisplayUnits = "mm") -> tuple[Sensitivity, ...]:
    """Return what each fault does to a piece, the most harmful first; sentences in the maker's unit."""

    def size(mm: float) -> str:
        return format_length(mm, units, decimals=2, denominator=64)

    variant, limits = piece.variant, piece.variant.limits
    a, b = variant.blank.width / 2.0, variant.blank.depth / 2.0
    step = max(limits.pattern_step, _LEAST_ALLOWED_MM)

    tilts: dict[CutName, float] = {
        "front": lean_step_mm(b, math.radians(TILT_DEG)),
        "side": lean_step_mm(a, math.radians(TILT_DEG)),
    }
    tilted = max(CUT_NAMES, key=lambda name: tilts[name])
    off = math.atan(OUT_OF_SQUARE_MM / (2.0 * min(a, b)))
    on_x, on_y = out_of_square_steps_mm(a, b, off)
    askew: CutName = "front" if on_x >= on_y else "side"
    slip = slip_step_mm(piece.side.line, SLIP_MM)
    thinnest = smallest_section(piece.front.widths, piece.side.widths)
    spare = _LEAST_ALLOWED_MM
    if thinnest is not None:
        spare = max(min(thinnest.width, thinnest.depth) - limits.section, _LEAST_ALLOWED_MM)
    wall, walled = _spare_wall(piece)
    rows = [
        Sensitivity(
            "table-tilt", tilts[tilted], step, tilted, f"The saw's table is tilted by {TILT_DEG:g}°",
            f"the {_SEAMS[tilted]} step by {size(tilts[tilted])}",
            "Square the table to the blade with scrap: saw, turn one half over, and hold the cuts together.",
        ),
        Sensitivity(
            "out-of-square", max(on_x, on_y), step, askew,
            f"The blank is {size(OUT_OF_SQUARE_MM)} out of square",
            f"the {_SEAMS[askew]} step by {size(max(on_x, on_y))}",
            "Plane two faces square to each other first, and the others parallel to them.",
        ),
        Sensitivity(
            "slipped-tape", slip, step, "side", f"A half is taped back {size(SLIP_MM)} too far along",
            f"the {_SEAMS['side']} step by {size(slip)}",
            "Draw marks across the line before the first cut, and tape back to them.",
        ),
        Sensitivity(
            "wide-kerf", WIDER_KERF_MM, spare, None, f"The kerf is {size(WIDER_KERF_MM)} wider than assumed",
            f"the piece comes out {size(WIDER_KERF_MM)} thinner both ways",
            "Measure the slot the blade saws in scrap and enter it.",
        ),
        Sensitivity(
            "off-the-line", OFF_LINE_MM, wall, walled, f"The blade runs {size(OFF_LINE_MM)} beside the line",
            f"the thinnest wall loses {size(OFF_LINE_MM)} and both sides of the seam move alike",
            "Feed slowly where the walls are thin; the shape hardly shows it elsewhere.",
        ),
    ]  # fmt: skip
    return tuple(sorted(rows, key=lambda row: -row.harm))


def _spare_wall(piece: Piece) -> tuple[float, CutName]:
    """Return by how much the thinnest wall beside a slot is over its limit, and the cut it belongs to."""
    limits = piece.variant.limits
    spare: dict[CutName, float] = {}
    for name in CUT_NAMES:
        reach = extent(piece.cut(name).line)
        furthest = max(-reach.least_u[0], reach.greatest_u[0])
        half = min(face_sizes(piece.variant.blank, name)) / 2.0
        spare[name] = half - furthest - piece.variant.cut(name).kerf / 2.0 - limits.wall
    least = min(CUT_NAMES, key=lambda name: spare[name])
    return max(spare[least], _LEAST_ALLOWED_MM), least
