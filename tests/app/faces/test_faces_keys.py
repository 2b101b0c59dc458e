"""The faces under the keyboard: everything the mouse can do, with visible focus and words for the ear."""

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget

from app.faces import FacesView
from app.faces.commands import COMMANDS
from geometry.copying import copied_to_other_face, mirrored, stood_on_other_end
from geometry.project import Blank, Cut, Variant
from tests.app.faces.hands import (
    SERPENTINE,
    SHIFT,
    STRAIGHT,
    WITH_A_POST,
    Told,
    click,
    differing,
    node,
    of_node,
    picture,
)

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier


def press(qtbot, view, key, modifier=Qt.KeyboardModifier.NoModifier):
    qtbot.keyClick(view.sheet, key, modifier)


# ---------------------------------------------------------------- nudging


@pytest.mark.parametrize(
    ("key", "modifier", "units", "moved"),
    [
        (Key.Key_Right, None, "mm", (1.0, 0.0)),
        (Key.Key_Left, None, "mm", (-1.0, 0.0)),
        (Key.Key_Up, None, "mm", (0.0, 1.0)),
        (Key.Key_Down, SHIFT, "mm", (0.0, -0.1)),
        (Key.Key_Right, None, "in", (25.4 / 16, 0.0)),
        (Key.Key_Up, SHIFT, "in", (0.0, 25.4 / 160)),
    ],
)
def test_an_arrow_key_moves_a_node_by_a_step(qtbot, show, key, modifier, units, moved):
    view = show(units=units)
    click(qtbot, view, of_node(view, "front", 1))
    press(qtbot, view, key, modifier or Qt.KeyboardModifier.NoModifier)
    u, z = view.variant.front.nodes[1].at
    assert (u - 8.0, z - 140.0) == (pytest.approx(moved[0]), pytest.approx(moved[1]))
    assert view.told.course == ["started Nudge node", "changed", "finished"]


def test_on_the_lying_sheet_a_node_goes_where_the_arrow_points(qtbot, show):
    view = show(lying=True, size=(760, 560))
    click(qtbot, view, of_node(view, "front", 1))
    before = of_node(view, "front", 1)
    for _ in range(4):
        press(qtbot, view, Key.Key_Right)
    assert of_node(view, "front", 1).x() > before.x()
    assert view.variant.front.nodes[1].at == (8.0, 144.0)
    for _ in range(4):
        press(qtbot, view, Key.Key_Up)
    assert of_node(view, "front", 1).y() < before.y()
    assert view.variant.front.nodes[1].at == (4.0, 144.0)


def test_a_held_arrow_is_one_step_and_escape_takes_it_back(qtbot, view):
    click(qtbot, view, of_node(view, "front", 1))
    for _ in range(5):
        qtbot.keyPress(view.sheet, Key.Key_Right)
    assert view.variant.front.nodes[1].at == (13.0, 140.0)
    assert view.told.course == ["started Nudge node", "changed"]
    press(qtbot, view, Key.Key_Escape)
    assert view.variant == SERPENTINE
    assert view.told.course[-1] == "cancelled"
    qtbot.keyRelease(view.sheet, Key.Key_Right)
    assert view.told.course[-1] == "cancelled"


def test_losing_the_keyboard_ends_a_nudge(qtbot, view):
    click(qtbot, view, of_node(view, "front", 1))
    qtbot.keyPress(view.sheet, Key.Key_Right)
    view.sheet.clearFocus()
    assert view.told.course == ["started Nudge node", "changed", "finished"]


def test_without_a_node_the_arrows_are_left_to_others(qtbot, view):
    press(qtbot, view, Key.Key_Right)
    assert view.variant == SERPENTINE
    assert view.told.steps == []


# ---------------------------------------------------------------- walking


@pytest.fixture
def between(qtbot):
    """The faces with a field before and a field behind."""
    window = QWidget()
    qtbot.addWidget(window)
    column = QVBoxLayout(window)
    before, view, behind = QLineEdit(window), FacesView(window), QLineEdit(window)
    for widget in (before, view, behind):
        column.addWidget(widget)
    QWidget.setTabOrder(before, view.sheet)
    QWidget.setTabOrder(view.sheet, behind)
    window.resize(420, 800)
    view.show_variant(SERPENTINE, "mm")
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()
    before.setFocus()
    view.told = Told(view)
    yield before, view, behind
    window.close()


