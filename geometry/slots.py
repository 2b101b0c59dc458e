"""What a cut leaves of a face: the slot about the line, the two regions beside it, and how wide they are.

Plane work in (u, z), millimetres. See ``geometry`` for the frame.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.curvature import corner_turns, tightest_bend
from geometry.lines import Line
from geometry.sampling import Samples, sample
from geometry.solids import FloatArray, IntArray
from geometry.tolerances import CUTTER_OVERSHOOT_MM, PLACE_MM, SHARP_CORNER_DEG, SPECK_MM2
from geometry.webs import can_meet_itself


@dataclass(frozen=True, slots=True, eq=False)
class Parted:
    """The whole plane parted by a slot.

    Attributes
    ----------
    samples : the points of the line the regions were made from
    half_slot : half the width that is gone: half the kerf and the sanding allowance
    left, right : all of the plane beside the slot, out to ``far`` and further
    """

    samples: Samples
    half_slot: float
    left: BaseGeometry
    right: BaseGeometry


@dataclass(frozen=True, slots=True, eq=False)
class SawnFace:
    """A face parted by its line.

    Attributes
    ----------
    half : half the face's width at the foot in millimetres (there the face runs from ``-half`` to ``half``)
    half_at_top : the same at the top; the edges run straight between the two
    length : its height in millimetres
    samples : the points of the line the regions were made from
    half_slot : half the width that is gone: half the kerf and the sanding allowance
    left, right : the regions left of the face, as shapely polygons or several
    left_cutter, right_cutter : the same, but reaching past the face on every outer side
    """

    half: float
    half_at_top: float
    length: float
    samples: Samples
    half_slot: float
    left: BaseGeometry
    right: BaseGeometry
    left_cutter: BaseGeometry
    right_cutter: BaseGeometry


def saw_face(
    line: Line, width: float, length: float, gone: float, chord_mm: float, width_at_top: float | None = None
) -> SawnFace:
    """Part a face along a line.

    Parameters
    ----------
    line : the line, in the face's (u, z)
    width, length : sizes of the face in millimetres, the width at the foot
    gone : width of the slot with the sanding allowance on both sides; 0 is the ideal cut and exact
    chord_mm : how far the regions' edges may stray from the exact parallel curves
    width_at_top : the face's width at the top, that at the foot when left out
    """
    half = width / 2.0
    top = half if width_at_top is None else width_at_top / 2.0
    over = CUTTER_OVERSHOOT_MM
    if top == half:
        face = shapely.box(-half, 0.0, half, length)
    else:
        face = shapely.Polygon([(-half, 0.0), (half, 0.0), (top, length), (-top, length)])
    widest = max(half, top)
    room = shapely.box(-widest - over, -over, widest + over, length + over)
    parted = part_plane(line, gone, chord_mm, width + length + over)
    return SawnFace(
        half,
        top,
        length,
        parted.samples,
        parted.half_slot,
        *(
            areas_of(soundly(shapely.intersection, side, room_))
            for room_, side in (
                (face, parted.left), (face, parted.right), (room, parted.left), (room, parted.right),
            )
        ),
    )  # fmt: skip


def part_plane(line: Line, gone: float, chord_mm: float, reach: float) -> Parted:
    """Part the plane along a line that is extended straight on past both ends.

    Parameters
    ----------
    line : the line, in any plane's own axes
    gone : width of the slot with the sanding allowance on both sides
    chord_mm : how far the regions' edges may stray from the exact parallel curves
    reach : a size that the regions are to go beyond, in millimetres
    """
    h = gone / 2.0 if gone > PLACE_MM else 0.0
    samples = sample(line, chord_mm, h)
    # far enough that the extension has left all that matters whatever its direction
    far = 4.0 * (reach + float(np.abs(samples.points).max()))
    left = _side(line, samples, 0.0, far, left=True)
    whole = shapely.box(-far, -far, far, far)
    edges = (_side(line, samples, h, far, left=True), _side(line, samples, h, far, left=False))
    if left.is_valid and (h == 0.0 or _are_simple(edges, line, h)):
        left, right = edges
    elif h == 0.0:
        # a line that crosses itself: whatever counts as left, the rest is right
        left = areas_of(shapely.make_valid(left))
        right = soundly(shapely.difference, whole, left)
    else:
        slot = _slot(line, samples, h, chord_mm, far)
        left = left if left.is_valid else areas_of(shapely.make_valid(left))
        right = soundly(shapely.difference, whole, soundly(shapely.union, left, slot))
        left = soundly(shapely.difference, left, slot)
    return Parted(samples, h, left, right)


def _are_simple(edges: tuple[BaseGeometry, BaseGeometry], line: Line, h: float) -> bool:
    """True when the edges of the slot are plain parallel curves: no corner, no bend or pass within its width.

    Where two passes of a line that does not cross itself are nearer than the slot is wide, and no bend is tighter
    than half of that, the edges on the sides that face one another cross.
    """
    bend = tightest_bend(line)
    if _sharp_corners(line) or (bend is not None and bend.radius_mm <= 1.05 * h):
        return False
    return not can_meet_itself(line) or all(edge.is_valid for edge in edges)


def _sharp_corners(line: Line) -> list[int]:
    """Return the numbers of the pieces that start at a corner with a turn that shows."""
    turns = corner_turns(line)
    return [k for k, (angle, _) in zip(line.kinks, turns, strict=True) if angle > np.radians(SHARP_CORNER_DEG) * 1e-3]


def _side(line: Line, samples: Samples, h: float, far: float, *, left: bool) -> BaseGeometry:
    """Return all of the plane to one side of the line, extended straight on, and further than ``h`` from it.

    Not a valid polygon where the line crosses itself.
    """
    shift = h if left else -h
    edge = samples.points + shift * samples.normals
    start = edge[0] - far * line.start_direction
    end = edge[-1] + far * line.end_direction
    path = np.vstack([start, edge, end])
    keep = np.append(True, np.hypot(*np.diff(path, axis=0).T) > 0.0)
    ring = np.vstack([path[keep], _around(end, start, 2.0 * far, left=left)])
    return shapely.Polygon(ring)


def _around(a: FloatArray, b: FloatArray, reach: float, *, left: bool) -> FloatArray:
    """Return the way from ``a`` to ``b`` round the outside, counter-clockwise when the left side is wanted."""
    from_, to = np.arctan2(a[1], a[0]), np.arctan2(b[1], b[0])
    turn = (to - from_) % (2.0 * np.pi) if left else -((from_ - to) % (2.0 * np.pi))
    angles = from_ + turn * np.linspace(0.0, 1.0, 17)
    return cast(FloatArray, reach * np.stack([np.cos(angles), np.sin(angles)], axis=1))


_TURNS_FAR = np.cos(np.radians(40.0))
"""Two strokes across the slot further apart in direction than this leave a notch between their ends."""


def _slot(line: Line, samples: Samples, h: float, chord_mm: float, far: float) -> BaseGeometry:
    """Return all within ``h`` of the line, extended straight on past both ends, with round joins.

    The union of the hulls of neighbouring cross-strokes of the slot, and of a disc at each corner: sound however
    tight the line bends and however near it comes to itself.
    """
    sharp = _sharp_corners(line)
    points, normals = samples.points, samples.normals
    # a corner that only joins two stretches smoothly stands twice with one direction but for rounding: one stroke,
    # so that no hairline is left between the hulls on either side of it
    twins = np.flatnonzero(~np.isin(samples.piece[1:], sharp) & (samples.t[1:] == 0.0) & (samples.t[:-1] == 1.0))
    normals[twins + 1] = normals[twins]
    ends = np.array([points[0] - far * line.start_direction, points[-1] + far * line.end_direction])
    points = np.vstack([ends[:1], points, ends[1:]])
    normals = np.vstack([normals[:1], normals, normals[-1:]])
    left, right = points + h * normals, points - h * normals
    quads = np.stack([left[:-1], left[1:], right[1:], right[:-1]], axis=1)
    moved = np.hypot(*np.diff(points, axis=0).T) > 0.0
    bodies = list(shapely.convex_hull(shapely.multipoints(quads[moved])))
    # as many sides as keep within a tenth of the chord tolerance, and the same seen in a mirror
    sides = 4 * int(np.ceil(np.pi / np.arccos(max(0.0, 1.0 - min(0.1 * chord_mm / h, 0.5))) / 4.0))
    turn = 2.0 * np.pi * np.arange(sides) / sides
    circle = h * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    # so tight a bend that one chord turns by far more than the next, or a line that turns back: round there too
    jumps = np.flatnonzero(np.einsum("ki,ki->k", normals[:-1], normals[1:]) < _TURNS_FAR)
    around = [*line.pieces[sharp, 0], *points[np.unique(np.concatenate([jumps, jumps + 1]))]]
    bodies += [shapely.Polygon(at + circle) for at in around]
    try:
        return shapely.union_all(bodies)
    except shapely.GEOSException:
        return shapely.union_all(bodies, grid_size=PLACE_MM)


def soundly(overlay: Callable[..., BaseGeometry], a: BaseGeometry, b: BaseGeometry) -> BaseGeometry:
    """Return an overlay of two regions; where rounding defeats it (a line that runs back along itself), on a grid."""
    try:
        return overlay(a, b)
    except shapely.GEOSException:
        return overlay(shapely.make_valid(a), shapely.make_valid(b), grid_size=PLACE_MM)


def areas_of(shape: BaseGeometry) -> BaseGeometry:
    """Return only the areas of what an overlay gave, without stray points and edges and without specks of rounding."""
    if shape.geom_type == "Polygon":
        return shape if shape.area > SPECK_MM2 else shapely.Polygon()
    parts = shapely.get_parts(shapely.get_parts(shape))  # a collection may hold a multipolygon
    parts = [p for p in parts if p.geom_type == "Polygon" and p.area > SPECK_MM2]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts) if parts else shapely.Polygon()


# ---------------------------------------------------------------- profiles and their widths


def profile(face: SawnFace) -> BaseGeometry:
    """Return the profile P of the piece seen square to the face: (left + half) ∪ (right - half).

    On a tapered face half is that at each height, so that the slanting edges come to stand on u = 0.
    """
    lean = (face.half_at_top - face.half) / face.length

    def out(points: FloatArray) -> FloatArray:
        return np.stack([face.half + lean * points[:, 1], np.zeros(len(points))], axis=1)

    left = shapely.transform(face.left, lambda p: p + out(p))
    right = shapely.transform(face.right, lambda p: p - out(p))
    return areas_of(soundly(shapely.union, left, right))


@dataclass(frozen=True, slots=True, eq=False)
class Widths:
    """How wide a plane region is at each height: straight between ``z[i]`` and ``z[i + 1]``.

    Attributes
    ----------
    z : (n,) heights in millimetres, strictly rising
    above, below : (n - 1,) width just above ``z[i]`` and just below ``z[i + 1]``
    """

    z: FloatArray
    above: FloatArray
    below: FloatArray

    def at(self, z: FloatArray) -> FloatArray:
        """Return the widths at heights ``z`` (k,); at a jump the lesser of the two."""
        if not len(self.above):
            return np.zeros(len(z))
        # a height this close to a jump is at the jump; elsewhere both neighbours are the same stretch
        eps = 1e-9 * (1.0 + abs(float(self.z[-1])))
        both = [self._in_stretch(np.searchsorted(self.z, z + d, side="right") - 1, z) for d in (-eps, eps)]
        inside = (z >= self.z[0] - eps) & (z <= self.z[-1] + eps)
        return cast(FloatArray, np.where(inside, np.minimum(*both), 0.0))

    def _in_stretch(self, i: IntArray, z: FloatArray) -> FloatArray:
        i = np.clip(i, 0, len(self.above) - 1)
        t = np.clip((z - self.z[i]) / (self.z[i + 1] - self.z[i]), 0.0, 1.0)
        return cast(FloatArray, self.above[i] + t * (self.below[i] - self.above[i]))


def sloped_edges(region: BaseGeometry) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the edges of straight-edged polygons that are not level.

    Returns
    -------
    lower and upper end (n, 2) of each as (u, z), and its sign (n,): 1 where the region lies to its left, -1 to its
    right, so that the signed sum of the edges' u at a height is the region's width there
    """
    polygons = shapely.get_parts(shapely.normalize(region)) if not region.is_empty else []
    rings: list[FloatArray] = []
    for polygon in polygons:
        polygon = shapely.orient_polygons(polygon)  # outer rings counter-clockwise, holes clockwise
        rings += [shapely.get_coordinates(r) for r in (polygon.exterior, *polygon.interiors)]
    if not rings:
        return np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0)
    a = np.vstack([r[:-1] for r in rings])
    b = np.vstack([r[1:] for r in rings])
    sloped = a[:, 1] != b[:, 1]
    a, b = a[sloped], b[sloped]
    rises = b[:, 1] > a[:, 1]
    lo, hi = np.where(rises[:, None], a, b), np.where(rises[:, None], b, a)
    return lo, hi, np.where(rises, 1.0, -1.0)


