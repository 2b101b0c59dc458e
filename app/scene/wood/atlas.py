"""A body's surface laid flat, face by face, so that its wood can be baked into one picture. Plain numpy, no VTK.

A sawn face is ruled along the blade, so it unrolls without stretching: its length is measured along the line that
was sawn. Flats and ends are the plainest case of that. Because the wood is solid, no joint between two pieces of
the picture can show.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components, dijkstra

from app.scene.mesh import DisplayMesh, display_mesh
from geometry.solids import FloatArray, IntArray, Solid

FINEST_MM = 0.15
"""A texel need not be finer than this: a small pore."""

TEXELS = 4.2e6
LARGEST_SIDE_PX = 4096
_PAD = 3
"""Texels of wood round each face, for viewers that blend neighbours."""

_INSET_MM = 0.02

_STRETCH_MM = 0.01
"""A face unrolled to within this is unrolled."""

_FOLD_MM2 = 1e-3
"""Slivers may be turned over, no more than that."""

_ON_MM = 1e-5
"""A place this near to a line lies on it."""

_FLAT = 1e-9
"""Normals that spread less than this, relative to their size, are one normal."""


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """One face laid flat.

    Attributes
    ----------
    body : which of the bodies it belongs to
    points, normals : (k, 3) its vertices, block coordinates
    triangles : (m, 3) into them
    flat : (k, 2) where they lie on the sheet: along the sawn line and along the blade, mm, from 0
    along : (c,) where the line bends, from 0 to the sheet's length
    line : (c, 3) the surface there, at the sheet's lower side, a little inside the wood
    blade : (3,) unit vector from the lower side to the upper
    """

    body: int
    points: FloatArray
    normals: FloatArray
    triangles: IntArray
    flat: FloatArray
    along: FloatArray
    line: FloatArray
    blade: FloatArray

    @property
    def size(self) -> tuple[float, float]:
        """Length and height, mm."""
        return float(self.along[-1]), float(self.flat[:, 1].max())


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A sheet's rectangle in the picture: its lower left corner and its size in texels, padding included."""

    sheet: Sheet
    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True, eq=False)
class Atlas:
    """All sheets of some bodies in one picture of ``width`` by ``height`` texels of ``texel`` mm."""

    placed: tuple[Placed, ...]
    width: int
    height: int
    texel: float

    def uv(self, one: Placed) -> FloatArray:
        """Return where a sheet's vertices lie in the picture, (k, 2) from 0 to 1, from the lower left corner."""
        corner = np.array([one.x + _PAD, one.y + _PAD])
        return (corner + one.sheet.flat / self.texel) / np.array([self.width, self.height])

    def strip(self, one: Placed) -> tuple[FloatArray, FloatArray]:
        """Return a rectangle's columns (c,) from 0 to 1 and its surface (2, c, 3) at the lower and upper side."""
        sheet = one.sheet
        start, end = -_PAD * self.texel, (one.width - _PAD) * self.texel
        along = np.concatenate([[start], sheet.along[1:-1], [max(end, sheet.along[-1])]])
        line = np.concatenate([
            [_onward(sheet.line[1], sheet.line[0], sheet.along[1] - sheet.along[0], -start)],
            sheet.line[1:-1],
            [_onward(sheet.line[-2], sheet.line[-1], sheet.along[-1] - sheet.along[-2], along[-1] - sheet.along[-1])],
        ])  # fmt: skip
        low, high = -_PAD * self.texel, (one.height - _PAD) * self.texel
        points = np.stack([line + low * sheet.blade, line + high * sheet.blade])
        return (along - start) / (along[-1] - start), points


def _onward(before: FloatArray, at: FloatArray, apart: float, by: float) -> FloatArray:
    return at + (at - before) * (by / apart if apart > 0.0 else 0.0)