def test_tab_walks_the_nodes_of_both_faces_and_then_goes_on(qtbot, between):
    before, view, behind = between
    walked = []
    qtbot.keyClick(before, Key.Key_Tab)
    while view.sheet.hasFocus() and len(walked) < 20:
        walked.append(view.selected())
        press(qtbot, view, Key.Key_Tab)
    assert walked == [("front", (i,)) for i in range(4)] + [("side", (i,)) for i in range(5)]
    assert behind.hasFocus()
    qtbot.keyClick(behind, Key.Key_Backtab)
    assert view.selected() == ("side", (4,))
    press(qtbot, view, Key.Key_Backtab)
    assert view.selected() == ("side", (3,))
    assert view.told.levels[-1] == 315.0


def test_escape_and_tab_leave_the_sheet_at_once(qtbot, between):
    before, view, behind = between
    qtbot.keyClick(before, Key.Key_Tab)
    press(qtbot, view, Key.Key_Escape)
    assert view.selected() == ("front", ())
    press(qtbot, view, Key.Key_Tab)
    assert behind.hasFocus()


def test_home_and_end_go_to_the_first_and_the_last_node(qtbot, view):
    press(qtbot, view, Key.Key_End)
    assert view.selected() == ("front", (3,))
    press(qtbot, view, Key.Key_Home)
    assert view.selected() == ("front", (0,))


def test_page_keys_move_the_level(qtbot, view):
    press(qtbot, view, Key.Key_PageUp)
    assert view.level == pytest.approx(210.0)
    press(qtbot, view, Key.Key_PageUp)
    assert view.level == pytest.approx(231.0)
    press(qtbot, view, Key.Key_PageDown, SHIFT)
    assert view.level == pytest.approx(228.9)
    assert view.told.levels[-1] == view.level


def test_the_node_in_hand_has_a_ring_only_with_the_keyboard(qtbot, view):
    press(qtbot, view, Key.Key_Home)
    press(qtbot, view, Key.Key_Tab)
    with_ring = picture(view)
    view.sheet.clearFocus()
    without = picture(view)
    spot = of_node(view, "front", 1)
    around = view.sheet.rect().intersected(_box(spot, 14))
    assert differing(with_ring, without, around) > 20


def _box(middle, half):
    return QRect(middle - QPoint(half, half), middle + QPoint(half, half))


def test_the_selected_node_is_told_to_the_ear(qtbot, view):
    click(qtbot, view, of_node(view, "front", 1))
    said = view.sheet.accessibleDescription()
    assert said == "Front line, node 2 of 4, smooth: 8 mm right of the centre line, 140 mm up"
    press(qtbot, view, Key.Key_Left)
    assert "7 mm right" in view.sheet.accessibleDescription()
    assert view.sheet.accessibleName()


# ---------------------------------------------------------------- commands


def test_delete_takes_nodes_out_and_leaves_the_one_before_in_hand(qtbot, view):
    assert not view.actions_by_key["delete"].isEnabled()
    click(qtbot, view, of_node(view, "side", 2))
    press(qtbot, view, Key.Key_Delete)
    nodes = SERPENTINE.side.nodes
    assert view.variant.side.nodes == (*nodes[:2], *nodes[3:])
    assert view.selected() == ("side", (1,))
    assert view.told.course == ["edited Delete nodes"]


def test_with_all_nodes_deleted_the_line_is_straight(qtbot, view):
    press(qtbot, view, Key.Key_A, CTRL)
    assert view.selected() == ("front", (0, 1, 2, 3))
    press(qtbot, view, Key.Key_Delete)
    assert view.variant.front.nodes == ()
    assert view.selected() == ("front", ())


def test_corner_and_smooth_by_key(qtbot, view):
    click(qtbot, view, of_node(view, "front", 1))
    assert not view.actions_by_key["smooth"].isEnabled()
    press(qtbot, view, Key.Key_C)
    assert view.variant.front.nodes[1].kind == "corner"
    assert not view.actions_by_key["corner"].isEnabled()
    press(qtbot, view, Key.Key_S)
    assert view.variant == SERPENTINE


def test_leaving_along_the_straight_is_offered_where_a_straight_meets_a_curve(qtbot, show):
    view = show(WITH_A_POST)
    for number, offered in ((0, False), (1, False), (3, True), (4, False)):
        click(qtbot, view, of_node(view, "front", number))
        assert view.actions_by_key["along"].isEnabled() == offered
    click(qtbot, view, of_node(view, "front", 3))
    press(qtbot, view, Key.Key_A)
    assert not view.variant.front.nodes[3].tangent
    press(qtbot, view, Key.Key_A)
    assert view.variant == WITH_A_POST


