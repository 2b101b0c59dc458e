"""A .glb file with the wood baked into one picture, which looks the same in any viewer. VTK draws the picture."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, cast

import numpy as np

from app.scene.window import CANNOT_DRAW, choose_window_kind
from app.scene.wood.atlas import Atlas, Placed, atlas_of, sheets_of
from app.scene.wood.table import table_of
from geometry.coloured_meshes import move_between
from geometry.errors import OutputError
from geometry.meshes import TO_GLTF, Parts
from geometry.piece import Piece, require_wood
from geometry.print_bed import laid_flat
from geometry.solids import FloatArray, Solid
from geometry.tapering import frustum
from geometry.turning import GLUED, placements

if TYPE_CHECKING:
    from PIL.Image import Image

_QUALITY = 92
_ROUGHNESS = 0.55
_ON_GLUE_MM = 1e-5


def textured_glb(piece: Piece, parts: Parts, scale: float = 1.0) -> bytes:
    """Return a .glb of the bodies that ``bodies_for`` names, in their wood; of the glued piece its four quarters.

    Faces that lie glued together inside the piece are left out.

    Raises
    ------
    NoSolidError
        there is no wood
    OutputError
        this machine cannot draw
    """
    bodies = _bodies(piece, parts)
    if not bodies:
        require_wood(piece.quarters[0], f"the {parts}")
    grow = np.diag([scale, scale, scale, 1.0])
    sheets = []
    for index, (_, solid, move) in enumerate(bodies):
        found = sheets_of(solid, index)
        sheets += [s for s in found if parts != "piece" or not _is_glued(s.points, move)]
    atlas = atlas_of(sheets)
    picture = _baked(piece, atlas)
    return _glb([(name, TO_GLTF @ grow @ move) for name, _, move in bodies], atlas, picture)


def _bodies(piece: Piece, parts: Parts) -> list[tuple[str, Solid, FloatArray]]:
    """Return names, bodies in block coordinates, and moves to where they are to stand."""
    blank = piece.variant.blank
    if parts == "blank":
        return [("blank", frustum(blank), np.eye(4))]
    numbered = [(f"quarter {i}", q) for i, q in enumerate(piece.quarters, start=1)]
    if parts == "piece":
        moves = placements(blank, piece.quarters, GLUED)
        return [(name, q, m) for (name, q), m in zip(numbered, moves, strict=True) if not q.is_empty]
    standing = [(name, q) for name, q in numbered if not q.is_empty]
    lying = laid_flat(piece.quarters, piece.variant.blank)
    return [(n, q, move_between(q.vertices, on.vertices)) for (n, q), on in zip(standing, lying, strict=True)]


def _is_glued(points: FloatArray, move: FloatArray) -> bool:
    """Tell a flat that lies on one of the planes in which the quarters are glued."""
    there = np.abs(points @ move[:3, :3].T + move[:3, 3])
    return bool((there[:, :2].max(axis=0) < _ON_GLUE_MM).any())


def _baked(piece: Piece, atlas: Atlas) -> Image:
    choose_window_kind()
    try:
        from app.scene.wood.bake import Strip, bake
    except ImportError as reason:
        raise OutputError(CANNOT_DRAW) from reason
    from PIL import Image as images

    strips = [Strip(one.x, one.y, one.width, one.height, *atlas.strip(one)) for one in atlas.placed]
    drawn = bake(table_of(piece.variant), strips, atlas.width, atlas.height)
    packed = io.BytesIO()
    images.fromarray(drawn[::-1]).save(packed, "JPEG", quality=_QUALITY, subsampling=0)
    return images.open(packed)


def _glb(bodies: list[tuple[str, FloatArray]], atlas: Atlas, picture: Image) -> bytes:
    import trimesh

    material = trimesh.visual.material.PBRMaterial(
        name="wood", baseColorTexture=picture, metallicFactor=0.0, roughnessFactor=_ROUGHNESS
    )
    scene = trimesh.Scene()
    for index, (name, move) in enumerate(bodies):
        mine = [one for one in atlas.placed if one.sheet.body == index]
        points, normals, uv, triangles = _joined(mine, atlas)
        turn = move[:3, :3] / np.cbrt(np.linalg.det(move[:3, :3]))
        mesh = trimesh.Trimesh(
            points @ move[:3, :3].T + move[:3, 3],
            triangles,
            vertex_normals=normals @ turn.T,
            process=False,
            visual=trimesh.visual.TextureVisuals(uv=uv, material=material),
        )
        scene.add_geometry(mesh, node_name=name, geom_name=name)
    return cast(bytes, scene.export(file_type="glb", include_normals=True))


def _joined(mine: list[Placed], atlas: Atlas) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    first = np.cumsum([0, *(len(one.sheet.points) for one in mine)])
    return (
        np.concatenate([one.sheet.points for one in mine]),
        np.concatenate([one.sheet.normals for one in mine]),
        np.concatenate([atlas.uv(one) for one in mine]),
        np.concatenate([one.sheet.triangles + at for one, at in zip(mine, first[:-1], strict=True)]),
    )
