from __future__ import annotations

import manifold3d
import numpy as np
import pytest

from app.scene.mesh import display_mesh
from geometry.solids import Solid
from tests.app.scene.conftest import box, prism


def circle(radius: float, sides: int) -> np.ndarray:
    turn = 2 * np.pi * np.arange(sides) / sides
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


def test_a_box_is_sharp_all_round():
    mesh = display_mesh(box((-30, -20, 0), (30, 20, 300)))
    assert len(mesh.points) == 24
    assert np.allclose(np.sort(np.abs(mesh.normals), axis=1), [0, 0, 1])
    assert len(mesh.arrises) == 12
    lengths = np.sort(np.linalg.norm(mesh.arrises[:, 1] - mesh.arrises[:, 0], axis=1))
    assert np.allclose(lengths, [40] * 4 + [60] * 4 + [300] * 4)


def test_normals_point_outward():
    mesh = display_mesh(box((-30, -20, 0), (30, 20, 300)))
    middle = np.array([0, 0, 150])
    assert np.all(np.einsum("ij,ij->i", mesh.points - middle, mesh.normals) > 0)


def test_triangles_still_describe_the_same_body():
    solid = prism(circle(40, 48), 200)
    mesh = display_mesh(solid)
    assert np.array_equal(mesh.points[mesh.triangles], solid.vertices[solid.triangles])


def test_a_turned_post_is_smooth_round_and_sharp_at_its_ends():
    mesh = display_mesh(prism(circle(40, 48), 200))
    side = np.abs(mesh.normals[:, 2]) < 0.5
    radial = mesh.points[side] / 40
    radial[:, 2] = 0
    assert np.allclose(mesh.normals[side], radial, atol=1e-9)
    assert np.allclose(np.abs(mesh.normals[~side]), [0, 0, 1])
    assert len(mesh.arrises) == 2 * 48  # the two rims, nothing along the side


def test_a_shallow_corner_between_long_flats_stays_a_corner():
    # A bend of 20 degrees between flats 100 mm wide was drawn, not sampled from a curve.
    bend = np.radians(20)
    outline = [(0, 0), (100, 0), (100 + 100 * np.cos(bend), 100 * np.sin(bend)), (100, 150), (0, 150)]
    mesh = display_mesh(prism(outline, 50))
    faces = mesh.normals[np.abs(mesh.normals[:, 2]) < 0.5]
    assert np.isclose(faces @ [0, -1, 0], 1).any()
    assert np.isclose(faces @ [np.sin(bend), -np.cos(bend), 0], 1).any()


def test_a_flat_stays_flat_where_it_runs_into_a_curve():
    # A slot-shaped outline: two flats 200 mm long, each tangent to a half round sampled in 4 degree steps.
    turn = np.radians(np.arange(-90, 91, 4))
    right = np.column_stack([100 + 30 * np.cos(turn), 30 * np.sin(turn)])
    mesh = display_mesh(prism(np.vstack([right, -right]), 80))
    at_join = np.isclose(mesh.points[:, 0], 100) & np.isclose(mesh.points[:, 1], -30)
    normals = mesh.normals[at_join & (np.abs(mesh.normals[:, 2]) < 0.5)]
    assert len(normals)
    assert np.all(normals @ [0, -1, 0] > np.cos(np.radians(0.2)))  # the mean of the two faces would be off by 1


def test_slivers_do_not_spoil_the_shading():
    # Split one side of a box by a vertex a hair's breadth off its edge: two triangles without a usable normal.
    solid = box((-30, -30, 0), (30, 30, 300))
    near = np.array([[0.0, -30.0, 1e-6]])
    vertices = np.vstack([solid.vertices, near])
    # The front face is (0, 1, 5), (0, 5, 4); its lower edge 0-1 also bounds the foot.
    triangles = [tuple(t) for t in solid.triangles]
    triangles.remove((0, 1, 5))
    triangles += [(0, 1, 8), (1, 5, 8), (5, 0, 8)]
    mesh = display_mesh(Solid(vertices, np.array(triangles)))
    assert np.allclose(np.sort(np.abs(mesh.normals), axis=1), [0, 0, 1], atol=1e-6)
    assert len(mesh.arrises) == 12


def test_an_arris_faces_between_its_two_faces():
    mesh = display_mesh(box((-30, -30, 0), (30, 30, 300)))
    upright = np.abs(mesh.arrises[:, 1, 2] - mesh.arrises[:, 0, 2]) > 1
    corner = mesh.arrises[upright][:, 0, :2] / 30
    assert np.allclose(mesh.arris_normals[upright][:, 0, :2], corner / np.sqrt(2))


def test_an_inside_corner_is_no_arris():
    notch = manifold3d.Manifold.cube([60, 60, 100]) - manifold3d.Manifold.cube([40, 40, 120]).translate([30, 30, -10])
    parts = notch.to_mesh64()
    mesh = display_mesh(
        Solid(np.asarray(parts.vert_properties)[:, :3].astype(float), np.asarray(parts.tri_verts).astype(np.int64))
    )
    middle = mesh.arrises.mean(axis=1)
    inside = np.isclose(middle[:, 0], 30) & np.isclose(middle[:, 1], 30)
    assert not inside.any()
    assert (np.isclose(middle[:, 0], 60) & np.isclose(middle[:, 1], 30)).any()


def test_no_wood_gives_an_empty_mesh():
    mesh = display_mesh(Solid(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)))
    assert len(mesh.points) == len(mesh.triangles) == len(mesh.arrises) == 0


@pytest.mark.parametrize("crease_deg, arrises", [(35, 24), (50, 16)])
def test_the_crease_angle_decides(crease_deg, arrises):
    # Eight narrow sides meet at 45 degrees each; narrow enough that only the angle can decide.
    mesh = display_mesh(prism(circle(0.5, 8), 20), crease_deg)
    assert len(mesh.arrises) == arrises
