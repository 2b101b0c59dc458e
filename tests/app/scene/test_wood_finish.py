"""The wood on bodies: what a change costs, what shows through, what a moved body keeps."""

from __future__ import annotations

import numpy as np
import pytest

from app.scene.body import Body
from app.scene.finish import PlainFinish
from app.scene.quiet import messages
from app.scene.scene import Scene
from app.scene.still import render_still
from app.scene.window import offscreen_window
from app.scene.wood.finish import MOVING_DETAIL, wood_finish
from app.scene.wood_colours import QUARTER_COLOURS
from geometry.layup import Chevron, Plain, Stripes
from geometry.project import Blank, Variant
from tests.app.scene.conftest import box, moved

BLANK = Blank(width=60, depth=60, length=120)
SIZE = (90, 120)


def variant(layup) -> Variant:
    return Variant(name="A", blank=BLANK, layup=layup)


WALNUT = variant(Plain(species="walnut"))
STRIPES = variant(Stripes(along="x", strips=((30.0, "walnut"), (30.0, "maple"))))
BANDS = variant(Chevron(across="x", angle_deg=30.0, pitch=20.0, species=("maple", "cherry")))


def post(matrix=None, number=None) -> Body:
    return Body(box((-30, -30, 0), (30, 30, 120)), (0.5, 0.4, 0.3), moved() if matrix is None else matrix, "", number)


def scene_of(finish, *bodies) -> Scene:
    scene = Scene(finish=finish)
    scene.set_bodies(bodies)
    scene.rest()
    return scene


def seen(finish, *bodies, view="front") -> np.ndarray:
    scene = scene_of(finish, *bodies)
    scene.look(view, SIZE[0] / SIZE[1], parallel=True)
    return render_still(scene, SIZE, supersampling=1).astype(float)


def test_a_strip_is_seen_where_it_lies():
    pixels = seen(wood_finish(STRIPES), post())
    assert pixels[60, 40].mean() < 130 and pixels[60, 50].mean() > 150
    assert messages() == ""


def test_the_wood_moves_with_its_body():
    here = seen(wood_finish(STRIPES), post())
    away = seen(wood_finish(STRIPES), post(moved(500.0, -70.0, 40.0)))
    body = here[20:95, 32:58]
    assert np.abs(body - away[20:95, 32:58]).mean() < 0.5
    turned = np.diag([-1.0, -1.0, 1.0, 1.0])  # half a turn about its length: the strips change sides
    other = seen(wood_finish(STRIPES), post(turned))
    assert other[60, 40].mean() > 150 and other[60, 50].mean() < 130


def test_another_layup_or_mode_needs_no_other_shader():
    finish = wood_finish(WALNUT)
    scene = scene_of(finish, post(number=3))
    scene.look("front", SIZE[0] / SIZE[1])
    window = offscreen_window(*SIZE, samples=0)
    try:
        window.AddRenderer(scene.renderer)
        scene.before_render(SIZE[1])
        window.Render()
        cache = window.GetShaderCache()
        program = cache.GetLastShaderBound()
        for change in (
            lambda: finish.update(BANDS),
            lambda: finish.show("pattern"),
            lambda: finish.show("quarters"),
            lambda: finish.set_moving(True),
            lambda: finish.update(STRIPES),
        ):
            change()
            window.Render()
            assert cache.GetLastShaderBound() is program
    finally:
        window.RemoveRenderer(scene.renderer)
        window.Finalize()
    assert messages() == ""


def test_an_update_shows_the_other_layup():
    finish = wood_finish(WALNUT)
    before = seen(finish, post())
    finish.update(STRIPES)
    after = seen(finish, post())
    assert np.abs(after - seen(wood_finish(STRIPES), post())).max() == 0.0
    assert after[60, 50].mean() > before[60, 50].mean() + 60


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_a_quarter_shows_its_own_colour(number):
    finish = wood_finish(STRIPES)
    finish.show("quarters")
    pixels = seen(finish, post(number=number))
    hue = pixels[30:90, 36:54].reshape(-1, 3).mean(axis=0)
    wanted = np.array(QUARTER_COLOURS[number])
    assert np.allclose(hue / hue.max(), wanted / wanted.max(), atol=0.06)
    assert np.ptp(pixels[30:90, 36:54], axis=(0, 1)).max() < 8  # flat: one light, one colour


def test_the_pattern_alone_is_flat_between_its_borders():
    finish = wood_finish(STRIPES)
    finish.show("pattern")
    pixels = seen(finish, post())
    for column in (38, 52):
        assert np.ptp(pixels[30:90, column], axis=0).max() < 4
    wood = seen(wood_finish(STRIPES), post())
    assert np.abs(pixels - wood)[30:90, 36:54].mean() > 1.0


def test_while_moving_the_wood_is_coarser_but_the_same():
    finish = wood_finish(WALNUT)
    rest = seen(finish, post())
    finish.set_moving(True)
    moving = seen(finish, post())
    apart = np.abs(rest - moving)[20:95, 32:58].mean()
    assert MOVING_DETAIL < 1.0 and 0.05 < apart < 6.0
    finish.set_moving(False)
    assert np.abs(seen(finish, post()) - rest).max() == 0.0


def test_a_body_can_change_between_plain_and_wood():
    scene = Scene(finish=PlainFinish())
    scene.set_bodies([post()])
    scene.rest()
    scene.look("front", SIZE[0] / SIZE[1], parallel=True)
    plain = render_still(scene, SIZE, supersampling=1).astype(float)
    scene.set_finish(wood_finish(STRIPES))
    wood = render_still(scene, SIZE, supersampling=1).astype(float)
    scene.set_finish(PlainFinish())
    again = render_still(scene, SIZE, supersampling=1).astype(float)
    assert np.abs(wood - seen(wood_finish(STRIPES), post())).max() == 0.0
    assert np.abs(again - plain).max() == 0.0 and np.abs(wood - plain).max() > 40.0
    assert messages() == ""


def test_edges_take_the_colour_of_the_wood_they_run_through():
    """A pale strip's arris is light and a dark strip's dark, though the body has one plain colour."""
    pixels = seen(wood_finish(STRIPES), post(), view="three-quarter")
    scene = scene_of(wood_finish(STRIPES), post())
    scene.look("front", SIZE[0] / SIZE[1], parallel=True)
    held = scene._bodies[0].dressed
    held.surface.VisibilityOff()
    lines = render_still(scene, SIZE, supersampling=1).astype(float)
    ground = lines[2, 2]
    top = np.flatnonzero(np.abs(lines[:, 38] - ground).max(axis=1) > 25)
    assert len(top)  # the upper arris
    row = top[0]
    assert lines[row, 50].mean() > lines[row, 38].mean() + 30
    assert pixels.std() > 10