def test_a_node_is_added_half_way_by_key(qtbot, view):
    click(qtbot, view, of_node(view, "front", 1))
    press(qtbot, view, Key.Key_Insert)
    nodes = view.variant.front.nodes
    assert len(nodes) == 5
    assert 180.0 < nodes[2].at[1] < 240.0
    assert view.selected() == ("front", (2,))


def test_a_straight_line_is_bent_by_keys_alone(qtbot, show):
    view = show(STRAIGHT)
    press(qtbot, view, Key.Key_Insert)
    assert view.selected() == ("front", (1,))
    for _ in range(7):
        press(qtbot, view, Key.Key_Right)
    assert [n.at for n in view.variant.front.nodes] == [(0.0, 0.0), (7.0, 210.0), (0.0, 420.0)]


def test_mirror_and_the_other_end(qtbot, view):
    press(qtbot, view, Key.Key_M)
    assert view.variant.front == mirrored(SERPENTINE.front)
    press(qtbot, view, Key.Key_M)
    press(qtbot, view, Key.Key_E)
    assert view.variant.front == stood_on_other_end(SERPENTINE.front, 420.0)
    assert view.told.course == ["edited Mirror line", "edited Mirror line", "edited Stand line on the other end"]


@pytest.mark.parametrize(("modifier", "sense"), [(Qt.KeyboardModifier.NoModifier, "together"), (SHIFT, "apart")])
def test_copying_to_the_other_face_in_two_senses(qtbot, view, modifier, sense):
    press(qtbot, view, Key.Key_K, modifier)
    assert view.variant == copied_to_other_face(SERPENTINE, "front", sense)
    sign = -1.0 if sense == "together" else 1.0
    assert view.variant.side.nodes[1].at == (sign * 8.0, 140.0)


def test_a_stretch_is_straightened_into_a_post(qtbot, view):
    click(qtbot, view, of_node(view, "side", 2))
    assert not view.actions_by_key["post"].isEnabled()
    click(qtbot, view, of_node(view, "side", 3), SHIFT)
    press(qtbot, view, Key.Key_P)
    places = [n.at for n in view.variant.side.nodes if n.kind == "corner"]
    assert (0.0, 210.0) in places
    assert (0.0, 315.0) in places
    cut, chosen = view.selected()
    assert [view.variant.cut(cut).nodes[i].at for i in chosen] == [(0.0, 210.0), (0.0, 315.0)]


def test_a_line_drawn_downward_is_turned_round(qtbot, show):
    down = Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(nodes=(node(0, 420), node(9, 200), node(2, 0))))
    view = show(down)
    assert view.actions_by_key["reverse"].isEnabled()
    press(qtbot, view, Key.Key_R)
    assert [n.at for n in view.variant.front.nodes] == [(2.0, 0.0), (9.0, 200.0), (0.0, 420.0)]
    assert not view.actions_by_key["reverse"].isEnabled()


def test_going_to_the_other_face_takes_the_node_at_about_that_height(qtbot, view):
    click(qtbot, view, of_node(view, "front", 2))
    press(qtbot, view, Key.Key_O)
    assert view.selected() == ("side", (3,))
    assert view.told.steps == []


def test_every_action_has_words_and_a_key_of_its_own(view):
    shortcuts = [s.toString() for a in view.actions_by_key.values() for s in a.shortcuts()]
    assert all(shortcuts)
    assert len(set(shortcuts)) == len(shortcuts)
    for action in view.actions_by_key.values():
        assert action.text()
        assert len(action.toolTip()) > 8
        assert action in view.actions()
    assert {c.key for group in COMMANDS for c in group} <= set(view.actions_by_key)


def test_nothing_a_command_offers_fails_on_any_line(qtbot, show):
    lines = (SERPENTINE, STRAIGHT, WITH_A_POST, replace(SERPENTINE, front=WITH_A_POST.front))
    for variant in lines:
        for key in (c.key for group in COMMANDS for c in group):
            view = show(variant)
            view.actions_by_key["all"].trigger()
            action = view.actions_by_key[key]
            if action.isEnabled():
                action.trigger()
            QApplication.processEvents()
            cut, chosen = view.selected()
            assert all(i < len(view.variant.cut(cut).nodes) for i in chosen)
            view.close()
