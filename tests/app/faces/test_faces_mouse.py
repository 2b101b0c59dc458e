"""The faces under the mouse: real events on the real widget."""

import numpy as np
import pytest
from msgspec.structs import replace
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QMenu

from geometry.lines import line_of
from geometry.nearest import nearest_place
from geometry.project import Blank, Cut, Variant
from tests.app.faces.hands import (
    ALT,
    LEFT,
    NONE,
    SERPENTINE,
    SHIFT,
    STRAIGHT,
    at,
    click,
    differing,
    double_click,
    drag,
    hover,
    move,
    node,
    of_node,
    picture,
    pixel,
)


def place_of_piece(variant, cut, piece, t=0.5):
    return tuple(line_of(variant.cut(cut), variant.blank.length).at(np.array([piece]), np.array([t]))[0])


# ---------------------------------------------------------------- dragging


@pytest.mark.parametrize("lying", [False, True])
def test_a_dragged_node_goes_where_the_mouse_goes_in_one_step(qtbot, show, lying):
    view = show(size=(760, 560) if lying else (420, 760), lying=lying)
    drag(qtbot, view, of_node(view, "front", 1), at(view, "front", 13.0, 185.0), ALT)
    u, z = view.variant.front.nodes[1].at
    across, up = pixel(view)
    assert abs(u - 13.0) <= across
    assert abs(z - 185.0) <= up
    assert view.told.course == ["started Move node", "changed", "finished"]
    assert view.told.steps[-2][1] is view.variant
    assert view.selected() == ("front", (1,))
    others = [n for i, n in enumerate(view.variant.front.nodes) if i != 1]
    assert others == [n for i, n in enumerate(SERPENTINE.front.nodes) if i != 1]
    assert view.variant.side == SERPENTINE.side


def test_a_press_that_trembles_is_no_step(qtbot, view):
    start = of_node(view, "front", 1)
    drag(qtbot, view, start, start + QPoint(1, 1))
    assert view.told.steps == []
    assert view.variant == SERPENTINE
    assert view.selected() == ("front", (1,))


def test_escape_calls_a_drag_off(qtbot, view):
    drag(qtbot, view, of_node(view, "front", 1), at(view, "front", 20.0, 200.0), release=False)
    assert view.variant != SERPENTINE
    qtbot.keyClick(view.sheet, Qt.Key.Key_Escape)
    assert view.variant == SERPENTINE
    move(view, at(view, "front", 22.0, 230.0))
    qtbot.mouseRelease(view.sheet, LEFT, NONE, at(view, "front", 22.0, 230.0))
    assert view.variant == SERPENTINE
    assert view.told.course == ["started Move node", "changed", "cancelled"]


def test_the_ends_stay_on_the_ends_of_the_face(qtbot, view):
    drag(qtbot, view, of_node(view, "front", 0), at(view, "front", 12.0, 60.0), ALT)
    drag(qtbot, view, of_node(view, "front", 3), at(view, "front", -9.0, 370.0), ALT)
    foot, top = view.variant.front.nodes[0].at, view.variant.front.nodes[3].at
    assert (foot[1], top[1]) == (0.0, 420.0)
    assert foot[0] == pytest.approx(12.0, abs=pixel(view)[0])
    assert top[0] == pytest.approx(-9.0, abs=pixel(view)[0])


def test_a_design_shown_during_a_drag_takes_the_place_of_the_dragged_one(qtbot, view):
    drag(qtbot, view, of_node(view, "front", 1), at(view, "front", 20.0, 200.0), release=False)
    view.show_variant(STRAIGHT, "mm")
    move(view, at(view, "front", 25.0, 250.0))
    qtbot.mouseRelease(view.sheet, LEFT, NONE, at(view, "front", 25.0, 250.0))
    assert view.variant == STRAIGHT
    assert view.told.course == ["started Move node", "changed"]
    assert view.selected() == ("front", ())


def test_the_design_that_was_told_may_be_shown_during_the_drag(qtbot, view):
    view.gesture_changed.connect(lambda variant: view.show_variant(variant, "mm"))
    drag(qtbot, view, of_node(view, "front", 1), at(view, "front", 13.0, 185.0), ALT)
    assert view.variant.front.nodes[1].at[0] == pytest.approx(13.0, abs=pixel(view)[0])
    assert view.told.course == ["started Move node", "changed", "finished"]


