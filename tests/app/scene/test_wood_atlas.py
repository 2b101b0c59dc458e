"""Faces laid flat: nothing stretched, nothing overlapping, the right wood under every vertex."""

from __future__ import annotations

import numpy as np
import pytest

from app.scene.wood.atlas import Atlas, atlas_of, sheets_of
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from tests.app.scene.conftest import box

BLANK = Blank(width=50, depth=50, length=200)
WAVE = tuple(Node(at=at) for at in ((0.0, 0.0), (8.0, 60.0), (-6.0, 140.0), (0.0, 200.0)))
HOOK = tuple(
    Node(at=at)
    for at in ((0.0, 0.0), (0.0, 70.0), (-8.0, 118.0), (-15.0, 100.0), (-18.0, 130.0), (0.0, 160.0), (0.0, 200.0))
)


def quarter(front, side, number=3):
    piece = build(Variant(name="A", blank=BLANK, front=Cut(nodes=front), side=Cut(nodes=side)))
    return piece.quarters[number - 1]


BODIES = {
    "box": box((-10, -20, 0), (30, 25, 100)),
    "waves": quarter(WAVE, WAVE),
    "wave and straight": quarter((), WAVE, 1),
    "hook": quarter(HOOK, (), 1),
    "two hooks": quarter(HOOK, HOOK, 2),
}


@pytest.mark.parametrize("name", BODIES)
def test_sheets_hold_every_triangle_at_its_true_size(name):
    solid = BODIES[name]
    corners = solid.vertices[solid.triangles]
    surface = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1).sum()
    sheets = sheets_of(solid)
    laid = 0.0
    for sheet in sheets:
        three, flat = sheet.points[sheet.triangles], sheet.flat[sheet.triangles]
        for one, two in ((0, 1), (1, 2), (2, 0)):
            true = np.linalg.norm(three[:, one] - three[:, two], axis=1)
            assert np.allclose(np.linalg.norm(flat[:, one] - flat[:, two], axis=1), true, atol=2e-3)
        a, b = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
        turn = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
        big = np.abs(turn) > 1e-3
        assert len(np.unique(np.sign(turn[big]))) == 1  # nothing folded over
        laid += np.abs(turn).sum()
    assert laid == pytest.approx(surface, rel=1e-4)


@pytest.mark.parametrize("name", BODIES)
def test_the_picture_holds_the_place_of_every_vertex(name):
    atlas = atlas_of(sheets_of(BODIES[name]))
    for one in atlas.placed:
        across, points = atlas.strip(one)
        assert across[0] == 0.0 and across[-1] == 1.0 and (np.diff(across) > 0.0).all()
        pixel = atlas.uv(one) * (atlas.width, atlas.height) - (one.x, one.y)
        share = pixel / (one.width, one.height)
        assert share.min() > 0.0 and share.max() < 1.0
        low, high = (np.stack([np.interp(share[:, 0], across, p[:, k]) for k in range(3)], axis=1) for p in points)
        there = low + share[:, 1:] * (high - low)
        assert np.linalg.norm(there - one.sheet.points, axis=1).max() < 0.1  # the inset, and corners it rounds
        assert np.median(np.linalg.norm(there - one.sheet.points, axis=1)) < 0.03


@pytest.mark.parametrize("name", BODIES)
def test_rectangles_lie_inside_the_picture_and_apart(name):
    atlas = atlas_of(sheets_of(BODIES[name]))
    taken = np.zeros((atlas.height, atlas.width), dtype=int)
    for one in atlas.placed:
        assert one.x + one.width <= atlas.width and one.y + one.height <= atlas.height
        taken[one.y : one.y + one.height, one.x : one.x + one.width] += 1
    assert taken.max() == 1


def test_a_large_piece_gets_coarser_texels_and_stays_in_bounds():
    atlas: Atlas = atlas_of(sheets_of(box((-150, -150, 0), (150, 150, 2500))))
    assert max(atlas.width, atlas.height) <= 4096 and atlas.texel > 0.5
