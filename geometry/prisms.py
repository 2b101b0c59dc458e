"""Regions of a plane carried straight along the blade, as closed bodies."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import manifold3d
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.project import CutName
from geometry.solids import FloatArray, IntArray
from geometry.tolerances import DRAWN_APART_MM, PLACE_MM


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """A plane and the blade square to it, in the blank's coordinates.

    Attributes
    ----------
    across, up : (3,) unit vectors of the plane's axes (s, t)
    blade : (3,) unit vector along the blade, from the drawn face to the far one; across × up points against it
    """

    across: FloatArray
    up: FloatArray
    blade: FloatArray


STRAIGHT: Final[dict[CutName, Frame]] = {
    "front": Frame(np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0, 0.0])),
    "side": Frame(np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]), np.array([-1.0, 0.0, 0.0])),
}
"""How straight stock is sawn: the front line along +y, the side line along -x."""


def prism(region: BaseGeometry, frame: Frame, low: float, high: float) -> manifold3d.Manifold:
    """Return a plane region carried along the blade from ``low`` to ``high``, in millimetres along it.

    Parameters
    ----------
    region : polygons in the frame's (s, t)
    """
    polygons = shapely.get_parts(_clear_of_touching(region))
    bodies = [_prism(polygon, frame, low, high) for polygon in polygons if polygon.area > 0.0]
    if not bodies:
        return manifold3d.Manifold()
    # the polygons of a region do not overlap, so their prisms need no union
    return bodies[0] if len(bodies) == 1 else manifold3d.Manifold.compose(bodies)


def _clear_of_touching(region: BaseGeometry) -> BaseGeometry:
    """Return the region with boundaries that touch in a point drawn apart by no more than rounding.

    Where a slot just grazes the face's edge, wood is left that hangs together in a single point. Such a point is a
    legal corner of two polygons, but carried through the block it is an edge met by four faces, at which the
    booleans lose wood without a word; and no wood holds together along a line anyway.
    """
    rings = shapely.get_rings(shapely.get_parts(region))
    if len(rings) < 2:
        return region
    near, far = np.triu_indices(len(rings), k=1)
    if (shapely.distance(rings[near], rings[far]) > PLACE_MM).all():
        return region
    return shapely.buffer(region, -DRAWN_APART_MM, join_style="mitre")


def _prism(polygon: shapely.Polygon, frame: Frame, low: float, high: float) -> manifold3d.Manifold:
    polygon = shapely.orient_polygons(polygon)
    rings = [shapely.get_coordinates(r)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    plane = np.concatenate(rings)
    n = len(plane)
    cap: IntArray = np.asarray(manifold3d.triangulate(rings), dtype=np.int64)
    sides = []
    start = 0
    for ring in rings:
        i = np.arange(start, start + len(ring))
        j = np.roll(i, -1)
        sides += [np.stack([i, j, j + n], axis=1), np.stack([i, j + n, i + n], axis=1)]
        start += len(ring)
    # across, up and against the blade are right-handed: the far cap comes first, the drawn one last
    triangles = np.concatenate([cap[:, ::-1], cap + n, *sides])
    flat = plane[:, :1] * frame.across + plane[:, 1:] * frame.up
    points = np.concatenate([flat + high * frame.blade, flat + low * frame.blade])
    return manifold3d.Manifold(manifold3d.Mesh64(vert_properties=points, tri_verts=triangles.astype(np.uint64)))