# ---------------------------------------------------------------- catching


def test_a_drag_is_caught_by_the_centre_line_and_by_the_other_faces_heights(qtbot, view):
    across, up = pixel(view)
    near = at(view, "front", 3.0 * across, 210.0 + 3.0 * up)
    drag(qtbot, view, of_node(view, "front", 1), near)
    assert view.variant.front.nodes[1].at == (0.0, 210.0)


def test_alt_lets_a_drag_go_free(qtbot, view):
    across, up = pixel(view)
    near = at(view, "front", 3.0 * across, 210.0 + 3.0 * up)
    drag(qtbot, view, of_node(view, "front", 1), near, ALT)
    u, z = view.variant.front.nodes[1].at
    assert u == pytest.approx(3.0 * across, abs=across)
    assert z == pytest.approx(210.0 + 3.0 * up, abs=up)
    assert u != 0.0
    assert z != 210.0


def test_a_drag_is_caught_by_the_grid(qtbot, view):
    view.set_snap(5.0)
    assert view.snap_mm == 5.0
    drag(qtbot, view, of_node(view, "front", 1), at(view, "front", 13.4, 171.0))
    assert view.variant.front.nodes[1].at == (15.0, 170.0)
    view.set_snap(None)
    drag(qtbot, view, of_node(view, "front", 1), at(view, "front", 13.4, 177.0))
    assert view.variant.front.nodes[1].at[0] % 5.0 != 0.0


# ---------------------------------------------------------------- adding


def test_a_click_on_the_line_adds_a_node_there(qtbot, view):
    u, z = place_of_piece(SERPENTINE, "front", 1)
    click(qtbot, view, at(view, "front", u, z) + QPoint(4, 0))
    nodes = view.variant.front.nodes
    assert len(nodes) == 5
    assert (*nodes[:2], *nodes[3:]) == SERPENTINE.front.nodes
    # on the line: it hardly changes
    assert nearest_place(line_of(SERPENTINE.front, 420.0), nodes[2].at).distance_mm < 1e-6
    assert abs(nodes[2].at[1] - z) < 12.0
    assert nodes[2].kind == "smooth"
    assert view.selected() == ("front", (2,))
    assert view.told.course == ["started Add a node", "changed", "finished"]


def test_a_node_is_added_and_pulled_in_one_go(qtbot, view):
    start = at(view, "front", *place_of_piece(SERPENTINE, "front", 1))
    drag(qtbot, view, start, start + QPoint(30, 0), ALT)
    assert len(view.variant.front.nodes) == 5
    assert view.variant.front.nodes[2].at[0] > 8.0
    assert view.told.course == ["started Add a node", "changed", "finished"]


def test_escape_takes_an_added_node_back(qtbot, view):
    start = at(view, "front", *place_of_piece(SERPENTINE, "front", 1))
    drag(qtbot, view, start, start + QPoint(30, 0), release=False)
    qtbot.keyClick(view.sheet, Qt.Key.Key_Escape)
    assert view.variant == SERPENTINE
    assert view.told.course[-1] == "cancelled"


@pytest.mark.parametrize("cut", ["front", "side"])
def test_a_click_on_a_straight_face_bends_its_line_to_there(qtbot, show, cut):
    view = show(STRAIGHT)
    click(qtbot, view, at(view, cut, 14.0, 133.0))
    first, bent, last = view.variant.cut(cut).nodes
    assert (first.at, last.at) == ((0.0, 0.0), (0.0, 420.0))
    across, up = pixel(view, cut)
    assert bent.at == (pytest.approx(14.0, abs=across), pytest.approx(133.0, abs=up))
    assert bent.kind == "smooth"
    assert view.selected() == (cut, (1,))


def test_a_click_beyond_a_short_end_makes_the_line_grow(qtbot, show):
    short = Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(nodes=(node(0, 0, "corner"), node(6, 150), node(-4, 250))))
    view = show(short)
    click(qtbot, view, at(view, "front", 5.0, 340.0))
    assert [n.at for n in view.variant.front.nodes[:3]] == [n.at for n in short.front.nodes]
    across, up = pixel(view)
    assert view.variant.front.nodes[3].at == (pytest.approx(5.0, abs=across), pytest.approx(340.0, abs=up))


