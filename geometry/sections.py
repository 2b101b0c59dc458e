"""Sections square to the piece's length: area, centroid and second moments of their true polygons.

On a tapered blank the profiles are taken as drawn; the glued section differs by the square of the taper's slope.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.piece import Piece
from geometry.slots import sloped_edges
from geometry.solids import FloatArray
from geometry.tolerances import SPECK_MM2


@dataclass(frozen=True, slots=True)
class SectionMoments:
    """What a plane section amounts to.

    Attributes
    ----------
    area_mm2 : area
    x_mm, y_mm : centroid
    ixx_mm4, iyy_mm4, ixy_mm4 : ∫y² dA, ∫x² dA and ∫xy dA about the centroid
    """

    area_mm2: float
    x_mm: float
    y_mm: float
    ixx_mm4: float
    iyy_mm4: float
    ixy_mm4: float


def polygon_moments(region: BaseGeometry) -> SectionMoments | None:
    """Return the moments of straight-edged polygons, holes and all, by the shoelace formula; None without area.

    Textbook (Green's theorem along each edge): outer rings count counter-clockwise, holes clockwise.
    """
    polygons = [p for p in shapely.get_parts(region) if p.geom_type == "Polygon"] if not region.is_empty else []
    rings: list[FloatArray] = []
    for polygon in polygons:
        polygon = shapely.orient_polygons(polygon)
        rings += [shapely.get_coordinates(ring) for ring in (polygon.exterior, *polygon.interiors)]
    if not rings:
        return None
    # about the middle of the bounds, so that no large numbers cancel
    x0, y0, x1, y1 = region.bounds
    middle = np.array([(x0 + x1) / 2.0, (y0 + y1) / 2.0])
    a = np.vstack([ring[:-1] for ring in rings]) - middle
    b = np.vstack([ring[1:] for ring in rings]) - middle
    (ax, ay), (bx, by) = a.T, b.T
    cross = ax * by - bx * ay
    area = float(cross.sum()) / 2.0
    if area <= SPECK_MM2:
        return None
    x = float(((ax + bx) * cross).sum()) / 6.0 / area
    y = float(((ay + by) * cross).sum()) / 6.0 / area
    ixx = float(((ay * ay + ay * by + by * by) * cross).sum()) / 12.0 - area * y * y
    iyy = float(((ax * ax + ax * bx + bx * bx) * cross).sum()) / 12.0 - area * x * x
    ixy = float(((ax * by + 2.0 * (ax * ay + bx * by) + bx * ay) * cross).sum()) / 24.0 - area * x * y
    return SectionMoments(area, x + float(middle[0]), y + float(middle[1]), ixx, iyy, ixy)


def spans_at(region: BaseGeometry, heights: Iterable[float]) -> list[list[tuple[float, float]]]:
    """Return, for each height, the stretches (low, high) across which a profile holds wood there."""
    lo, hi, sign = sloped_edges(region)
    out: list[list[tuple[float, float]]] = []
    for z in heights:
        there = (lo[:, 1] <= z) & (z < hi[:, 1])
        part = (z - lo[there, 1]) / (hi[there, 1] - lo[there, 1])
        u = lo[there, 0] + part * (hi[there, 0] - lo[there, 0])
        # the region lies left of a rising edge (sign 1: its right border), so spans open at -1 and close at 1
        order = np.lexsort((sign[there], u))
        spans: list[tuple[float, float]] = []
        depth, start = 0, 0.0
        for value, s in zip(u[order], sign[there][order], strict=True):
            if depth == 0:
                start = float(value)
            depth -= int(s)
            if depth == 0 and float(value) > start:
                spans.append((start, float(value)))
        out.append(spans)
    return out


def sections_at(piece: Piece, heights: Iterable[float], channel_mm: float | None = None) -> list[BaseGeometry]:
    """Return the section of a piece at each height: a rectangle, several where a line climbs back, or nothing.

    Parameters
    ----------
    piece : the piece
    heights : in millimetres; the top end counts as a hair below it
    channel_mm : bore of a wire channel up the axis, a square hole of that side standing on its corner; or None
    """
    length = piece.variant.blank.length
    zs = [min(max(float(z), 0.0), length * (1.0 - 1e-9)) for z in heights]
    hole = None if channel_mm is None else channel_hole(channel_mm)
    out: list[BaseGeometry] = []
    for xs, ys in zip(spans_at(piece.front.profile, zs), spans_at(piece.side.profile, zs), strict=True):
        boxes = [shapely.box(x0, y0, x1, y1) for x0, x1 in xs for y0, y1 in ys]
        section: BaseGeometry = boxes[0] if len(boxes) == 1 else shapely.MultiPolygon(boxes)
        if hole is not None and boxes:
            section = shapely.difference(section, hole)
        out.append(section)
    return out


def channel_hole(bore_mm: float) -> BaseGeometry:
    """Return the hole that chamfering the blank's four long corners leaves along the axis: a square on its corner."""
    c = bore_mm / math.sqrt(2.0)
    return shapely.Polygon([(c, 0.0), (0.0, c), (-c, 0.0), (0.0, -c)])
