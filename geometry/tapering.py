"""Tapered blanks: how they slope, how they are sawn, how their quarters stand when glued, and what that costs.

Width and depth change linearly from foot to top. Slopes k and m are positive where the blank narrows upwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast

import numpy as np

from geometry.lines import Line
from geometry.prisms import Frame
from geometry.project import Blank, CutName, TaperSupport
from geometry.sampling import sample
from geometry.sawing import QUARTER_SIGNS
from geometry.solids import FloatArray, IntArray, Solid
from geometry.tolerances import EXPORT_CHORD_MM, PLACE_MM


@dataclass(frozen=True, slots=True)
class Slopes:
    """How fast half the width (k) and half the depth (m) shrink per millimetre of height."""

    k: float
    m: float


def slopes(blank: Blank) -> Slopes:
    """Return the slopes of a blank: k = (width - top width) / 2L, m = (depth - top depth) / 2L."""
    return Slopes(
        (blank.width - blank.width_at_top) / (2.0 * blank.length),
        (blank.depth - blank.depth_at_top) / (2.0 * blank.length),
    )


def half_width(blank: Blank, z: FloatArray) -> FloatArray:
    """Return a(z), half the width at heights ``z``, in millimetres."""
    return cast(FloatArray, blank.width / 2.0 - slopes(blank).k * np.asarray(z))


def half_depth(blank: Blank, z: FloatArray) -> FloatArray:
    """Return b(z), half the depth at heights ``z``, in millimetres."""
    return cast(FloatArray, blank.depth / 2.0 - slopes(blank).m * np.asarray(z))


def blank_corners(blank: Blank) -> FloatArray:
    """Return the eight corners (8, 3) of a blank: the foot's counter-clockwise from the front left, then the top's."""
    out = []
    for z, w, d in ((0.0, blank.width, blank.depth), (blank.length, blank.width_at_top, blank.depth_at_top)):
        out += [(sx * w / 2.0, sy * d / 2.0, z) for sx, sy in QUARTER_SIGNS]
    return np.array(out)


# ---------------------------------------------------------------- how it is sawn


@dataclass(frozen=True, slots=True, eq=False)
class SawingPlane:
    """The plane square to the blade, on which slot, radius and regions of a cut are true.

    Attributes
    ----------
    frame : the plane's own axes (s, t) and the blade in the blank's coordinates
    start, stretch : t = start + stretch · z for a place drawn at height z of the face; s = u
    """

    frame: Frame
    start: float
    stretch: float

    def line(self, drawn: Line) -> Line:
        """Return the drawn line as it lies in this plane."""
        pieces = drawn.pieces.copy()
        pieces[:, :, 1] = self.start + self.stretch * pieces[:, :, 1]
        return Line(pieces, drawn.is_straight, drawn.kinks)

    def drawn(self, at: tuple[float, float]) -> tuple[float, float]:
        """Return where a place (s, t) of this plane stands in the drawing (u, z)."""
        return at[0], (at[1] - self.start) / self.stretch


STEEPEST_FACE_DOWN = 0.9
"""At a slope of 1 the drawn face stands square to the table when the blank lies on the face opposite it, and the blade
cannot come in through it; a little short of that it is sawn levelled as well."""


def lean_of_blade(blank: Blank, cut: CutName, support: TaperSupport) -> float:
    """Return how far along z the blade runs for each millimetre it runs across: m (front) or k (side), 0 levelled."""
    s = slopes(blank)
    slope = s.m if cut == "front" else s.k
    return 0.0 if support == "levelled" or abs(slope) > STEEPEST_FACE_DOWN else slope


def is_too_steep(blank: Blank, cut: CutName) -> bool:
    """Return True when a blank cannot lie face down while a cut is sawn."""
    s = slopes(blank)
    return abs(s.m if cut == "front" else s.k) > STEEPEST_FACE_DOWN


def sawing_plane(blank: Blank, cut: CutName, support: TaperSupport) -> SawingPlane:
    """Return the plane square to the blade for a cut.

    Face down, the blank lies on the tapered face opposite the drawn one, and the blade is that face's outward normal:
    (0, 1, m) for the front, (-1, 0, k) for the side. Levelled on its offcut wedge, and where it is too steep to lie
    face down, the blade is square to the axis.
    """
    slope = lean_of_blade(blank, cut, support)
    half = blank.depth / 2.0 if cut == "front" else blank.width / 2.0
    root = float(np.sqrt(1.0 + slope * slope))
    if cut == "front":
        across, up, blade = (1.0, 0.0, 0.0), (0.0, -slope, 1.0), (0.0, 1.0, slope)
    else:
        across, up, blade = (0.0, 1.0, 0.0), (slope, 0.0, 1.0), (-1.0, 0.0, slope)
    # the drawn place (u, ∓half(z), z) seen along the blade: half(z) = half - slope · z
    return SawingPlane(
        Frame(np.array(across), np.array(up) / root, np.array(blade) / root),
        slope * half / root,
        (1.0 - slope * slope) / root,
    )


def true_size(line: Line, blank: Blank, cut: CutName) -> Line:
    """Return the drawn line on the face's true size: stretched along z by sqrt(1 + m²) (front) or sqrt(1 + k²)."""
    s = slopes(blank)
    pieces = line.pieces.copy()
    pieces[:, :, 1] *= np.sqrt(1.0 + (s.m if cut == "front" else s.k) ** 2)
    return Line(pieces, line.is_straight, line.kinks)