def test_a_click_beside_a_whole_line_only_lets_go_of_the_nodes(qtbot, view):
    click(qtbot, view, of_node(view, "front", 1))
    click(qtbot, view, at(view, "front", -22.0, 100.0))
    assert view.selected() == ("front", ())
    assert view.variant == SERPENTINE
    assert view.told.steps == []


def test_a_double_click_turns_a_node_into_a_corner_and_back(qtbot, view):
    double_click(qtbot, view, of_node(view, "side", 2))
    assert view.variant.side.nodes[2].kind == "corner"
    double_click(qtbot, view, of_node(view, "side", 2))
    assert view.variant == SERPENTINE
    assert view.told.course == ["edited Make a corner", "edited Make smooth"]


# ---------------------------------------------------------------- several


def test_a_band_selects_the_nodes_in_it(qtbot, view):
    drag(qtbot, view, at(view, "front", -25.0, 330.0), at(view, "front", 25.0, 100.0))
    assert view.selected() == ("front", (1, 2))
    assert view.told.steps == []


def test_shift_selects_one_more_and_one_less(qtbot, view):
    click(qtbot, view, of_node(view, "side", 1))
    click(qtbot, view, of_node(view, "side", 3), SHIFT)
    assert view.selected() == ("side", (1, 3))
    click(qtbot, view, of_node(view, "side", 1), SHIFT)
    assert view.selected() == ("side", (3,))
    click(qtbot, view, of_node(view, "front", 1), SHIFT)
    assert view.selected() == ("front", (1,))


def test_selected_nodes_move_together(qtbot, view):
    click(qtbot, view, of_node(view, "side", 1))
    click(qtbot, view, of_node(view, "side", 2), SHIFT)
    drag(qtbot, view, of_node(view, "side", 2), of_node(view, "side", 2) + QPoint(12, -16), ALT)
    moved, before = view.variant.side.nodes, SERPENTINE.side.nodes
    across, up = pixel(view, "side")
    for i in (1, 2):
        assert moved[i].at[0] - before[i].at[0] == pytest.approx(12.0 * across, abs=0.01)
        assert moved[i].at[1] - before[i].at[1] == pytest.approx(16.0 * up, abs=0.01)
    assert (moved[0], moved[3], moved[4]) == (before[0], before[3], before[4])
    assert view.told.course == ["started Move nodes", "changed", "finished"]


def test_escape_gives_back_what_was_selected_before_a_band(qtbot, view):
    click(qtbot, view, of_node(view, "front", 2))
    drag(qtbot, view, at(view, "front", -25.0, 330.0), at(view, "front", 25.0, 30.0), release=False)
    assert view.selected() == ("front", (1, 2))
    qtbot.keyClick(view.sheet, Qt.Key.Key_Escape)
    assert view.selected() == ("front", (2,))


# ---------------------------------------------------------------- pointing


def test_pointing_tells_the_height_and_leaving_takes_it_back(qtbot, view):
    hover(view, at(view, "side", 20.0, 150.0))
    assert view.told.levels[-1] == pytest.approx(150.0, abs=pixel(view)[1])
    assert view.level == view.told.levels[-1]
    QApplication.sendEvent(view.sheet, QEvent(QEvent.Type.Leave))
    assert view.told.levels[-1] is None


def test_a_level_from_elsewhere_is_shown_and_not_told_again(view):
    before = picture(view)
    view.set_level(150.0)
    after = picture(view)
    assert view.told.levels == []
    row = at(view, "front", 0.0, 150.0).y()
    both = view.sheet.arrangement.both.toRect()
    changed = [x for x in range(both.left(), both.right()) if before.pixel(x, row) != after.pixel(x, row)]
    assert len(changed) > 0.95 * both.width()
    view.set_level(None)
    assert picture(view) == before


def test_a_drag_tells_the_height_of_its_node(qtbot, view):
    drag(qtbot, view, of_node(view, "front", 1), at(view, "front", 13.0, 185.0), ALT)
    assert view.told.levels[-1] == view.variant.front.nodes[1].at[1]


