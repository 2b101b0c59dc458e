from __future__ import annotations

import numpy as np
import pytest

from app.scene.body import placed
from app.scene.lights import KEY
from app.scene.shadow import AT_REST, MOVING, ground_shadow, light_directions
from tests.app.scene.conftest import box, moved


def darkness_at(shadow, x, y):
    """Darkness of the cell that holds a point of the ground."""
    offset = np.array([x, y]) - shadow.corner
    rows, columns = shadow.darkness.shape
    column = int(offset @ shadow.along / (shadow.along @ shadow.along) * columns)
    row = int(offset @ shadow.across / (shadow.across @ shadow.across) * rows)
    return shadow.darkness[row, column]


POST = box((-30, -30, 0), (30, 30, 300))


def test_the_shares_of_light_add_up_and_come_from_above():
    directions, share = light_directions(KEY, AT_REST)
    assert share.sum() == pytest.approx(1)
    assert np.allclose(np.linalg.norm(directions, axis=1), 1)
    assert directions[:, 2].min() > 0


def test_under_the_wood_it_is_dark_and_far_off_it_is_not():
    shadow = ground_shadow(POST.vertices, POST.triangles, 0.0, KEY)
    assert darkness_at(shadow, 0, 0) > 0.97
    assert shadow.darkness[0].max() < 0.01 and shadow.darkness[-1].max() < 0.01
    assert shadow.darkness[:, 0].max() < 0.01 and shadow.darkness[:, -1].max() < 0.01


def test_it_falls_away_from_the_key_light():
    shadow = ground_shadow(POST.vertices, POST.triangles, 0.0, KEY)
    away = -KEY[:2] / np.linalg.norm(KEY[:2]) * 150
    assert darkness_at(shadow, *away) > darkness_at(shadow, *-away) + 0.25


def test_the_key_shadow_has_the_length_the_sun_gives_it():
    # Along the middle of the shadow of a thin wall square to the light, the penumbra is centred on the top's shadow.
    away = -KEY[:2] / np.linalg.norm(KEY[:2])
    side = np.array([-away[1], away[0]])
    turned = np.eye(4)
    turned[:2, 0], turned[:2, 1] = away, side
    wall = box((-1, -200, 0), (1, 200, 200))
    shadow = ground_shadow(placed(wall.vertices, turned), wall.triangles, 0.0, KEY)
    length = 200 * np.linalg.norm(KEY[:2]) / KEY[2]
    reach = np.arange(0.6 * length, 1.25 * length, 2.0)
    falling = np.array([darkness_at(shadow, *(away * r)) for r in reach])
    key_only = falling - np.interp(reach, [reach[0], reach[-1]], [falling[0] - 0.46, falling[-1]])
    assert reach[np.argmin(np.abs(key_only - 0.23))] == pytest.approx(length, rel=0.08)


def test_two_halves_together_throw_the_shadow_of_the_whole():
    whole = ground_shadow(POST.vertices, POST.triangles, 0.0, KEY)
    left, right = box((-30, -30, 0), (0, 30, 300)), box((0, -30, 0), (30, 30, 300))
    vertices = np.vstack([left.vertices, right.vertices])
    triangles = np.vstack([left.triangles, right.triangles + len(left.vertices)])
    halves = ground_shadow(vertices, triangles, 0.0, KEY)
    assert np.abs(whole.darkness - halves.darkness).max() < 0.01  # cells cut by both outlines at once


def test_it_moves_with_the_body():
    here = ground_shadow(POST.vertices, POST.triangles, 0.0, KEY)
    there = ground_shadow(placed(POST.vertices, moved(70, -40)), POST.triangles, 0.0, KEY)
    assert np.allclose(here.darkness, there.darkness, atol=1e-6)
    assert np.allclose(there.corner - here.corner, [70, -40])


def test_a_body_held_above_the_ground_leaves_it_lighter():
    on_it = ground_shadow(POST.vertices, POST.triangles, 0.0, KEY)
    above = ground_shadow(placed(POST.vertices, moved(z=150)), POST.triangles, 0.0, KEY)
    assert darkness_at(above, 0, 0) < darkness_at(on_it, 0, 0) - 0.2


def test_the_coarse_shadow_tells_the_same_story():
    fine = ground_shadow(POST.vertices, POST.triangles, 0.0, KEY)
    coarse = ground_shadow(POST.vertices, POST.triangles, 0.0, KEY, MOVING)
    for x, y in ((0, 0), (60, 80), (-80, 0), (150, 200)):
        assert darkness_at(coarse, x, y) == pytest.approx(darkness_at(fine, x, y), abs=0.12)