# ---------------------------------------------------------------- how the quarters stand


def glue_moves(blank: Blank) -> tuple[FloatArray, ...]:
    """Return the four 4 by 4 rigid moves from the blank to the glued piece.

    The quarter at (sx, sy) turns so that its corner edge stands upright, its foot at the origin, and the bisector of
    its two flats points along (-sx, -sy, 0). For a straight blank nothing turns, exactly.
    """
    s = slopes(blank)
    moves = []
    for sx, sy in QUARTER_SIGNS:
        move = np.eye(4)
        foot = np.array([sx * blank.width / 2.0, sy * blank.depth / 2.0, 0.0])
        if s.k != 0.0 or s.m != 0.0:
            move[:3, :3] = _standing(sx, sy, s)
        move[:3, 3] = -move[:3, :3] @ foot
        moves.append(move)
    return tuple(moves)


def _standing(sx: int, sy: int, s: Slopes) -> FloatArray:
    edge = np.array([-sx * s.k, -sy * s.m, 1.0]) / np.sqrt(1.0 + s.k**2 + s.m**2)
    p = _into(np.cross(np.array([sx, 0.0, s.k]), edge), np.array([0.0, -sy, 0.0]))
    q = _into(np.cross(np.array([0.0, sy, s.m]), edge), np.array([-sx, 0.0, 0.0]))
    bisector = (p + q) / np.linalg.norm(p + q)
    before = np.stack([edge, bisector, np.cross(edge, bisector)], axis=1)
    up, inward = np.array([0.0, 0.0, 1.0]), np.array([-sx, -sy, 0.0]) / np.sqrt(2.0)
    after = np.stack([up, inward, np.cross(up, inward)], axis=1)
    return cast(FloatArray, after @ before.T)


def _into(v: FloatArray, side: FloatArray) -> FloatArray:
    v = v / np.linalg.norm(v)
    return cast(FloatArray, v if v @ side > 0.0 else -v)


def stood(solid: Solid, move: FloatArray) -> Solid:
    """Return a quarter moved to where it is glued, with its glue faces set exactly on x = 0 and y = 0 where they
    come within rounding of them, so that neighbours share them."""
    moved = solid.moved(move)
    vertices = moved.vertices.copy()
    flat = vertices[:, :2]
    flat[np.abs(flat) < PLACE_MM * 1e-2] = 0.0
    return Solid(vertices, moved.triangles)


# ---------------------------------------------------------------- what it costs


@dataclass(frozen=True, slots=True)
class TaperCost:
    """What gluing tapered quarters costs.

    Attributes
    ----------
    dihedral_error_deg : interior angle of each corner less 90 degrees
    gap_mm : opening of each glue joint at its widest; at the axis when the error is positive, else outside
    end_trim_mm : how far the worse end is out of square: highest less lowest place of its faces
    """

    dihedral_error_deg: float
    gap_mm: float
    end_trim_mm: float


def dihedral_error(blank: Blank) -> float:
    """Return the interior angle of the blank's corners less a right angle, in radians.

    Adjacent faces with slopes k and m have outward normals at an angle whose cosine is km / sqrt((1+k²)(1+m²)), so the
    error is the arcsine of that (vector algebra).
    """
    s = slopes(blank)
    return float(np.arcsin(s.k * s.m / np.sqrt((1.0 + s.k**2) * (1.0 + s.m**2))))