def test_dragging_changes_the_picture_where_the_line_was(qtbot, view):
    before = picture(view)
    start = of_node(view, "front", 1)
    drag(qtbot, view, start, start + QPoint(40, 0), ALT)
    after = picture(view)
    box = view.sheet.arrangement.front_box.toRect()
    side = view.sheet.arrangement.side_box.toRect().adjusted(60, 30, 0, -260)
    assert differing(before, after, box) > 400
    assert differing(before, after, side) == 0


# ---------------------------------------------------------------- the pen, the wheel, the menu


def test_the_pen_draws_a_line_from_place_to_place(qtbot, view):
    view.set_tool("pen")
    assert view.actions_by_key["pen"].isChecked()
    for u, z in ((4.0, 1.0), (15.0, 150.0), (-12.0, 260.0)):
        click(qtbot, view, at(view, "front", u, z))
    assert view.told.steps == []
    click(qtbot, view, at(view, "front", 3.0, 419.0))  # caught by the top: the line is done
    assert view.told.course == ["edited Draw a line"]
    nodes = view.variant.front.nodes
    assert len(nodes) == 4
    assert (nodes[0].at[1], nodes[3].at[1]) == (0.0, 420.0)
    across, up = pixel(view)
    assert nodes[1].at == (pytest.approx(15.0, abs=across), pytest.approx(150.0, abs=up))
    assert not view.actions_by_key["pen"].isChecked()


def test_escape_puts_the_unfinished_pen_line_away_and_enter_takes_it(qtbot, view):
    view.set_tool("pen")
    click(qtbot, view, at(view, "front", 15.0, 150.0))
    click(qtbot, view, at(view, "front", 10.0, 250.0))
    qtbot.keyClick(view.sheet, Qt.Key.Key_Escape)
    assert view.variant == SERPENTINE
    for u, z in ((15.0, 150.0), (10.0, 200.0), (-8.0, 250.0)):
        click(qtbot, view, at(view, "side", u, z))
    qtbot.keyClick(view.sheet, Qt.Key.Key_Backspace)
    qtbot.keyClick(view.sheet, Qt.Key.Key_Return)
    assert len(view.variant.side.nodes) == 2
    assert view.variant.front == SERPENTINE.front


def wheel(view, point, steps, modifier):
    event = QWheelEvent(
        QPointF(point), QPointF(view.sheet.mapToGlobal(point)), QPoint(0, 0), QPoint(0, round(120 * steps)),
        Qt.MouseButton.NoButton, modifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(view.sheet, event)
    return event.isAccepted()


def test_ctrl_and_the_wheel_zoom_about_the_mouse_and_the_wheel_moves_along(view):
    point = at(view, "front", 0.0, 300.0)
    height = view.sheet.arrangement.height_at(QPointF(point))
    factor = view.sheet.arrangement.factor
    wheel(view, point, 3, Qt.KeyboardModifier.ControlModifier)
    near = view.sheet.arrangement
    assert near.high - near.low < 300.0
    assert near.height_at(QPointF(point)) == pytest.approx(height, abs=0.5)
    assert near.factor < factor
    wheel(view, point, -1, NONE)
    assert view.sheet.arrangement.low < near.low
    view.actions_by_key["whole"].trigger()
    assert (view.sheet.arrangement.low, view.sheet.arrangement.high) == (0.0, 420.0)


def test_the_right_button_brings_the_menu_for_the_node_under_it(qtbot, view):
    point = of_node(view, "front", 2)
    qtbot.mouseClick(view.sheet, Qt.MouseButton.RightButton, NONE, point)
    view.sheet.menu_asked.emit(view.sheet.mapToGlobal(point))
    assert view.selected() == ("front", (2,))
    menu = QApplication.activePopupWidget()
    assert isinstance(menu, QMenu)
    words = {a.text(): a for a in menu.actions() if a.text()}
    assert words["Delete"].isEnabled()
    words["Delete"].trigger()
    menu.close()
    assert view.variant.front.nodes == tuple(n for i, n in enumerate(SERPENTINE.front.nodes) if i != 2)


def test_a_blank_of_another_length_is_shown_whole(view):
    wheel(view, at(view, "front", 0.0, 300.0), 3, Qt.KeyboardModifier.ControlModifier)
    view.show_variant(replace(SERPENTINE, blank=Blank(60.0, 60.0, 600.0)), "mm")
    assert (view.sheet.arrangement.low, view.sheet.arrangement.high) == (0.0, 600.0)
