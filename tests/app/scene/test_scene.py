"""What the pictures show, read from their pixels."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import binary_erosion

from app.scene.body import Body
from app.scene.camera import Margins
from app.scene.quiet import messages
from app.scene.scene import Scene
from app.scene.still import new_scene, render_still
from app.scene.window import offscreen_window
from geometry.solids import Solid
from tests.app.scene.conftest import GREEN, RED, box, moved

SIZE = (120, 160)


def picture(scene: Scene, view="front", parallel=True, margins=None, size=SIZE) -> np.ndarray:
    scene.look(view, size[0] / size[1], margins, parallel)
    return render_still(scene, size, 1).astype(int)


def reddish(pixels: np.ndarray) -> np.ndarray:
    return pixels[..., 0] > pixels[..., 1] + 60


def greenish(pixels: np.ndarray) -> np.ndarray:
    return pixels[..., 1] > pixels[..., 0] + 40


@pytest.fixture
def scene(post) -> Scene:
    made = new_scene()
    made.set_bodies([post])
    return made


def test_the_post_stands_where_the_margins_put_it(scene):
    seen = reddish(picture(scene, margins=Margins(top=0.1, bottom=0.2, sides=0.1)))
    rows, columns = np.flatnonzero(seen.any(axis=1)), np.flatnonzero(seen.any(axis=0))
    assert rows[0] == pytest.approx(16, abs=1) and rows[-1] == pytest.approx(127, abs=1)
    # 60 by 300 mm at 112 pixels high is 22.4 pixels wide, in the middle.
    assert columns[-1] - columns[0] + 1 == pytest.approx(22.4, abs=2)  # and an edge line
    assert columns.mean() == pytest.approx(59.5, abs=1)


def test_away_from_the_post_there_is_only_backdrop(scene):
    pixels = picture(scene)
    edge = pixels[:, :5]
    assert not reddish(edge).any()
    assert (edge.max(axis=1) - edge.min(axis=1)).max() <= 1  # even across ...
    bands = edge.reshape(16, 10, -1).mean(axis=(1, 2))
    assert np.all(np.diff(bands) < 0)  # ... and falling off gently from top to bottom
    assert 5 < bands[0] - bands[-1] < 40


def test_front_view_has_plus_x_to_the_right():
    scene = new_scene()
    scene.set_bodies(
        [Body(box((-40, -10, 0), (-10, 10, 60)), RED), Body(box((10, -10, 0), (40, 10, 60)), GREEN)],
    )
    pixels = picture(scene)
    assert np.nonzero(reddish(pixels))[1].max() < 60 <= np.nonzero(greenish(pixels))[1].min()
    pixels = picture(scene, "back")
    assert np.nonzero(greenish(pixels))[1].max() < 60 <= np.nonzero(reddish(pixels))[1].min()


def test_right_view_has_plus_y_to_the_right():
    scene = new_scene()
    scene.set_bodies(
        [Body(box((-10, -40, 0), (10, -10, 60)), RED), Body(box((-10, 10, 0), (10, 40, 60)), GREEN)],
    )
    pixels = picture(scene, "right")
    assert np.nonzero(reddish(pixels))[1].max() < 60 <= np.nonzero(greenish(pixels))[1].min()


def test_up_is_up():
    scene = new_scene()
    scene.set_bodies([Body(box((-10, -10, 0), (10, 10, 40)), RED), Body(box((-10, -10, 60), (10, 10, 100)), GREEN)])
    pixels = picture(scene)
    assert np.nonzero(greenish(pixels))[0].max() < np.nonzero(reddish(pixels))[0].min()


def test_the_face_towards_the_key_light_is_brighter_than_the_one_away_from_it(scene):
    front = picture(scene)[60:100, 55:65].mean()
    back = picture(scene, "back")[60:100, 55:65].mean()
    assert front > 1.3 * back


def test_nearer_bodies_hide_farther_ones():
    scene = new_scene()
    scene.set_bodies([Body(box((-30, 50, 0), (30, 60, 60)), GREEN), Body(box((-30, -60, 0), (30, -50, 60)), RED)])
    assert not greenish(picture(scene)).any()
    assert not reddish(picture(scene, "back")).any()


def test_matrices_move_the_pixels(scene):
    scene.look("front", 0.75, parallel=True)
    before = render_still(scene, SIZE, 1).astype(int)
    scene.set_matrices([moved(x=60)])
    after = render_still(scene, SIZE, 1).astype(int)
    shift = np.nonzero(reddish(after))[1].mean() - np.nonzero(reddish(before))[1].mean()
    scale = reddish(before).any(axis=1).sum() / 300
    assert shift == pytest.approx(60 * scale, abs=1)
    assert scene.bounds() == pytest.approx(np.array([[30, -30, 0], [90, 30, 300]]))


def test_a_half_turn_shows_the_other_side():
    scene = new_scene()
    scene.set_bodies([Body(box((10, -10, 0), (40, 10, 60)), RED)])
    scene.look("front", 0.75, Margins(sides=0.3), parallel=True)
    scene.set_bodies([Body(box((10, -10, 0), (40, 10, 60)), RED, np.diag([-1.0, -1.0, 1.0, 1.0]))])
    assert scene.bounds() == pytest.approx(np.array([[-40, -10, 0], [-10, 10, 60]]))


def test_end_grain_is_drawn_darker(scene):
    # Seen from above only end grain shows; the same post lying on its back shows side grain to the same light.
    end = picture(scene, "top")[75:85, 55:65].mean()
    lying = np.array([[1.0, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]])
    scene.set_matrices([lying])
    side = picture(scene, "top")[75:85, 55:65].mean()
    assert end == pytest.approx(0.76 * side, rel=0.06)


def test_night_is_dark_and_day_is_light(scene):
    day = picture(scene)
    scene.set_theme("dark")
    night = picture(scene)
    assert day[:, :5].mean() > 200 and night[:, :5].mean() < 70
    assert day[0, 0, 0] > day[0, 0, 2] and night[0, 0, 0] > night[0, 0, 2]  # both warm
    assert np.mean(reddish(day) == reddish(night)) > 0.97


def test_the_shadow_darkens_the_ground_on_the_far_side_of_the_light(scene):
    scene.look("three-quarter", 0.75, Margins(sides=0.2))
    bare = render_still(scene, SIZE, 1).astype(int)
    scene.update_shadow()
    shaded = render_still(scene, SIZE, 1).astype(int)
    wood = reddish(bare)
    solid = binary_erosion(wood, iterations=2)  # not the half pixels of its outline
    assert np.array_equal(bare[solid], shaded[solid])
    darker = (bare - shaded).mean(axis=2)
    darker[wood] = 0
    assert darker.min() >= -1
    assert darker.max() > 40
    assert darker[120:, 80:].sum() > 3 * darker[120:, :40].sum()  # thrown back and to the right
    assert darker[:40].max() <= 1


def test_the_shadow_is_not_there_from_below(scene, post):
    scene.update_shadow()
    scene.look("three-quarter", 0.75)
    camera = scene.renderer.GetActiveCamera()
    x, y, z = camera.GetPosition()
    camera.SetPosition(x, y, -z)
    with_shadow = render_still(scene, SIZE, 1)
    scene.set_bodies([])
    scene.update_shadow()
    scene.set_bodies([post])
    assert np.array_equal(with_shadow, render_still(scene, SIZE, 1))


def test_a_seam_is_a_fine_dark_line_between_glued_halves():
    halves = [Body(box((-30, -30, 0), (0, 30, 300)), RED), Body(box((0, -30, 0), (30, 30, 300)), RED)]
    scene = new_scene()
    scene.set_bodies(halves)
    scene.update_seams()
    row = picture(scene, size=(240, 320))[160]
    wood = np.flatnonzero(reddish(row))
    tone = row[wood[4:-4], 0]  # without the eased edges
    dark = np.flatnonzero(tone < 0.95 * np.median(tone))
    assert 1 <= len(dark) <= 3
    assert dark.mean() == pytest.approx((len(tone) - 1) / 2, abs=1)


def test_an_inside_edge_does_not_show_through():
    # The joint of a block in front of another lies behind the front face.
    scene = new_scene()
    scene.set_bodies([Body(box((-30, -30, 0), (30, 0, 100)), RED), Body(box((-30, 0, 0), (30, 30, 100)), RED)])
    scene.update_seams()
    scene.look("front", 1.0, parallel=True)
    face = render_still(scene, (200, 200), 1)[50:150, 70:130].astype(int)
    assert np.ptp(face, axis=(0, 1)).max() <= 1


def test_pick_gives_the_body_and_the_point_in_its_block():
    scene = new_scene()
    scene.set_bodies(
        [
            Body(box((-40, -10, 0), (-10, 10, 60)), RED),
            Body(box((-15, -10, 0), (15, 10, 60)), GREEN, moved(x=25, y=-5, z=2)),
        ]
    )
    window = offscreen_window(160, 120)
    window.AddRenderer(scene.renderer)
    scene.look("front", 160 / 120, parallel=True)
    scene.before_render(120)
    window.Render()
    scale = 120 / (2 * scene.renderer.GetActiveCamera().GetParallelScale())
    try:
        index, point = scene.pick(79.5 + 25 * scale, 59.5)
        assert index == 1
        assert point == pytest.approx([0, -10, 29], abs=1 / scale)
        index, point = scene.pick(79.5 - 25 * scale, 59.5)
        assert index == 0
        assert point == pytest.approx([-25, -10, 31], abs=1 / scale)
        assert scene.pick(2, 2) is None
    finally:
        window.RemoveRenderer(scene.renderer)
        window.Finalize()


def test_new_bodies_replace_the_old_ones(scene, post):
    scene.set_bodies([replace(post, colour=GREEN)])
    pixels = picture(scene)
    assert greenish(pixels).any() and not reddish(pixels).any()


def test_nothing_at_all_is_only_backdrop(scene):
    scene.rest()
    nothing = Solid(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
    scene.set_bodies([Body(nothing, RED)])
    scene.rest()
    pixels = picture(scene, "three-quarter", parallel=False)
    assert np.ptp(pixels, axis=1).max() <= 1
    assert scene.bounds() == pytest.approx(np.zeros((2, 3)))
    assert scene.pick(10, 10) is None


def test_a_body_without_wood_keeps_its_place(scene, post):
    nothing = Solid(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))
    scene.set_bodies([Body(nothing, GREEN), post])
    scene.set_matrices([np.eye(4), moved(x=60)])
    scene.rest()
    assert scene.bounds() == pytest.approx(np.array([[30, -30, 0], [90, 30, 300]]))
    assert reddish(picture(scene)).any()


def test_vtk_had_nothing_to_complain_of(scene):
    scene.rest()
    scene.set_theme("dark")
    picture(scene, "three-quarter", parallel=False)
    assert messages() == ""
