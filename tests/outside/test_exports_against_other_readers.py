"""Exported files read back by other libraries and by the byte.

Sources, named beside each check: the binary STL layout (as commonly published: 80 bytes of header, a count, 50 bytes a
facet), the 3MF core specification 1.4.0 read by lib3mf, the glTF 2.0 specification, section 3.4, and the volume that
trimesh and VTK compute from what stands in the file.
"""

import io
import json
import struct

import lib3mf
import numpy as np
import pytest
import trimesh

from geometry.measures import bounds, moments
from geometry.meshes import bodies_for, mesh_file
from geometry.piece import build
from geometry.project import Blank, Cut, Variant
from tests.geometry.test_lines import nodes
from tests.strategies import hooked

WAVE = nodes((0, 0), (9, 110), (-9, 230), (4, 330), (0, 420))
VARIANTS = {
    "wave": Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(nodes=WAVE), side=Cut(nodes=WAVE)),
    "corners": Variant("A", Blank(60.0, 50.0, 420.0), front=Cut(nodes=nodes((0, 0), (9, 200), (0, 420), kinds="ccc"))),
    "hook": Variant("A", Blank(80.0, 60.0, 420.0), front=Cut(nodes=hooked(40.0, 420.0)), side=Cut(0.0, nodes=WAVE)),
}


@pytest.fixture(scope="module", params=VARIANTS)
def piece(request):
    return build(VARIANTS[request.param])


def exported(piece, form, parts="piece", scale=1.0):
    return mesh_file(bodies_for(piece, parts, scale), form)


def stl_triangles(data: bytes) -> np.ndarray:
    """Facets (n, 4, 3) of a binary STL: normal and three corners, read by the byte."""
    (count,) = struct.unpack_from("<I", data, 80)
    assert len(data) == 84 + 50 * count
    facets = np.frombuffer(data, dtype=np.dtype([("f", "<f4", (4, 3)), ("rest", "<u2")]), offset=84)
    assert (facets["rest"] == 0).all()
    return facets["f"].astype(float)


# ---------------------------------------------------------------- STL


@pytest.mark.parametrize("parts", ["piece", "quarters", "blank"])
def test_stl_keeps_to_its_layout_by_the_byte(piece, parts):
    # Binary STL: 80 bytes of header that must not begin with "solid", a little-endian count, then for each facet a
    # normal, three corners counter-clockwise seen from outside, and two bytes of zero.
    data = exported(piece, "stl", parts)
    assert not data[:80].lstrip().lower().startswith(b"solid")
    facets = stl_triangles(data)
    assert len(facets) == sum(len(b.solid.triangles) for b in bodies_for(piece, parts))
    normals, corners = facets[:, 0], facets[:, 1:]
    square = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(square, axis=1)
    broad = size > 1e-2  # a facet thinner than single precision has no direction of its own
    assert (np.einsum("ki,ki->k", normals, square / np.where(size > 0, size, 1.0)[:, None])[broad] > 0.999).all()


def test_stl_is_one_closed_surface_for_a_slicer(piece):
    # a slicer joins corners that are equal in single precision; every edge must then be met twice
    corners = stl_triangles(exported(piece, "stl"))[:, 1:].astype(np.float32)
    _, index = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    triangles = index.reshape(-1, 3)
    triangles = triangles[
        (triangles[:, 0] != triangles[:, 1])
        & (triangles[:, 1] != triangles[:, 2])
        & (triangles[:, 2] != triangles[:, 0])
    ]
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    forth, back = (np.sort(e[:, 0] * len(index) + e[:, 1]) for e in (edges, edges[:, ::-1]))
    assert np.array_equal(forth, back)


def test_stl_is_in_millimetres_by_convention(piece):
    facets = stl_triangles(exported(piece, "stl"))[:, 1:]
    low, high = bounds(piece.glued())
    assert facets.reshape(-1, 3).min(axis=0) == pytest.approx(low, abs=1e-4)
    assert facets.reshape(-1, 3).max(axis=0) == pytest.approx(high, abs=1e-4)


# ---------------------------------------------------------------- volume and inertia