def widths(region: BaseGeometry) -> Widths:
    """Return how wide a region of straight-edged polygons is at every height, exactly.

    Every edge adds or takes away its distance from the axis over the heights it spans, by its direction along the
    boundary; the sum is the width.
    """
    lo, hi, sign = sloped_edges(region)
    if not len(sign):
        return Widths(np.zeros(0), np.zeros(0), np.zeros(0))
    z = np.unique(shapely.get_coordinates(region)[:, 1])
    first, stop = np.searchsorted(z, lo[:, 1]), np.searchsorted(z, hi[:, 1])
    # each edge spans few heights in common cases but may span all: spread it over its intervals
    spans = stop - first
    edge = np.repeat(np.arange(len(spans)), spans)
    interval = np.arange(spans.sum()) - np.repeat(np.cumsum(spans) - spans, spans) + np.repeat(first, spans)
    slope = (hi[:, 0] - lo[:, 0]) / (hi[:, 1] - lo[:, 1])
    u_lo = lo[edge, 0] + slope[edge] * (z[interval] - lo[edge, 1])
    u_hi = lo[edge, 0] + slope[edge] * (z[interval + 1] - lo[edge, 1])
    above, below = np.zeros(len(z) - 1), np.zeros(len(z) - 1)
    np.add.at(above, interval, sign[edge] * u_lo)
    np.add.at(below, interval, sign[edge] * u_hi)
    return Widths(z, above, below)
