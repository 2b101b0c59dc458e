"""Sawing a tapered blank: both cuts carried along their blades through a block with slanting faces."""

from __future__ import annotations

import manifold3d
import shapely

from geometry.lines import Line
from geometry.prisms import Frame, prism
from geometry.project import Blank, CutName, TaperSupport
from geometry.sawing import QUARTER_SIGNS, checked, to_manifold
from geometry.slots import part_plane
from geometry.solids import FloatArray, Solid
from geometry.tapering import SawingPlane, blank_corners, frustum, glue_moves, sawing_plane, stood
from geometry.tolerances import CUTTER_OVERSHOOT_MM


def saw_tapered(
    blank: Blank, support: TaperSupport, lines: dict[CutName, Line], gone: dict[CutName, float], chord_mm: float
) -> tuple[Solid, Solid, Solid, Solid]:
    """Return the four quarters of a tapered blank in the blank's coordinates, numbered 1 to 4.

    Parameters
    ----------
    blank, support : the blank and how it lies on the saw's table
    lines : both lines as drawn, in their faces' (u, z)
    gone : width of each slot with the sanding allowance on both sides
    chord_mm : how far the sampled lines may stray from the exact ones
    """
    halves = _parted(blank, support, "front", lines["front"], gone["front"], chord_mm)
    sides = _beside(blank, support, "side", lines["side"], gone["side"], chord_mm)
    q1, q2, q3, q4 = (checked(halves[sx > 0] ^ sides[sy > 0]) for sx, sy in QUARTER_SIGNS)
    return q1, q2, q3, q4


def part_tapered(
    blank: Blank, support: TaperSupport, cut: CutName, line: Line, gone: float, chord_mm: float
) -> tuple[Solid, Solid]:
    """Return what one cut alone leaves of a tapered blank: the half low of its line and the half high of it."""
    low, high = (checked(half) for half in _parted(blank, support, cut, line, gone, chord_mm))
    return low, high


Pair = tuple[manifold3d.Manifold, manifold3d.Manifold]


def _parted(blank: Blank, support: TaperSupport, cut: CutName, line: Line, gone: float, chord_mm: float) -> Pair:
    block = to_manifold(frustum(blank))
    low, high = _beside(blank, support, cut, line, gone, chord_mm)
    return block ^ low, block ^ high


def _beside(blank: Blank, support: TaperSupport, cut: CutName, line: Line, gone: float, chord_mm: float) -> Pair:
    plane = sawing_plane(blank, cut, support)
    return _sides(plane, plane.line(line), gone, chord_mm, blank_corners(blank))


def _sides(plane: SawingPlane, line: Line, gone: float, chord_mm: float, corners: FloatArray) -> Pair:
    """Return what stands left and right of a cut, past the blank on every outer side."""
    frame: Frame = plane.frame
    s, t, v = corners @ frame.across, corners @ frame.up, corners @ frame.blade
    over = CUTTER_OVERSHOOT_MM
    room = shapely.box(s.min() - over, t.min() - over, s.max() + over, t.max() + over)
    parted = part_plane(line, gone, chord_mm, float(max(s.max() - s.min(), t.max() - t.min())))
    low, high = float(v.min()) - over, float(v.max()) + over
    left, right = (prism(shapely.intersection(side, room), frame, low, high) for side in (parted.left, parted.right))
    return left, right


def glue_tapered(quarters: tuple[Solid, ...], blank: Blank) -> Solid:
    """Return the glued piece of a tapered blank as one solid: the union of its moved quarters, ends untrimmed.

    Where the corners are wider than a right angle the quarters overlap; what overlaps counts once, as if planed off.
    """
    stand = [to_manifold(stood(q, m)) for q, m in zip(quarters, glue_moves(blank), strict=True) if not q.is_empty]
    return checked(manifold3d.Manifold.batch_boolean(stand, manifold3d.OpType.Add))