@pytest.mark.parametrize("form", ["stl", "3mf", "glb", "obj"])
def test_trimesh_finds_the_same_volume_and_inertia_in_the_file(piece, form):
    mesh = trimesh.load(io.BytesIO(exported(piece, form)), file_type=form, force="mesh", process=False)
    if form == "glb":  # metres and y up; see below
        back = np.array([[1000.0, 0, 0, 0], [0, 0, -1000.0, 0], [0, 1000.0, 0, 0], [0, 0, 0, 1]])
        mesh.apply_transform(back)
    wanted = moments(piece.glued())
    assert mesh.volume == pytest.approx(wanted.volume_mm3, rel=1e-6)
    assert mesh.center_mass == pytest.approx(wanted.centre_mm, abs=1e-3)
    assert np.allclose(mesh.moment_inertia, wanted.inertia_mm5, rtol=1e-5, atol=1e-5 * wanted.inertia_mm5.max())


def test_vtk_finds_the_same_volume_balance_and_inertia_in_the_file(piece, tmp_path):
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkFiltersCore import vtkMassProperties
    from vtkmodules.vtkIOGeometry import vtkSTLReader

    file = tmp_path / "piece.stl"
    file.write_bytes(exported(piece, "stl"))
    reader = vtkSTLReader()
    reader.SetFileName(str(file))
    reader.Update()
    surface = reader.GetOutput()
    wanted = moments(piece.glued())
    properties = vtkMassProperties()
    properties.SetInputData(surface)
    assert properties.GetVolume() == pytest.approx(wanted.volume_mm3, rel=1e-5)
    # VTK has no inertia: from its points and cells, by integrating |x|² over the volume as a flux through the surface
    points = vtk_to_numpy(surface.GetPoints().GetData()).astype(float)
    cells = vtk_to_numpy(surface.GetPolys().GetConnectivityArray()).reshape(-1, 3)
    a, b, c = (points[cells[:, k]] - wanted.centre_mm for k in range(3))
    flux = np.cross(b - a, c - a) / 2.0
    # ∫ x² dV = ∮ x³/3 n_x dA, and the mean of x³ over a triangle is the complete symmetric sum over its corners / 10
    cubes = sum(p**3 for p in (a, b, c)) + a * b * (a + b) + b * c * (b + c) + c * a * (c + a) + a * b * c
    squares = (cubes / 10.0 / 3.0 * flux).sum(axis=0)
    inertia = squares.sum() - squares
    assert inertia == pytest.approx(np.diag(wanted.inertia_mm5), rel=1e-5)


@pytest.mark.parametrize("form", ["stl", "3mf", "glb", "obj"])
@pytest.mark.parametrize("scale", [0.5, 0.1])
def test_scaled_about_the_origin(piece, form, scale):
    whole, small = (
        trimesh.load(io.BytesIO(exported(piece, form, "piece", s)), file_type=form, force="mesh", process=False)
        for s in (1.0, scale)
    )
    assert small.volume == pytest.approx(whole.volume * scale**3, rel=1e-5)
    assert small.bounds == pytest.approx(whole.bounds * scale, abs=1e-4)


# ---------------------------------------------------------------- 3MF


@pytest.mark.parametrize(
    ("parts", "names"), [("piece", ["piece"]), ("quarters", [f"quarter {i}" for i in range(1, 5)])]
)
def test_3mf_is_read_by_the_standards_own_library(piece, parts, names):
    # 3MF core specification 1.4.0: unit millimeter, every object a closed mesh, one build item for each
    wrapper = lib3mf.get_wrapper()
    model = wrapper.CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(exported(piece, "3mf", parts))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = model.GetMeshObjects()
    bodies = bodies_for(piece, parts)
    assert objects.Count() == len(bodies)
    found = {}
    while objects.MoveNext():
        mesh = objects.GetCurrentMeshObject()
        assert mesh.IsManifoldAndOriented()
        found[mesh.GetName()] = (mesh.GetVertexCount(), mesh.GetTriangleCount())
    assert found == {b.name: (len(b.solid.vertices), len(b.solid.triangles)) for b in bodies}
    assert list(found) == names
    items, built = model.GetBuildItems(), 0
    while items.MoveNext():
        built += 1
    assert built == len(bodies)
    box = model.GetOutbox()
    low, high = (np.array([bounds(b.solid)[k] for b in bodies]) for k in (0, 1))
    assert list(box.MinCoordinate) == pytest.approx(low.min(axis=0), abs=1e-3)
    assert list(box.MaxCoordinate) == pytest.approx(high.max(axis=0), abs=1e-3)


# ---------------------------------------------------------------- glTF


