"""Mesh files of a piece: STL, 3MF, GLB and OBJ. trimesh is loaded only here, for STL and GLB, when one is made."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any, Final, Literal, cast, get_args

import numpy as np

from geometry.errors import OutputError
from geometry.piece import Piece, require_wood
from geometry.print_bed import laid_flat
from geometry.solids import FloatArray, Solid
from geometry.tapering import frustum
from geometry.three_mf import PrintObject, PrintPart, three_mf

MeshFormat = Literal["stl", "3mf", "glb", "obj"]
Parts = Literal["piece", "quarters", "blank"]

PARTS: Final[tuple[Parts, ...]] = get_args(Parts)
FORMATS: Final[tuple[MeshFormat, ...]] = get_args(MeshFormat)

SMALLEST_SCALE, LARGEST_SCALE = 0.001, 1000.0

TO_GLTF: Final[FloatArray] = np.array(
    [[0.001, 0, 0, 0], [0, 0, 0.001, 0], [0, -0.001, 0, 0], [0, 0, 0, 1]], dtype=np.float64
)
"""Millimetres with z up to metres with y up and the front towards +z (glTF 2.0, section 3.4): (x, z, -y) / 1000."""


@dataclass(frozen=True, slots=True, eq=False)
class NamedSolid:
    """A body and the name it carries in a file that has names."""

    name: str
    solid: Solid


def format_of(path: str) -> MeshFormat:
    """Return the format a file's ending asks for; raise `OutputError` for any other."""
    ending = PurePath(path).suffix.lower().lstrip(".")
    if ending not in FORMATS:
        raise OutputError(f"{path}: expected a name that ends in .stl, .3mf, .glb or .obj")
    return cast(MeshFormat, ending)


def check_scale(scale: float) -> float:
    """Return the scale; raise `OutputError` unless it is a number from 0.001 to 1000."""
    if not (math.isfinite(scale) and SMALLEST_SCALE <= scale <= LARGEST_SCALE):
        raise OutputError(f"--scale: expected a number from {SMALLEST_SCALE:g} to {LARGEST_SCALE:g}, found {scale:g}")
    return scale


def bodies_for(piece: Piece, parts: Parts, scale: float = 1.0) -> tuple[NamedSolid, ...]:
    """Return the bodies to export, scaled about the origin.

    "piece" is the glued piece as one body where it stands, "quarters" the four laid flat side down on the plane
    z = 0, "blank" the block before any cut.

    Raises
    ------
    NoSolidError
        there is no wood
    """
    if parts == "piece":
        bodies = [NamedSolid("piece", require_wood(piece.glued(), "the piece"))]
    elif parts == "quarters":
        numbers = [i for i, q in enumerate(piece.quarters, start=1) if not q.is_empty]
        lying = laid_flat(piece.quarters, piece.variant.blank)
        if not lying:
            require_wood(piece.quarters[0], "the quarters")
        bodies = [NamedSolid(f"quarter {i}", q) for i, q in zip(numbers, lying, strict=True)]
    else:
        bodies = [NamedSolid("blank", frustum(piece.variant.blank))]
    grow = np.diag([scale, scale, scale, 1.0])
    return tuple(NamedSolid(b.name, b.solid.moved(grow)) for b in bodies)


def mesh_file(bodies: Sequence[NamedSolid], form: MeshFormat) -> bytes:
    """Return the bytes of a mesh file.

    STL is binary and, as it has no units, in millimetres by convention; 3MF says millimetres; GLB is in metres with
    y up, as its standard has it; OBJ is in millimetres, a group for each body.
    """
    if form == "obj":
        return _obj(bodies)
    if form == "3mf":
        return three_mf([PrintObject(b.name, (PrintPart(b.name, b.solid),)) for b in bodies])
    import trimesh

    meshes = [_mesh(trimesh, b) for b in bodies]
    if form == "stl":
        whole = meshes[0] if len(meshes) == 1 else trimesh.util.concatenate(meshes)
        return cast(bytes, whole.export(file_type="stl"))
    scene = trimesh.Scene()
    for body, mesh in zip(bodies, meshes, strict=True):
        mesh.apply_transform(TO_GLTF)
        scene.add_geometry(mesh, node_name=body.name, geom_name=body.name)
    return cast(bytes, scene.export(file_type=form))


def _mesh(trimesh: Any, body: NamedSolid) -> Any:
    # process=False: merging or reordering is not wanted, the bodies are closed already
    return trimesh.Trimesh(body.solid.vertices, body.solid.triangles, process=False)


def _obj(bodies: Sequence[NamedSolid]) -> bytes:
    """Write OBJ by hand: trimesh joins the bodies and drops their names."""
    lines = ["# millimetres, z up"]
    start = 1
    for body in bodies:
        lines.append(f"o {body.name.replace(' ', '_')}")
        lines += [f"v {x!r} {y!r} {z!r}" for x, y, z in body.solid.vertices.tolist()]
        lines += [f"f {i} {j} {k}" for i, j, k in (body.solid.triangles + start).tolist()]
        start += len(body.solid.vertices)
    return ("\n".join(lines) + "\n").encode("ascii")
