"""From a solid to what a renderer wants: corners with normals, smooth where sawn in a curve, sharp at an arris.

Plain numpy and scipy; a body of 2,000 triangles takes a few milliseconds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from geometry.solids import Solid

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

CREASE_DEG = 35.0
"""Faces that meet at more than this have an arris between them."""

FACET_SAGITTA_MM = 0.15
"""Two facets whose bend stands further than this off a curve through them were drawn as a corner. Curves are
sampled to 0.05 mm for the screen; three times that leaves room for uneven sampling."""

COPLANAR_DEG = 0.05
"""Triangles this close to one plane are one facet of the same face."""

SLIVER_MM = 1e-4
"""A triangle lower than this has no dependable normal; it takes its neighbour's."""


@dataclass(frozen=True, slots=True, eq=False)
class DisplayMesh:
    """A body ready to be drawn, still in block coordinates.

    Attributes
    ----------
    points : (k, 3) float64, mm; a vertex of the solid appears once per smooth face that uses it
    normals : (k, 3) float64, unit, outward
    triangles : (m, 3) int64 into ``points``, counter-clockwise from outside
    arrises : (s, 2, 3) float64, mm; the outside edges, one straight stretch each
    arris_normals : (s, 2, 3) float64; at each end the mean of the two faces' normals, as if the edge were eased
    """

    points: FloatArray
    normals: FloatArray
    triangles: IntArray
    arrises: FloatArray
    arris_normals: FloatArray


def _unit(vectors: FloatArray) -> FloatArray:
    length = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return vectors / np.where(length > 0.0, length, 1.0)


