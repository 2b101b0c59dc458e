"""From two sawn faces to four quarters: prisms and the booleans between them, in double precision.

manifold3d gives an empty solid instead of raising; whatever it gives is looked at once, here, and what travels on is
a closed `Solid` or none.
"""

from __future__ import annotations

import manifold3d
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.errors import NoSolidError
from geometry.project import CutName
from geometry.slots import SawnFace
from geometry.solids import NO_WOOD, Solid
from geometry.tolerances import CUTTER_OVERSHOOT_MM, DRAWN_APART_MM, LOOSE_BODY_MM3, PLACE_MM

QUARTER_SIGNS: tuple[tuple[int, int], ...] = ((-1, -1), (1, -1), (1, 1), (-1, 1))
"""(sx, sy) of the outside corner of quarters 1 to 4: front left, front right, back right, back left."""


def prism(region: BaseGeometry, cut: CutName, low: float, high: float) -> manifold3d.Manifold:
    """Return a face's region carried along the direction in which that face is sawn.

    Parameters
    ----------
    region : polygons in (u, z)
    cut : "front" carries along y from ``low`` to ``high`` with x = u; "side" along x with y = u
    """
    polygons = shapely.get_parts(_clear_of_touching(region))
    bodies = [_prism(polygon, cut, low, high) for polygon in polygons if polygon.area > 0.0]
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


def _prism(polygon: shapely.Polygon, cut: CutName, low: float, high: float) -> manifold3d.Manifold:
    polygon = shapely.orient_polygons(polygon)
    rings = [shapely.get_coordinates(r)[:-1] for r in (polygon.exterior, *polygon.interiors)]
    ring_points = np.concatenate(rings)
    n = len(ring_points)
    cap = np.asarray(manifold3d.triangulate(rings), dtype=np.int64)
    sides = []
    start = 0
    for ring in rings:
        i = np.arange(start, start + len(ring))
        j = np.roll(i, -1)
        sides += [np.stack([i, j, j + n], axis=1), np.stack([i, j + n, i + n], axis=1)]
        start += len(ring)
    # (u, z, w) with w = -y for the front face and w = x for the right face is right-handed
    near, far = (-high, -low) if cut == "front" else (low, high)
    triangles = np.concatenate([cap[:, ::-1], cap + n, *sides])
    points = np.zeros((2 * n, 3))
    w = np.repeat([near, far], n)
    u, z = np.tile(ring_points[:, 0], 2), np.tile(ring_points[:, 1], 2)
    points[:] = np.stack([u, -w, z] if cut == "front" else [w, u, z], axis=1)
    mesh = manifold3d.Mesh64(vert_properties=points, tri_verts=triangles.astype(np.uint64))
    return manifold3d.Manifold(mesh)


def checked(solid: manifold3d.Manifold) -> Solid:
    """Return a boolean's result as a `Solid`, empty where there is no wood; raise `NoSolidError` on a failure."""
    if solid.status() != manifold3d.Error.NoError:
        raise NoSolidError(f"the solid could not be computed ({solid.status().name})")
    if solid.is_empty():
        return NO_WOOD
    mesh = solid.to_mesh64()
    return Solid(np.array(mesh.vert_properties[:, :3], dtype=np.float64), np.array(mesh.tri_verts, dtype=np.int64))


def saw_quarters(front: SawnFace, side: SawnFace) -> tuple[Solid, Solid, Solid, Solid]:
    """Return the four quarters in the blank's coordinates, numbered 1 to 4.

    Each is the front region carried through the depth, which already ends flush with the blank, cut by the side
    region carried through the width and past it.
    """
    reach = front.half + CUTTER_OVERSHOOT_MM
    halves = {sx: prism(front.left if sx < 0 else front.right, "front", -side.half, side.half) for sx in (-1, 1)}
    cutters = {sy: prism(side.left_cutter if sy < 0 else side.right_cutter, "side", -reach, reach) for sy in (-1, 1)}
    q1, q2, q3, q4 = (checked(halves[sx] ^ cutters[sy]) for sx, sy in QUARTER_SIGNS)
    return q1, q2, q3, q4


def to_manifold(solid: Solid) -> manifold3d.Manifold:
    """Return the body as manifold3d's own type."""
    return manifold3d.Manifold(
        manifold3d.Mesh64(vert_properties=solid.vertices, tri_verts=solid.triangles.astype(np.uint64))
    )


def bodies_of(solid: Solid) -> list[Solid]:
    """Return the separate bodies of a solid, largest first, without what is smaller than a grain of dust."""
    if solid.is_empty:
        return []
    parts = [m for m in to_manifold(solid).decompose() if abs(m.volume()) > LOOSE_BODY_MM3]
    return [checked(m) for m in sorted(parts, key=lambda m: -m.volume())]


def intersect_profiles(front: BaseGeometry, side: BaseGeometry, width: float, depth: float) -> Solid:
    """Return {(x, z) in P} ∩ {(y, z) in Q}: the glued piece of straight stock, as one solid.

    Parameters
    ----------
    front, side : the profiles P in (x, z) and Q in (y, z), both ending flush at foot and top
    width, depth : sizes of the blank, beyond which no profile reaches
    """
    p = prism(front, "front", -depth - CUTTER_OVERSHOOT_MM, depth + CUTTER_OVERSHOOT_MM)
    q = prism(side, "side", -width - CUTTER_OVERSHOOT_MM, width + CUTTER_OVERSHOOT_MM)
    return checked(p ^ q)
