"""What the surfaces show: the wood of the blank, quarters by colour, the pattern; at rest, in motion, in pictures."""

import msgspec
import numpy as np
import pytest
from PySide6.QtCore import Qt

from app.look import quarter_colour
from app.piece_view import PieceArea
from app.scene.quiet import messages
from app.scene.wood.finish import MOVING_DETAIL
from geometry.layup import Stripes
from tests.app.piece_view.looking import RIGHT, WAVE, built, changed, drawn, like, pixels, settle, variant, wood

STRIPED = msgspec.structs.replace(
    variant(WAVE, WAVE), layup=Stripes(along="x", strips=((20, "walnut"), (20, "maple"), (20, "walnut")))
)
PALE = msgspec.structs.replace(STRIPED, layup=Stripes(along="x", strips=((20, "maple"), (20, "maple"), (20, "walnut"))))


@pytest.fixture
def striped(area, qtbot):
    """An area that shows a leg of walnut and maple from the front."""
    area.show_built("A", built(STRIPED))
    area.view_actions["front"].trigger()
    settle(qtbot, area)
    return area


def press(qtbot, area, key):
    qtbot.keyClick(area.views["A"], key)
    settle(qtbot, area)


def pale(picture: np.ndarray) -> np.ndarray:
    """Where maple is seen by day: warm, and lighter than walnut."""
    return (picture[..., 0] > 180) & (picture[..., 0] - picture[..., 2] > 40)


def program(view):
    """The shader that drew what was drawn last."""
    return view._offscreen._window.GetShaderCache().GetLastShaderBound()


def hued(picture: np.ndarray, number: int) -> int:
    """How many pixels have the hue of a quarter's colour, however it is lit."""
    colour = np.array(quarter_colour(number).getRgb()[:3])
    hues = picture / np.maximum(picture.max(axis=2, keepdims=True), 1)
    return int((np.abs(hues - colour / colour.max()).max(axis=2) < 0.06).sum())


def figure(picture: np.ndarray) -> float:
    """How much the wood differs from one pixel to the next along the piece, in its dark parts."""
    grey = picture.mean(axis=2)
    inside = wood(picture)
    both = inside[1:] & inside[:-1]
    return float(np.abs(np.diff(grey, axis=0))[both].mean())


def test_the_wood_is_that_of_the_blank(striped):
    picture = pixels(striped.views["A"])
    assert pale(picture).sum() > 2000
    assert wood(picture).sum() > 2000
    assert striped.show_through == "wood"
    assert messages() == ""


def test_another_wood_follows_without_another_piece_or_shader(striped, qtbot):
    view = striped.views["A"]
    before, drawn_by = pixels(view), program(view)
    solids = [held.body.solid for held in view.stage.scene._bodies]
    striped.show_wood("A", PALE)
    settle(qtbot, striped)
    after = pixels(view)
    assert pale(after).sum() > 1.3 * pale(before).sum()
    assert program(view) is drawn_by
    assert [held.body.solid for held in view.stage.scene._bodies] == solids
    striped.show_built("A", built(STRIPED))
    settle(qtbot, striped)
    assert changed(before, pixels(view)) == 0


def test_wood_for_no_piece_is_no_trouble(qtbot):
    area = PieceArea()
    qtbot.addWidget(area, before_close_func=lambda area: area.shutdown())
    area.show_wood("A", STRIPED)
    assert area.views["A"].built is None


def test_keys_choose_between_wood_quarters_and_pattern(striped, qtbot):
    view = striped.views["A"]
    in_wood = pixels(view)
    press(qtbot, striped, Qt.Key.Key_F5)
    assert striped.show_through == "pattern"
    pattern = pixels(view)
    assert figure(pattern) < 0.6 * figure(in_wood)
    assert pale(pattern).sum() > 2000
    assert "flat colour" in view.accessibleDescription()
    press(qtbot, striped, Qt.Key.Key_F4)
    assert striped.show_through == "quarters"
    assert "colour of its own" in view.accessibleDescription()
    press(qtbot, striped, Qt.Key.Key_F3)
    assert striped.show_through == "wood"
    assert changed(in_wood, pixels(view)) == 0
    assert [action.isChecked() for action in striped.mode_actions.values()] == [True, False, False]


def test_quarters_have_a_colour_each_and_their_numbers_with_it(area, qtbot):
    view = area.views["A"]
    area.turn = 1 / 3
    press(qtbot, area, Qt.Key.Key_F4)
    coloured = pixels(view)
    assert area.numbers_action.isChecked()
    for number in (1, 2, 3, 4):
        assert like(coloured, quarter_colour(number).getRgb()[:3], 12) > 150  # the disc
        assert hued(coloured, number) > 1500  # the quarter
    area.numbers_action.trigger()
    settle(qtbot, area)
    assert 0 < changed(coloured, pixels(view)) < 6000  # numbers alone have gone
    press(qtbot, area, Qt.Key.Key_F3)
    assert not area.numbers_action.isChecked()


