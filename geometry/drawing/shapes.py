"""Paths that drawings are made of: straight ways, boxes, circles and arcs, arrows, crosses, hatching."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.drawing.items import Look, Path, Point, Step, Stroke
from geometry.lines import Line

_ARC_STEP = math.pi / 4.0
"""A cubic for an eighth of a circle strays from it by four millionths of the radius (common textbook formula)."""


def polyline(points: Sequence[Point], *, closed: bool = False) -> Path:
    """Return the straight way through points."""
    return Path(points[0], tuple((p,) for p in points[1:]), closed)


def segment(a: Point, b: Point) -> Path:
    """Return the straight way between two points."""
    return Path(a, ((b,),))


def rectangle(left: float, bottom: float, width: float, height: float) -> Path:
    """Return an upright rectangle from its lower left corner."""
    right, top = left + width, bottom + height
    return polyline([(left, bottom), (right, bottom), (right, top), (left, top)], closed=True)


def line_path(line: Line) -> Path:
    """Return a drawn line as it stands: its exact cubics, and its straight stretches as straight steps."""
    steps: list[Step] = []
    for piece, is_straight in zip(line.pieces.tolist(), line.is_straight.tolist(), strict=True):
        p1, p2, p3 = ((float(u), float(z)) for u, z in piece[1:])
        steps.append((p3,) if is_straight else (p1, p2, p3))
    u, z = line.start
    return Path((float(u), float(z)), tuple(steps))


def arc(centre: Point, radius: float, from_deg: float, to_deg: float) -> Path:
    """Return an arc of a circle as cubics, counter-clockwise where ``to_deg`` is greater.

    Each cubic spans at most an eighth of a circle; its handles are 4/3 tan(angle / 4) of the radius long (textbook).
    """
    a, b = math.radians(from_deg), math.radians(to_deg)
    count = max(1, math.ceil(abs(b - a) / _ARC_STEP - 1e-9))
    step = (b - a) / count
    handle = 4.0 / 3.0 * math.tan(step / 4.0) * radius

    def at(angle: float) -> Point:
        return (centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle))

    def ahead(angle: float, by: float) -> Point:
        x, y = at(angle)
        return (x - by * math.sin(angle), y + by * math.cos(angle))

    angles = [a + i * step for i in range(count + 1)]
    steps = tuple((ahead(p, handle), ahead(q, -handle), at(q)) for p, q in zip(angles, angles[1:], strict=False))
    return Path(at(a), steps)


def circle(centre: Point, radius: float) -> Path:
    """Return a whole circle."""
    whole = arc(centre, radius, 0.0, 360.0)
    return Path(whole.start, whole.steps, closed=True)


def arrow(tail: Point, head: Point, width: float, length: float) -> tuple[Path, Path]:
    """Return the shaft of an arrow and its head, to be filled; ``width`` and ``length`` are the head's."""
    along = math.dist(tail, head)
    ux, uy = (head[0] - tail[0]) / along, (head[1] - tail[1]) / along
    neck = (head[0] - length * ux, head[1] - length * uy)
    left = (neck[0] - width / 2.0 * uy, neck[1] + width / 2.0 * ux)
    right = (neck[0] + width / 2.0 * uy, neck[1] - width / 2.0 * ux)
    return segment(tail, neck), polyline([head, left, right], closed=True)


def cross(at: Point, reach: float) -> tuple[Path, Path]:
    """Return the two strokes of an upright cross."""
    x, y = at
    return segment((x - reach, y), (x + reach, y)), segment((x, y - reach), (x, y + reach))


def paths_of(shape: BaseGeometry) -> list[Path]:
    """Return the outlines and lines of a plane shape of straight edges."""
    out: list[Path] = []
    for part in _parts(shape):
        if part.geom_type == "Polygon":
            rings = [part.exterior, *part.interiors]
            out += [polyline(_points(ring)[:-1], closed=True) for ring in rings]
        elif part.geom_type in ("LineString", "LinearRing"):
            out.append(polyline(_points(part)))
    return out


def hatching(shape: BaseGeometry, spacing: float, degrees: float = 45.0) -> list[Path]:
    """Return parallel strokes over a plane shape, ``spacing`` apart, all on one grid through the origin."""
    if shape.is_empty:
        return []
    angle = math.radians(degrees)
    along, across = np.array([math.cos(angle), math.sin(angle)]), np.array([-math.sin(angle), math.cos(angle)])
    low, high = np.array(shape.bounds[:2]), np.array(shape.bounds[2:])
    middle, reach = (low + high) / 2.0, float(np.hypot(*(high - low))) / 2.0 + spacing
    centre = float(middle @ across)
    first, last = math.ceil((centre - reach) / spacing), math.floor((centre + reach) / spacing)
    base = middle - centre * across
    rows = [base + n * spacing * across for n in range(first, last + 1)]
    strokes = shapely.MultiLineString([[tuple(row - reach * along), tuple(row + reach * along)] for row in rows])
    return paths_of(shapely.intersection(strokes, shape))


def strokes(paths: Iterable[Path], layer: str, look: Look) -> list[Stroke]:
    """Return strokes that look alike."""
    return [Stroke(path, layer, look) for path in paths]


def _parts(shape: BaseGeometry) -> list[BaseGeometry]:
    if shape.is_empty:
        return []
    if hasattr(shape, "geoms"):
        return [inner for part in shape.geoms for inner in _parts(part)]
    return [shape]


def _points(curve: BaseGeometry) -> list[Point]:
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(curve)]