def _groups(count: int, first: IntArray, second: IntArray) -> IntArray:
    """Label ``count`` items so that linked ones share a label."""
    links = coo_array((np.ones(len(first), dtype=np.int8), (first, second)), shape=(count, count))
    return connected_components(links, directed=False)[1].astype(np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class _Edges:
    """Each edge once: the triangle on either side, and which of its corners starts it there."""

    left: IntArray  # (e,) triangle in which the edge runs start -> end
    right: IntArray  # (e,) triangle in which it runs end -> start
    left_corner: IntArray  # (e,) 0..2, the corner of ``left`` at the edge's start
    right_corner: IntArray  # (e,) 0..2, the corner of ``right`` at the edge's end


def _edges(triangles: IntArray) -> _Edges:
    count = len(triangles)
    start = triangles.ravel()
    end = triangles[:, [1, 2, 0]].ravel()
    size = int(triangles.max()) + 1
    forward = start * size + end
    backward = end * size + start
    order = np.argsort(forward, kind="stable")
    place = np.minimum(np.searchsorted(forward, backward, sorter=order), 3 * count - 1)
    mate = order[place]
    # An open edge has no mate; leaving it out keeps a faulty body visible instead of raising.
    once = (forward[mate] == backward) & (start < end)
    here = np.flatnonzero(once)
    there = mate[once]
    return _Edges(here // 3, there // 3, here % 3, there % 3)


def _face_normals(corners: FloatArray, edges: _Edges) -> tuple[FloatArray, FloatArray]:
    """Unit normals (m, 3) and areas (m,), slivers mended from the neighbour across their longest edge."""
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    doubled = np.linalg.norm(cross, axis=1)
    sides = np.linalg.norm(corners[:, [1, 2, 0]] - corners, axis=2)
    normals = cross / np.where(doubled > 0.0, doubled, 1.0)[:, None]
    sliver = doubled < SLIVER_MM * sides.max(axis=1)
    if sliver.any():
        longest = sides.argmax(axis=1)
        across = np.arange(len(corners))
        hit = longest[edges.left] == edges.left_corner
        across[edges.left[hit]] = edges.right[hit]
        hit = longest[edges.right] == edges.right_corner
        across[edges.right[hit]] = edges.left[hit]
        for _ in range(3):  # slivers may lie side by side
            normals[sliver] = normals[across[sliver]]
    return normals, 0.5 * doubled


def _corner_angles(corners: FloatArray) -> FloatArray:
    """The three inside angles of each triangle, (m, 3) radians."""
    ahead = _unit(corners[:, [1, 2, 0]] - corners)
    cosine = np.einsum("mci,mci->mc", ahead, -ahead[:, [2, 0, 1]])
    return np.arccos(np.clip(cosine, -1.0, 1.0))


def display_mesh(solid: Solid, crease_deg: float = CREASE_DEG) -> DisplayMesh:
    """Split a solid's vertices at its arrises and give every corner a normal.

    A normal is the mean over the facets that meet smoothly there, each weighted by its whole area, so that a
    long flat stretch stays flat where it runs into a curve.

    Parameters
    ----------
    solid : Solid
        Closed, outward; an empty one gives an empty mesh.
    crease_deg : float
        Faces that meet at more than this stay sharp.
    """
    if solid.is_empty:
        none = np.zeros((0, 3))
        return DisplayMesh(none, none, np.zeros((0, 3), np.int64), np.zeros((0, 2, 3)), np.zeros((0, 2, 3)))
    triangles = np.asarray(solid.triangles, dtype=np.int64)
    corners = np.asarray(solid.vertices, dtype=np.float64)[triangles]
    count = len(triangles)
    edges = _edges(triangles)
    face, area = _face_normals(corners, edges)

    # How sharply each edge bends, and over what width.
    here, there = face[edges.left], face[edges.right]
    bend = np.arctan2(np.linalg.norm(np.cross(here, there), axis=1), np.einsum("ei,ei->e", here, there))
    flat = bend < np.radians(COPLANAR_DEG)
    facet = _groups(count, edges.left[flat], edges.right[flat])
    facet_area = np.bincount(facet, area)
    start = corners[edges.left, edges.left_corner]
    end = corners[edges.left, (edges.left_corner + 1) % 3]
    width = _lesser_height(corners, edges, start, end)
    sharp = (bend > np.radians(crease_deg)) | (width * bend / 8.0 > FACET_SAGITTA_MM)

    # Corners that meet across a smooth edge share one normal.
    smooth = ~sharp
    left, right = 3 * edges.left, 3 * edges.right
    next_left, next_right = (edges.left_corner + 1) % 3, (edges.right_corner + 1) % 3
    first = np.concatenate([(left + edges.left_corner)[smooth], (left + next_left)[smooth]])
    second = np.concatenate([(right + next_right)[smooth], (right + edges.right_corner)[smooth]])
    shared = _groups(3 * count, first, second)

    weight = (_corner_angles(corners) * facet_area[facet][:, None]).ravel()
    spread = np.repeat(face, 3, axis=0) * weight[:, None]
    normals = _unit(np.stack([np.bincount(shared, spread[:, axis]) for axis in range(3)], axis=1))
    points = np.zeros_like(normals)
    points[shared] = corners.reshape(-1, 3)

    # An arris catches the light only where it stands out; an inside corner does not.
    opposite = corners[edges.right, (edges.right_corner + 2) % 3]
    outside = np.einsum("ei,ei->e", opposite - start, here) < 0.0
    kept = sharp & outside
    at_start = normals[shared[left + edges.left_corner]] + normals[shared[right + next_right]]
    at_end = normals[shared[left + next_left]] + normals[shared[right + edges.right_corner]]
    return DisplayMesh(
        points=points,
        normals=normals,
        triangles=shared.reshape(-1, 3),
        arrises=np.stack([start[kept], end[kept]], axis=1),
        arris_normals=_unit(np.stack([at_start[kept], at_end[kept]], axis=1)),
    )


def _lesser_height(corners: FloatArray, edges: _Edges, start: FloatArray, end: FloatArray) -> FloatArray:
    """The lower of the two triangles' heights over each edge, (e,) mm: how wide the narrower facet is there."""
    along = _unit(end - start)
    heights = []
    for side, corner in ((edges.left, edges.left_corner), (edges.right, edges.right_corner)):
        apex = corners[side, (corner + 2) % 3] - start
        heights.append(np.linalg.norm(np.cross(apex, along), axis=1))
    return np.minimum(heights[0], heights[1])