def gltf(data: bytes) -> tuple[dict, bytes]:
    """The JSON and the binary part of a GLB, read by the byte (glTF 2.0, section 4.4)."""
    magic, version, length = struct.unpack_from("<4sII", data)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    rest, kind = struct.unpack_from("<I4s", data, 20 + size)
    assert kind == b"BIN\0"
    return json.loads(data[20 : 20 + size]), data[28 + size : 28 + size + rest]


def test_gltf_is_in_metres_with_y_up_and_the_front_towards_plus_z(piece):
    # glTF 2.0, section 3.4: right-handed, +Y up, the front of an asset faces +Z, all linear distances in metres
    document, _ = gltf(exported(piece, "glb"))
    assert document["asset"]["version"] == "2.0"
    scene = trimesh.load(io.BytesIO(exported(piece, "glb")), file_type="glb")
    low, high = bounds(piece.glued())
    # our x stays x, our z (up) is y, and our front, -y, is +z
    assert scene.bounds[0] == pytest.approx(np.array([low[0], low[2], -high[1]]) / 1000.0, abs=1e-6)
    assert scene.bounds[1] == pytest.approx(np.array([high[0], high[2], -low[1]]) / 1000.0, abs=1e-6)


def test_gltf_positions_are_bounded_as_the_standard_wants(piece):
    # glTF 2.0, section 3.6.2: the accessor of POSITION must have min and max, and they must be those of the data
    document, binary = gltf(exported(piece, "glb", "quarters"))
    names = {document["nodes"][i].get("name") for i in range(len(document["nodes"]))}
    assert {f"quarter {i}" for i in range(1, 5)} <= names
    for mesh in document["meshes"]:
        for primitive in mesh["primitives"]:
            accessor = document["accessors"][primitive["attributes"]["POSITION"]]
            view = document["bufferViews"][accessor["bufferView"]]
            start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
            values = np.frombuffer(binary, "<f4", 3 * accessor["count"], start).reshape(-1, 3)
            assert values.min(axis=0).tolist() == pytest.approx(accessor["min"], abs=1e-7)
            assert values.max(axis=0).tolist() == pytest.approx(accessor["max"], abs=1e-7)
            assert primitive.get("mode", 4) == 4


# ---------------------------------------------------------------- OBJ, and the print bed


def test_obj_names_its_bodies_and_counts_from_one(piece):
    # Wavefront OBJ, as commonly published: indices count from 1 through the whole file
    lines = exported(piece, "obj", "quarters").decode("ascii").splitlines()
    assert [line[2:] for line in lines if line.startswith("o ")] == [f"quarter_{i}" for i in range(1, 5)]
    corners = [line for line in lines if line.startswith("v ")]
    faces = np.array([[int(w) for w in line.split()[1:]] for line in lines if line.startswith("f ")])
    assert faces.min() == 1
    assert faces.max() == len(corners)
    assert len(np.unique(faces)) == len(corners)


def test_quarters_lie_on_the_bed_on_a_flat_and_apart(piece):
    bodies = bodies_for(piece, "quarters")
    boxes = [bounds(b.solid) for b in bodies]
    for body, quarter, box in zip(bodies, piece.quarters, boxes, strict=True):
        assert moments(body.solid).volume_mm3 == pytest.approx(moments(quarter).volume_mm3, rel=1e-9)
        assert body.solid.is_closed
        assert box[0][2] == pytest.approx(0.0, abs=1e-9)
        # a flat, not an edge, touches the bed
        t = body.solid.vertices[body.solid.triangles]
        below = t[(np.abs(t[:, :, 2]) < 1e-6).all(axis=1)]
        area = np.linalg.norm(np.cross(below[:, 1] - below[:, 0], below[:, 2] - below[:, 0]), axis=1).sum() / 2.0
        assert area > 0.15 * piece.variant.blank.width * piece.variant.blank.length
    for one, other in zip(boxes, boxes[1:], strict=False):
        assert other[0][1] - one[1][1] >= 5.0 - 1e-9


def test_the_blank_is_the_block_before_any_cut(piece):
    (body,) = bodies_for(piece, "blank")
    assert body.solid.is_closed
    assert moments(body.solid).volume_mm3 == pytest.approx(piece.variant.blank.volume_mm3)
    assert moments(body.solid).centre_mm == pytest.approx([0.0, 0.0, piece.variant.blank.length / 2])