def sheets_of(solid: Solid, body: int = 0) -> list[Sheet]:
    """Return the faces of a solid laid flat."""
    mesh = display_mesh(solid)
    if not len(mesh.triangles):
        return []
    corners = mesh.points[mesh.triangles]
    area = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    # by the cut it comes from: the front's faces stand square to x or nearly, seen along y; the side's the other way
    by_front = np.abs(area[:, 1]) <= np.abs(area[:, 0])
    count = len(mesh.points)
    sheets = []
    for mine in (by_front, ~by_front):
        triangles = mesh.triangles[mine]
        if not len(triangles):
            continue
        one, two = triangles.ravel(), triangles[:, [1, 2, 0]].ravel()
        links = coo_array((np.ones(len(one), np.int8), (one, two)), shape=(count, count))
        label = connected_components(links, directed=False)[1][triangles[:, 0]]
        for k in np.unique(label):
            sheets += _laid(mesh, triangles[label == k], area[mine][label == k], body)
    return sheets


def _laid(mesh: DisplayMesh, triangles: IntArray, area: FloatArray, body: int) -> list[Sheet]:
    """Lay one smooth face flat; should it not unroll in one, lay each of its flat parts by itself."""
    for closely in (False, True):
        sheet = _sheet(mesh, triangles, area, body, closely)
        if sheet is None or _is_true(sheet):
            return [] if sheet is None else [sheet]
    normal = area / np.linalg.norm(area, axis=1, keepdims=True).clip(1e-12)
    height = np.einsum("ni,ni->n", normal, mesh.points[triangles[:, 0]])
    plane = np.unique(np.round(np.column_stack([normal * 1e5, height * 1e2])), axis=0, return_inverse=True)[1].ravel()
    parts = [_sheet(mesh, triangles[plane == k], area[plane == k], body) for k in np.unique(plane)]
    return [part for part in parts if part is not None]


def _is_true(sheet: Sheet) -> bool:
    """Tell that no triangle was stretched or turned over."""
    three, flat = sheet.points[sheet.triangles], sheet.flat[sheet.triangles]
    a, b = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    turn = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    if (np.abs(turn).sum() - np.abs(turn.sum())) > _FOLD_MM2:
        return False
    for one, two in ((0, 1), (1, 2), (2, 0)):
        true = np.linalg.norm(three[:, one] - three[:, two], axis=1)
        if (np.abs(np.linalg.norm(flat[:, one] - flat[:, two], axis=1) - true) > _STRETCH_MM).any():
            return False
    return True


def _sheet(
    mesh: DisplayMesh, triangles: IntArray, area: FloatArray, body: int, closely: bool = False
) -> Sheet | None:  # fmt: skip
    used, local = np.unique(triangles, return_inverse=True)
    local = local.reshape(-1, 3).astype(np.int64)
    points, normals = mesh.points[used], mesh.normals[used]
    if not np.linalg.norm(area, axis=1).sum() > 0.0:
        return None  # slivers that rounding left
    blade = _blade(area)
    across = points @ blade
    profile = points - across[:, None] * blade
    place, first, where = np.unique(np.round(profile, 6), axis=0, return_index=True, return_inverse=True)
    where = where.ravel()
    spread = np.linalg.eigvalsh(np.einsum("ni,nj->ij", area, area))
    if spread[1] < _FLAT * spread[2]:  # all in one plane: straight across the blade
        length = place @ np.cross(area.sum(axis=0) / np.linalg.norm(area.sum(axis=0)), blade)
        length = length - length.min()
    else:
        length = _along(place, where[local], closely)
    order = np.argsort(length)
    inside = profile[first] - _INSET_MM * normals[first] + across.min() * blade
    flat = np.stack([length[where], across - across.min()], axis=1)
    if len(order) < 2:
        return None
    return Sheet(body, points, normals, local, flat, length[order], inside[order], blade)


