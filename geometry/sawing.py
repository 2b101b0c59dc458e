"""From two sawn faces to four quarters: the booleans between their prisms, in double precision.

manifold3d gives an empty solid instead of raising; whatever it gives is looked at once, here, and what travels on is
a closed `Solid` or none.
"""

from __future__ import annotations

from functools import lru_cache

import manifold3d
import numpy as np
from shapely.geometry.base import BaseGeometry

from geometry.errors import NoSolidError
from geometry.prisms import STRAIGHT, prism
from geometry.slots import SawnFace
from geometry.solids import NO_WOOD, Solid
from geometry.tolerances import CUTTER_OVERSHOOT_MM, LOOSE_BODY_MM3

QUARTER_SIGNS: tuple[tuple[int, int], ...] = ((-1, -1), (1, -1), (1, 1), (-1, 1))
"""(sx, sy) of the outside corner of quarters 1 to 4: front left, front right, back right, back left."""


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
    halves, cutters = _halves(front, side.half), _cutters(side, front.half + CUTTER_OVERSHOOT_MM)
    q1, q2, q3, q4 = (checked(halves[sx] ^ cutters[sy]) for sx, sy in QUARTER_SIGNS)
    return q1, q2, q3, q4


# both are remembered by the identity of the face: while one line is dragged, half of the prisms stay as they were
@lru_cache(maxsize=16)
def _halves(front: SawnFace, reach: float) -> dict[int, manifold3d.Manifold]:
    return {sx: prism(front.left if sx < 0 else front.right, STRAIGHT["front"], -reach, reach) for sx in (-1, 1)}


@lru_cache(maxsize=16)
def _cutters(side: SawnFace, reach: float) -> dict[int, manifold3d.Manifold]:
    regions = {-1: side.left_cutter, 1: side.right_cutter}
    return {sy: prism(region, STRAIGHT["side"], -reach, reach) for sy, region in regions.items()}


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
    p = prism(front, STRAIGHT["front"], -depth - CUTTER_OVERSHOOT_MM, depth + CUTTER_OVERSHOOT_MM)
    q = prism(side, STRAIGHT["side"], -width - CUTTER_OVERSHOOT_MM, width + CUTTER_OVERSHOOT_MM)
    return checked(p ^ q)
