"""How line-up degrades: what a blade that leans, a blank out of square or a slip does to a seam.

All of it is rigid geometry and exact at any angle. Two kinds of step come of it: the surface steps at the seam (it is
not flush), and the wood that shows on the two sides is from other places than was meant, so the pattern steps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from geometry.curvature import extent
from geometry.line_levels import steepest_run
from geometry.lines import Line
from geometry.piece import Piece
from geometry.project import Blank, CutName
from geometry.tapering import seam_step


@dataclass(frozen=True, slots=True)
class BenchErrors:
    """What goes wrong at the bench.

    Attributes
    ----------
    peak_off_mm : a chevron's peak off from where it is drawn, towards +
    out_of_square_rad : the blank's faces off square
    front_lean_rad, side_lean_rad : the blade off square to the table in each cut
    slip_mm : how far one half slipped lengthways when it was taped back for the second cut
    """

    peak_off_mm: float = 0.0
    out_of_square_rad: float = 0.0
    front_lean_rad: float = 0.0
    side_lean_rad: float = 0.0
    slip_mm: float = 0.0


NO_ERRORS: Final = BenchErrors()

_TENTH = math.radians(0.1)
LIKELY_ERRORS: Final = BenchErrors(out_of_square_rad=_TENTH, front_lean_rad=_TENTH, side_lean_rad=_TENTH, slip_mm=0.3)
"""What careful work still does: faces and blade square to a tenth of a degree, tape back to a pencil line (common
practice, no source)."""


def lean_step_mm(half_mm: float, lean_rad: float) -> float:
    """Return the step of a blade that leans, square to the line: 2 · half · tan(lean).

    Parameters
    ----------
    half_mm : half the thickness sawn through: b in the front cut, a in the side cut
    lean_rad : the blade's lean
    """
    return 2.0 * half_mm * math.tan(abs(lean_rad))


def out_of_square_steps_mm(a: float, b: float, off_rad: float) -> tuple[float, float]:
    """Return the steps on the ±x and on the ±y faces of a blank out of square: 2 · b · tan(off), 2 · a · sin(off).

    Both cuts are sawn square to the face that lies on the table, and each quarter is carried by its own corner: the
    front cut leaves the corners 2 · b · tan(off) out of line, and the side cut's far edge lies 2 · a · sin(off) off.
    """
    off = abs(off_rad)
    return 2.0 * b * math.tan(off), 2.0 * a * math.sin(off)


def slip_step_mm(side_line: Line, slip_mm: float) -> float:
    """Return the largest step on the ±y faces of halves taped back with a slip lengthways: slip · |u′|.

    Where the side line runs level or climbs back, the step is at most as large as the line reaches across.
    """
    reach = extent(side_line)
    across = reach.greatest_u[0] - reach.least_u[0]
    slip = abs(slip_mm)
    return min(slip * steepest_run(side_line), across) if slip else 0.0


def flush_step_mm(piece: Piece, cut: CutName, errors: BenchErrors) -> float:
    """Return how far the surface steps at the seams of a cut at worst, all errors together, in millimetres.

    A tapered blank sawn face down steps without any error.
    """
    variant = piece.variant
    taper, _ = seam_step(piece.cut(cut).line, variant.blank, cut, variant.taper_support)
    if errors == NO_ERRORS:
        return taper
    a, b = piece.variant.blank.width / 2.0, piece.variant.blank.depth / 2.0
    on_x, on_y = out_of_square_steps_mm(a, b, errors.out_of_square_rad)
    if cut == "front":
        return taper + on_x + lean_step_mm(b, errors.front_lean_rad)
    return taper + on_y + lean_step_mm(a, errors.side_lean_rad) + slip_step_mm(piece.side.line, errors.slip_mm)


def pattern_shift(blank: Blank, cut: CutName, errors: BenchErrors) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return how far across and up (du, dz) the wood at the low and at the high side of a cut's seams is off.

    The shift is shared evenly, so that the line is true half-way through the blank. With a slip the ends are glued
    level, so the slip shifts the line in each half, and not the wood.
    """
    off = errors.out_of_square_rad
    if cut == "front":
        du = blank.depth / 2.0 * (math.tan(errors.front_lean_rad) + math.tan(off))
        return (-du, 0.0), (du, 0.0)
    du = blank.width / 2.0 * (math.tan(errors.side_lean_rad) + math.sin(off))
    dz = errors.slip_mm / 2.0
    return (-du, -dz), (du, dz)