def _blade(area: FloatArray) -> FloatArray:
    """Return the direction (3,) along which a face is ruled: square to all its normals. Flat ones: along x or y."""
    spread = np.einsum("ni,nj->ij", area, area / np.linalg.norm(area, axis=1, keepdims=True).clip(1e-12))
    for axis in (1, 0):
        if spread[axis, axis] < 1e-10 * np.trace(spread):
            return np.eye(3)[axis]
    return np.asarray(np.linalg.eigh(spread)[1][:, 0])


def _along(place: FloatArray, triangles: IntArray, closely: bool) -> FloatArray:
    """Return how far along the sawn line each of its points (n, 3) lies, from one end.

    Parameters
    ----------
    closely : also join a point to the ends of every edge that it lies on, though no triangle does so: where the
        other cut leaves islands of the face, nothing else holds them in their place
    """
    corner = np.sort(np.stack([triangles, triangles[:, [1, 2, 0]]], axis=2).reshape(-1, 2), axis=1)
    pairs = np.unique(corner[corner[:, 0] != corner[:, 1]], axis=0)
    if closely:
        start, run = place[pairs[:, 0]], place[pairs[:, 1]] - place[pairs[:, 0]]
        share = np.einsum("nei,ei->ne", place[:, None] - start, run) / np.einsum("ei,ei->e", run, run)
        off = np.linalg.norm(place[:, None] - start - share[..., None] * run, axis=2)
        who, which = np.nonzero((off < _ON_MM) & (share > 0.0) & (share < 1.0))
        more = [np.stack([who, pairs[which, end]], axis=1) for end in (0, 1)]
        pairs = np.concatenate([pairs, *more])
        pairs = np.unique(np.sort(pairs[pairs[:, 0] != pairs[:, 1]], axis=1), axis=0)
    apart = np.linalg.norm(place[pairs[:, 0]] - place[pairs[:, 1]], axis=1)
    links = coo_array((apart, (pairs[:, 0], pairs[:, 1])), shape=(len(place), len(place))).tocsr()
    reach = dijkstra(links, directed=False, indices=0)
    end = int(np.argmax(np.where(np.isfinite(reach), reach, -1.0)))
    length: NDArray[np.float64] = dijkstra(links, directed=False, indices=end)
    return np.where(np.isfinite(length), length, 0.0)


def atlas_of(sheets: Sequence[Sheet]) -> Atlas:
    """Arrange sheets in one picture, the longest lowermost, as fine as its size allows."""
    sizes = np.array([sheet.size for sheet in sheets])
    texel = max(FINEST_MM, float(sizes.max()) / (LARGEST_SIDE_PX - 2 * _PAD - 1))
    texel = max(texel, float(np.sqrt(1.12 * np.prod(sizes, axis=1).sum() / TEXELS)))
    while True:
        texels = np.ceil(sizes / texel).astype(int) + 2 * _PAD
        longest = int(texels[:, 0].max())
        widths = [n * longest for n in range(1, LARGEST_SIDE_PX // longest + 1)]
        tried = [(width, *_shelves(texels, width)) for width in widths]
        width, places, height = min(tried, key=lambda one: one[0] * one[2])
        if height <= LARGEST_SIDE_PX:
            break
        texel *= 1.1
    placed = tuple(
        Placed(sheet, x, y, int(w), int(h)) for sheet, (x, y), (w, h) in zip(sheets, places, texels, strict=True)
    )
    return Atlas(placed, width, height, texel)


def _shelves(sizes: IntArray, width: int) -> tuple[list[tuple[int, int]], int]:
    """Place rectangles (n, 2) in rows, the highest first; return their lower left corners and the height of all."""
    places = [(0, 0)] * len(sizes)
    x = y = row = 0
    for index in np.lexsort((-sizes[:, 0], -sizes[:, 1])):
        w, h = (int(v) for v in sizes[index])
        if x + w > width:
            x, y, row = 0, y + row, 0
        places[index] = (x, y)
        x, row = x + w, max(row, h)
    return places, y + row
