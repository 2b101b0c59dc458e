"""The textured .glb: read back with other readers, it shows the wood that the program shows."""

from __future__ import annotations

import io
import json
import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from app.scene.window import offscreen_window
from app.scene.wood.table import table_of
from app.scene.wood.twin import evaluate_afar
from app.textured import textured_glb
from geometry.layup import Chevron, Stripes
from geometry.meshes import TO_GLTF
from geometry.piece import Piece, build
from geometry.project import Blank, Cut, Node, Variant
from geometry.turning import GLUED, placements

BLANK = Blank(width=40, depth=40, length=120)
NODES = tuple(Node(at=at) for at in ((0.0, 0.0), (5.0, 40.0), (-4.0, 80.0), (0.0, 120.0)))
STRIPES = Stripes(along="x", strips=((10.0, "walnut"), (20.0, "maple"), (10.0, "walnut")))
BANDS = Chevron(across="x", angle_deg=45.0, pitch=24.0, species=("walnut", "maple"))


def piece_of(layup) -> Piece:
    return build(Variant(name="A", blank=BLANK, layup=layup, front=Cut(nodes=NODES), side=Cut(nodes=NODES)))


def head(data: bytes) -> dict:
    (length,) = struct.unpack("<I", data[12:16])
    return json.loads(data[20 : 20 + length])


@pytest.mark.parametrize("layup", [STRIPES, BANDS], ids=["stripes", "bands"])
def test_every_part_of_the_surface_carries_its_species(layup):
    piece = piece_of(layup)
    data = textured_glb(piece, "piece")
    scene = trimesh.load(io.BytesIO(data), file_type="glb", process=False)
    table = table_of(piece.variant)
    moves = placements(BLANK, piece.quarters, GLUED)
    for number, move in enumerate(moves, start=1):
        mesh = scene.geometry[f"quarter {number}"]
        picture = np.asarray(mesh.visual.material.baseColorTexture.convert("RGB"), dtype=float)
        rng = np.random.default_rng(number)
        face = rng.choice(len(mesh.faces), 3000, p=mesh.area_faces / mesh.area)
        weight = rng.dirichlet(np.ones(3), len(face))
        there = np.einsum("nk,nki->ni", weight, mesh.vertices[mesh.faces[face]])
        uv = np.einsum("nk,nki->ni", weight, mesh.visual.uv[mesh.faces[face]])
        column = np.clip(uv[:, 0] * picture.shape[1], 0, picture.shape[1] - 1).astype(int)
        row = np.clip((1.0 - uv[:, 1]) * picture.shape[0], 0, picture.shape[0] - 1).astype(int)
        seen = picture[row, column].mean(axis=1)
        inside = there - 2e-5 * mesh.face_normals[face]
        back = np.linalg.inv(TO_GLTF @ move)
        block = inside @ back[:3, :3].T + back[:3, 3]
        wanted = evaluate_afar(table, block, np.full(3, 1e-3), np.full(3, 1e-3)).mean(axis=1) * 255.0
        assert ((seen > 130.0) == (wanted > 130.0)).mean() > 0.985
    assert len(head(data)["images"]) == 1 and len(head(data)["materials"]) == 1


def test_the_glued_piece_hides_its_joints_and_has_the_size_of_the_piece():
    piece = piece_of(STRIPES)
    scene = trimesh.load(io.BytesIO(textured_glb(piece, "piece", scale=0.5)), file_type="glb", process=False)
    whole = piece.glued()
    wanted = np.ptp(whole.vertices, axis=0)[[0, 2, 1]] * 0.5 / 1000.0
    assert np.allclose(scene.extents, wanted, atol=1e-6)
    mesh = trimesh.Trimesh(whole.vertices, whole.triangles, process=False)
    area = sum(m.area for m in scene.geometry.values())
    assert area == pytest.approx(mesh.area * 0.25e-6, rel=1e-3)


@pytest.mark.parametrize(("parts", "names"), [("quarters", 4), ("blank", 1)])
def test_the_other_parts_are_whole_bodies(parts, names):
    scene = trimesh.load(io.BytesIO(textured_glb(piece_of(STRIPES), parts)), file_type="glb", process=False)
    assert len(scene.geometry) == names
    for mesh in scene.geometry.values():
        mesh.merge_vertices(merge_tex=True, merge_norm=True)
        assert mesh.is_watertight


def test_another_viewer_shows_light_and_dark_strips(tmp_path: Path):
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkCommonCore import vtkUnsignedCharArray
    from vtkmodules.vtkIOImport import vtkGLTFImporter
    from vtkmodules.vtkRenderingCore import vtkLight, vtkRenderer

    file = tmp_path / "leg.glb"
    file.write_bytes(textured_glb(piece_of(STRIPES), "blank"))
    window = offscreen_window(120, 240, samples=0)
    renderer = vtkRenderer()
    window.AddRenderer(renderer)
    importer = vtkGLTFImporter()
    importer.SetFileName(str(file))
    importer.SetRenderWindow(window)
    importer.Update()
    renderer.RemoveAllLights()
    light = vtkLight()
    light.SetLightTypeToHeadlight()
    light.SetIntensity(2.0)
    renderer.AddLight(light)
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetFocalPoint(0.0, 0.06, 0.0)  # the front of the blank faces +z in this format
    camera.SetPosition(0.0, 0.06, 1.0)
    camera.SetViewUp(0.0, 1.0, 0.0)
    camera.SetParallelScale(0.06)
    renderer.ResetCameraClippingRange()
    window.Render()
    pixels = vtkUnsignedCharArray()
    window.GetPixelData(0, 0, 119, 239, 0, pixels, 0)
    seen = vtk_to_numpy(pixels).reshape(240, 120, 3).astype(float)
    window.Finalize()
    row = seen[100:140].mean(axis=(0, 2))  # 2 pixels to a millimetre, the middle at 60
    assert row[43:57].mean() > row[24:36].mean() + 50 and row[63:77].mean() > row[84:96].mean() + 50
