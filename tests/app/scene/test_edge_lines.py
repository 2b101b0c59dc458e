from __future__ import annotations

import numpy as np

from app.scene.edge_lines import ARRIS, HIDDEN, SEAM, SLOT, edge_kinds
from app.scene.mesh import display_mesh
from tests.app.scene.conftest import box


def edges_of(*solids):
    meshes = [display_mesh(solid) for solid in solids]
    kinds = edge_kinds([m.arrises for m in meshes], [m.arris_normals for m in meshes])
    return [m.arrises.mean(axis=1) for m in meshes], kinds


def test_a_body_alone_has_only_arrises():
    _, (alone,) = edges_of(box((0, 0, 0), (30, 30, 300)))
    assert np.all(alone.kind == ARRIS) and np.all(alone.other == -1)


def test_glued_faces_meet_in_a_seam_drawn_once():
    middles, (left, right) = edges_of(box((-30, -30, 0), (0, 30, 300)), box((0, -30, 0), (30, 30, 300)))
    joint = np.isclose(middles[0][:, 0], 0)
    assert np.all(left.kind[joint] == SEAM) and np.all(left.kind[~joint] == ARRIS)
    assert np.all(left.other[joint] == 1)
    joint = np.isclose(middles[1][:, 0], 0)
    assert np.all(right.kind[joint] == HIDDEN) and np.all(right.kind[~joint] == ARRIS)


def test_a_seam_faces_as_the_wood_beside_it():
    middles, (left, _) = edges_of(box((-30, -30, 0), (0, 30, 300)), box((0, -30, 0), (30, 30, 300)))
    front = np.isclose(middles[0][:, 0], 0) & np.isclose(middles[0][:, 1], -30)
    assert np.allclose(left.facing[front], [0, -1, 0])


def test_a_saw_slot_has_dark_lips():
    middles, (left, right) = edges_of(box((-30, -30, 0), (-0.45, 30, 300)), box((0.45, -30, 0), (30, 30, 300)))
    for middle, kinds, lip in ((middles[0], left, -0.45), (middles[1], right, 0.45)):
        at_slot = np.isclose(middle[:, 0], lip)
        assert np.all(kinds.kind[at_slot] == SLOT) and np.all(kinds.kind[~at_slot] == ARRIS)


def test_bodies_apart_have_nothing_in_common():
    _, kinds = edges_of(box((-30, -30, 0), (-5, 30, 300)), box((5, -30, 0), (30, 30, 300)))
    assert all(np.all(each.kind == ARRIS) for each in kinds)