def test_numbers_go_with_the_colours_unless_they_were_there_before(area, qtbot):
    press(qtbot, area, Qt.Key.Key_F4)
    press(qtbot, area, Qt.Key.Key_F3)
    assert not area.numbers_action.isChecked()
    area.numbers_action.trigger()
    press(qtbot, area, Qt.Key.Key_F4)
    press(qtbot, area, Qt.Key.Key_F3)
    assert area.numbers_action.isChecked()


def test_the_choice_is_in_the_menu_one_of_three(area):
    menu = area.view_button.menu().actions()
    choices = list(area.mode_actions.values())
    assert [action for action in menu if action in choices] == choices
    assert [action.text() for action in choices] == ["Wood", "Quarters", "Pattern"]
    assert choices[0].actionGroup().isExclusive()
    assert set(choices) < set(area.actions())


def test_in_motion_the_finest_of_the_wood_is_left_out_and_at_rest_it_is_all_there(striped, qtbot):
    view = striped.views["A"]
    before = pixels(view)
    striped.viewpoint.orbit(0.0, 0.0)
    striped.viewpoint.orbit(10.0, 0.0)
    view.repaint()
    assert view.stage._finish._detail == MOVING_DETAIL
    striped.viewpoint.orbit(-10.0, 0.0)
    settle(qtbot, striped)
    assert view.stage._finish._detail == 1.0
    assert changed(before, pixels(view)) == 0


def test_what_cannot_be_sawn_is_grey_in_wood_too(striped):
    view = striped.views["A"]
    before = pixels(view)
    striped.set_impossible("A", "The front line touches itself at 90 mm up. Move its nodes apart.")
    grey = pixels(view)
    assert pale(grey)[:-90].sum() == 0  # above the slip with the reason
    assert grey[pale(before)].mean() > grey[wood(before)].mean() + 20  # the strips are still told apart
    striped.set_impossible("A", None)
    assert changed(before, pixels(view)) == 0


def test_two_side_by_side_are_each_in_their_own_wood(striped, qtbot):
    striped.resize(900, 520)
    striped.show_built("B", built(variant(RIGHT, name="B"), "B"), "Bowed")
    striped.set_mode("side by side")
    settle(qtbot, striped)
    pictures = {slot: pixels(view) for slot, view in striped.views.items()}
    assert pale(pictures["A"]).sum() > 1000
    assert pale(pictures["B"]).sum() < 50
    assert wood(pictures["B"]).sum() > 2000
    press(qtbot, striped, Qt.Key.Key_F4)
    for view in striped.views.values():
        assert sorted(hued(pixels(view), number) > 1000 for number in (1, 2, 3, 4)) == [False, False, True, True]


@pytest.mark.parametrize("mode", ["wood", "quarters", "pattern"])
def test_a_saved_picture_shows_the_same(striped, qtbot, mode):
    view = striped.views["A"]
    striped.mode_actions[mode].trigger()
    striped.numbers_action.setChecked(False)
    settle(qtbot, striped)
    striped.slider.setFocus()
    saved, shown = pixels(drawn(striped, (view.width(), view.height()))), pixels(view)
    assert (wood(saved) != wood(shown)).mean() < 0.01
    assert (pale(saved) != pale(shown)).mean() < 0.01
    assert np.abs(saved - shown).mean() < 1.5


def test_all_is_ready_for_the_first_piece_while_it_is_worked_out(qtbot):
    area = PieceArea()
    qtbot.addWidget(area, before_close_func=lambda area: area.shutdown())
    area.resize(300, 300)
    with qtbot.waitExposed(area):
        area.show()
    view = area.views["A"]
    settle(qtbot, area)
    qtbot.waitUntil(lambda: not view._warm.isActive())
    ready = program(view)
    assert ready is not None
    empty = pixels(view)
    area.show_built("A", built(STRIPED))
    settle(qtbot, area)
    with_piece = program(view)
    area.views["A"].clear()
    settle(qtbot, area)
    assert changed(empty, pixels(view)) == 0  # what it got ready with is not seen
    assert with_piece is ready


def test_a_hidden_area_can_get_ready_too(qtbot):
    area = PieceArea()
    qtbot.addWidget(area, before_close_func=lambda area: area.shutdown())
    area.warm_up()
    view = area.views["A"]
    assert view._warm.isActive()
    qtbot.waitUntil(lambda: not view._warm.isActive())
    assert program(view) is not None
    area.shutdown()
    area.warm_up()
    assert not view._warm.isActive()