def taper_cost(blank: Blank, quarters: tuple[Solid, ...]) -> TaperCost:
    """Return what the taper of a blank costs when its quarters (in the blank's coordinates) are glued."""
    error = dihedral_error(blank)
    widest = max(blank.width, blank.depth, blank.width_at_top, blank.depth_at_top) / 2.0
    return TaperCost(float(np.degrees(error)), widest * float(np.tan(abs(error))), end_trim_of(quarters, blank))


@dataclass(frozen=True, slots=True)
class Bevel:
    """What planed off every flat lets tapered quarters close.

    Attributes
    ----------
    angle_deg : half the dihedral error, off each of the two flats of a joint
    most_mm : what comes off at that edge, at the wide end of the blank
    edge : where it comes off: at the "sawn" edge the flats run out to, or at the "corner" edge that goes to the axis
    """

    angle_deg: float
    most_mm: float
    edge: Literal["sawn", "corner"]


def bevel(blank: Blank) -> Bevel | None:
    """Return the bevel to plane off each flat before gluing, or None where the joints close as sawn.

    Corners wider than square touch at their sawn edges first, so it is there that wood has to go; narrower ones touch
    at the axis.
    """
    error = dihedral_error(blank)
    if error == 0.0:
        return None
    widest = max(blank.width, blank.depth, blank.width_at_top, blank.depth_at_top) / 2.0
    half = abs(error) / 2.0
    return Bevel(float(np.degrees(half)), widest * float(np.tan(half)), "sawn" if error > 0.0 else "corner")


def end_trim_of(quarters: tuple[Solid, ...], blank: Blank) -> float:
    """Return the highest less the lowest z of an end's faces in the glued piece, the worse end, in millimetres.

    Parameters
    ----------
    quarters : the four quarters in the blank's coordinates
    """
    worst = 0.0
    for z in (0.0, blank.length):
        heights: list[FloatArray] = []
        for quarter, move in zip(quarters, glue_moves(blank), strict=True):
            end = quarter.vertices[np.abs(quarter.vertices[:, 2] - z) < PLACE_MM]
            heights.append((end @ move[:3, :3].T + move[:3, 3])[:, 2])
        there = np.concatenate(heights) if heights else np.zeros(0)
        if len(there):
            worst = max(worst, float(there.max() - there.min()))
    return worst


_LEVEL = 0.05
"""Where the line rises less than this for its length it runs level, and its slope says nothing of a step."""


def seam_step(line: Line, blank: Blank, cut: CutName, support: TaperSupport) -> tuple[float, tuple[float, float]]:
    """Return how far a cut's seams miss flush on a tapered blank, in millimetres, and where (u, z).

    Face down, the blade reaches the far face 2·m·b(z) / (1 + m²) higher than drawn (front; with k and a for the side),
    and the seam steps by that times the slope abs(u') of the line. Levelled, nothing steps.
    """
    slope = lean_of_blade(blank, cut, support)
    start = (float(line.start[0]), float(line.start[1]))
    if slope == 0.0:
        return 0.0, start
    samples = sample(line, EXPORT_CHORD_MM)
    du, dz = samples.directions.T
    half = half_depth(blank, samples.points[:, 1]) if cut == "front" else half_width(blank, samples.points[:, 1])
    rises = np.abs(dz) > _LEVEL
    steps = np.where(rises, np.abs(du / np.where(rises, dz, 1.0)), 0.0) * 2.0 * abs(slope) * half / (1.0 + slope**2)
    worst = int(np.argmax(steps))
    return float(steps[worst]), (float(samples.points[worst, 0]), float(samples.points[worst, 1]))


def frustum(blank: Blank) -> Solid:
    """Return the blank, straight or tapered, as a body of twelve triangles."""
    sides = [t for i in range(4) for t in ((i, (i + 1) % 4, (i + 1) % 4 + 4), (i, (i + 1) % 4 + 4, i + 4))]
    triangles: IntArray = np.array([*sides, (0, 2, 1), (0, 3, 2), (4, 5, 6), (4, 6, 7)], dtype=np.int64)
    return Solid(blank_corners(blank), triangles)
