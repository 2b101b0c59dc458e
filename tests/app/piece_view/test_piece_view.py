"""The view of one piece, with real mouse and keys, judged by its pixels."""

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication

from app.look import DARK, LIGHT
from geometry.tolerances import LIVE_CHORD_MM
from tests.app.piece_view.looking import (
    LEFT,
    RIGHT,
    WAVE,
    built,
    changed,
    like,
    number_places,
    pixels,
    settle,
    variant,
    wood,
)

ROOT = Path(__file__).resolve().parents[3]


def drag(qtbot, view, start, step, button=Qt.MouseButton.LeftButton, modifier=Qt.KeyboardModifier.NoModifier):
    qtbot.mousePress(view, button, modifier, start)
    for share in (0.25, 0.5, 0.75, 1.0):
        here = start + QPoint(round(step.x() * share), round(step.y() * share))
        event_move(view, here, button, modifier)
    qtbot.mouseRelease(view, button, modifier, start + step)


def event_move(view, here, button, modifier):
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QMouseEvent

    place = QPointF(here)
    move = QMouseEvent(QEvent.Type.MouseMove, place, view.mapToGlobal(place), Qt.MouseButton.NoButton, button, modifier)
    QApplication.sendEvent(view, move)


def wheel(view, place, notches):
    at = QPointF(place)
    event = QWheelEvent(
        at, view.mapToGlobal(at), QPoint(), QPoint(0, 120 * notches), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(view, event)


def outline(view) -> tuple[int, int, int, int]:
    """First and last column, first and last row of the wood."""
    rows, columns = np.nonzero(wood(pixels(view)))
    return columns.min(), columns.max(), rows.min(), rows.max()


def middle_at(view, share: float) -> float:
    """The middle column of the wood at a share of its height from its foot."""
    mask = wood(pixels(view))
    rows = np.nonzero(mask.any(axis=1))[0]
    row = round(rows[-1] - share * (rows[-1] - rows[0]))
    return float(np.nonzero(mask[row])[0].mean())


# ---------------------------------------------------------------- what is where


@pytest.mark.parametrize(("side", "sign"), [(RIGHT, 1), (LEFT, -1)])
def test_where_the_front_line_swings_the_piece_swings_seen_from_the_front(area, qtbot, side, sign):
    area.show_built("A", built(variant(front=side)))
    view = area.views["A"]
    area.parallel_action.setChecked(True)
    for name, expected in (("front", sign), ("back", -sign), ("right", 0), ("left", 0)):
        area.view_actions[name].trigger()
        settle(qtbot, area)
        swing = middle_at(view, 0.5) - (middle_at(view, 0.02) + middle_at(view, 0.98)) / 2.0
        top, foot = outline(view)[2:]
        mm = swing / (foot - top) * 420.0
        assert mm == pytest.approx(18.0 * expected, abs=1.5)


@pytest.mark.parametrize(("side", "sign"), [(RIGHT, 1), (LEFT, -1)])
def test_where_the_side_line_swings_the_piece_swings_seen_from_the_right(area, qtbot, side, sign):
    area.show_built("A", built(variant(side=side)))
    for name, expected in (("right", sign), ("left", -sign), ("front", 0)):
        area.view_actions[name].trigger()
        settle(qtbot, area)
        view = area.views["A"]
        swing = middle_at(view, 0.5) - (middle_at(view, 0.02) + middle_at(view, 0.98)) / 2.0
        assert np.sign(round(swing / 4.0)) == expected


def test_the_whole_piece_is_in_the_picture_from_every_side_at_every_stage(area, qtbot):
    view = area.views["A"]
    for name, action in area.view_actions.items():
        for turn in (0.0, 1 / 3, 2 / 3, 1.0):
            action.trigger()
            area.turn = turn
            settle(qtbot, area)
            first, last, top, foot = outline(view)
            assert first > 5, name
            assert last < view.width() - 6, name
            assert top > 5, name
            assert foot < view.height() - 6, name


def test_from_above_the_front_face_is_at_the_lower_edge_and_its_right_at_the_right(area, qtbot):
    area.turn = 0.0
    area.numbers_action.setChecked(True)
    area.view_actions["top"].trigger()
    settle(qtbot, area)
    ends = number_places(area.views["A"])
    x = {number: end[0] for number, end in ends.items()}
    y = {number: end[1] for number, end in ends.items()}
    assert max(x[1], x[4]) < min(x[2], x[3])
    assert max(y[3], y[4]) < min(y[1], y[2])  # rows count from the top


# ---------------------------------------------------------------- mouse and keys


def test_a_drag_goes_round_and_the_piece_stays_upright(area, qtbot):
    view = area.views["A"]
    before, pose = pixels(view), area.viewpoint.pose
    drag(qtbot, view, QPoint(250, 250), QPoint(-80, 0))
    settle(qtbot, area)
    after = area.viewpoint.pose
    assert changed(before, pixels(view)) > 2000
    assert after.azimuth_deg == pytest.approx(pose.azimuth_deg + 32.0)
    assert after.elevation_deg == pose.elevation_deg
    assert after.half_height == pytest.approx(pose.half_height)
    drag(qtbot, view, QPoint(250, 250), QPoint(30, 40))
    drag(qtbot, view, QPoint(250, 250), QPoint(-30, -40))
    settle(qtbot, area)
    camera = view.stage.scene.renderer.GetActiveCamera()
    right = np.cross(camera.GetDirectionOfProjection(), camera.GetViewUp())
    assert right[2] == pytest.approx(0.0, abs=1e-9)  # no roll, ever


def test_no_drag_goes_over_the_top(area, qtbot):
    view = area.views["A"]
    drag(qtbot, view, QPoint(250, 10), QPoint(0, 480))
    assert area.viewpoint.pose.elevation_deg == 90.0
    drag(qtbot, view, QPoint(250, 490), QPoint(0, -480))
    drag(qtbot, view, QPoint(250, 490), QPoint(0, -480))
    assert area.viewpoint.pose.elevation_deg == -90.0


@pytest.mark.parametrize(
    ("button", "modifier"),
    [
        (Qt.MouseButton.RightButton, Qt.KeyboardModifier.NoModifier),
        (Qt.MouseButton.MiddleButton, Qt.KeyboardModifier.NoModifier),
        (Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ShiftModifier),
    ],
)
def test_a_pan_carries_the_piece_along_under_the_pointer(area, qtbot, button, modifier):
    view = area.views["A"]
    area.parallel_action.setChecked(True)
    area.view_actions["front"].trigger()
    settle(qtbot, area)
    before = np.array(outline(view))
    drag(qtbot, view, QPoint(250, 250), QPoint(37, -21), button, modifier)
    settle(qtbot, area)
    assert np.abs(np.array(outline(view)) - before - [37, 37, -21, -21]).max() <= 1


def test_the_wheel_zooms_and_holds_what_is_under_the_pointer(area, qtbot):
    view = area.views["A"]
    area.view_actions["front"].trigger()
    area.show_built("A", built(variant(RIGHT)))
    settle(qtbot, area)
    first, last, top, foot = outline(view)
    corner = QPoint(int(first), int(foot))
    wheel(view, corner, -2)  # further away
    settle(qtbot, area)
    away = outline(view)
    assert away[1] - away[0] < 0.9 * (last - first)
    assert (away[0], away[3]) == pytest.approx((first, foot), abs=2)
    wheel(view, corner, 2)
    settle(qtbot, area)
    assert outline(view) == pytest.approx((first, last, top, foot), abs=1)


def test_a_double_click_brings_the_whole_piece_back(area, qtbot):
    view = area.views["A"]
    before = area.viewpoint.pose
    wheel(view, QPoint(100, 100), 5)
    assert area.viewpoint.pose != before
    qtbot.mouseDClick(view, Qt.MouseButton.LeftButton, pos=QPoint(250, 250))
    assert area.viewpoint.pose == before


def test_keys_go_round_zoom_pan_and_fit(area, qtbot):
    view, start = area.views["A"], area.viewpoint.pose
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_Right)
    qtbot.keyClick(view, Qt.Key.Key_Up)
    turned = area.viewpoint.pose
    assert turned.azimuth_deg == pytest.approx(start.azimuth_deg - 7.5)
    assert turned.elevation_deg == pytest.approx(start.elevation_deg + 7.5)
    qtbot.keyClick(view, Qt.Key.Key_Plus)
    assert area.viewpoint.pose.half_height < turned.half_height
    qtbot.keyClick(view, Qt.Key.Key_Minus)
    assert area.viewpoint.pose.half_height == pytest.approx(turned.half_height)
    qtbot.keyClick(view, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert area.viewpoint.pose.azimuth_deg == turned.azimuth_deg
    assert area.viewpoint.pose.target != turned.target
    qtbot.keyClick(view, Qt.Key.Key_Home)
    assert area.viewpoint.pose == turned


def test_the_focus_is_seen(area, qtbot):
    view = area.views["A"]
    area.activateWindow()
    area.slider.setFocus()
    without = pixels(view)
    view.setFocus()
    with_focus = pixels(view)
    accent = (LIGHT.accent.red(), LIGHT.accent.green(), LIGHT.accent.blue())
    rim = np.concatenate([with_focus[1], with_focus[-2], with_focus[:, 1], with_focus[:, -2]])
    assert (np.abs(rim - accent).max(axis=1) < 20).mean() > 0.95
    assert like(without, accent) == 0


# ---------------------------------------------------------------- what is shown


def test_a_new_piece_takes_the_old_one_s_place_and_the_eye_stays(area, qtbot):
    view = area.views["A"]
    wheel(view, QPoint(200, 200), 2)
    settle(qtbot, area)
    before, pose = pixels(view), area.viewpoint.pose
    with qtbot.waitSignal(view.picture_painted):
        area.show_built("A", built(variant(RIGHT, WAVE)))
    assert area.viewpoint.pose == pose
    settle(qtbot, area)
    assert changed(before, pixels(view)) > 1000


def test_a_hundred_pieces_between_two_repaints_are_rendered_once(area, qtbot):
    view, painted = area.views["A"], []
    view.picture_painted.connect(lambda: painted.append(1))
    pieces = [built(variant(((0, 0), (u, 210), (0, 420)))) for u in (2, 4, 6, 8, 10)]
    for _ in range(20):
        for piece in pieces:
            area.show_built("A", piece)
    QApplication.processEvents()
    assert len(painted) <= 1
    settle(qtbot, area)
    assert view.built is pieces[-1]


def test_the_fine_piece_that_follows_at_rest_does_not_flicker(area, qtbot):
    view, design, rough = area.views["A"], variant(RIGHT, WAVE), []
    area.show_built("A", built(design, chord_mm=LIVE_CHORD_MM))
    settle(qtbot, area)
    view.picture_painted.connect(lambda: rough.append(not view.is_at_rest))
    area.show_built("A", built(design))
    settle(qtbot, area)
    assert rough == [False]


def test_while_newer_pieces_are_on_their_way_no_time_is_spent_on_smooth_edges(area, qtbot):
    view, design, smooth = area.views["A"], variant(RIGHT, WAVE), []
    view.picture_painted.connect(lambda: smooth.append(not view._stale.smooth))
    area.set_building(True)
    with qtbot.waitSignal(view.picture_painted):
        area.show_built("A", built(design, chord_mm=LIVE_CHORD_MM))
    with qtbot.waitSignal(view._rest.timeout):
        pass
    QApplication.processEvents()
    assert smooth == [False]
    area.set_building(False)
    area.show_built("A", built(design))
    settle(qtbot, area)
    assert smooth == [False, True]  # and then at once


def test_edges_are_rough_while_moving_and_smooth_at_rest(area, qtbot):
    view = area.views["A"]
    area.viewpoint.orbit(10, 0)
    view.repaint()
    assert not view.is_at_rest
    moving = pixels(view)
    settle(qtbot, area)
    resting = pixels(view)
    assert area.views["A"]._offscreen._window.GetMultiSamples() == 4
    # Only edges and shadow differ; the wood is where it was.
    assert 100 < changed(moving, resting) < 0.2 * moving[..., 0].size


def test_the_level_line_lies_at_its_height(area, qtbot):
    view = area.views["A"]
    area.parallel_action.setChecked(True)
    area.view_actions["front"].trigger()
    settle(qtbot, area)
    plain = pixels(view)
    top, foot = outline(view)[2:]
    accent = np.array([LIGHT.accent.red(), LIGHT.accent.green(), LIGHT.accent.blue()])
    for z in (30.0, 210.0, 400.0):
        area.set_level(z)
        picture = pixels(view)
        marked = (np.abs(picture - accent).max(axis=2) < 40) & wood(plain)
        rows = np.nonzero(marked.sum(axis=1) > 0.5 * wood(plain).any(axis=0).sum() * 0.5)[0]
        expected = foot - z / 420.0 * (foot - top)
        assert rows.mean() == pytest.approx(expected, abs=2.0)
    area.set_level(None)
    assert changed(plain, pixels(view)) == 0


def test_the_level_line_behind_the_wood_is_not_drawn(area, qtbot):
    view = area.views["A"]
    area.view_actions["three-quarter"].trigger()
    settle(qtbot, area)
    pieces = view.stage.outline_at(210.0)
    middles = pieces.mean(axis=1)
    seen = view._offscreen.can_see(middles)
    # From the front right the faces at -y and +x are seen, those at +y and -x are not. Ends of the section:
    (x0, y0), (x1, y1) = middles[:, :2].min(axis=0), middles[:, :2].max(axis=0)
    front, back = np.abs(middles[:, 1] - y0) < 1e-6, np.abs(middles[:, 1] - y1) < 1e-6
    right, left = np.abs(middles[:, 0] - x1) < 1e-6, np.abs(middles[:, 0] - x0) < 1e-6
    assert seen[front].all()
    assert seen[right].all()
    assert not seen[back].any()
    assert not seen[left].any()


def test_pointing_at_the_piece_tells_the_height(area, qtbot):
    view, heard = area.views["A"], []
    area.level_changed.connect(heard.append)
    area.parallel_action.setChecked(True)
    area.view_actions["front"].trigger()
    settle(qtbot, area)
    top, foot = outline(view)[2:]
    row = round(foot - 0.25 * (foot - top))
    column = round(np.nonzero(wood(pixels(view))[row])[0].mean())
    event_move(view, QPoint(column, row), Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier)
    qtbot.waitUntil(lambda: len(heard) == 1)
    assert heard[0] == pytest.approx(105.0, abs=1.5)
    event_move(view, QPoint(10, 10), Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier)
    qtbot.waitUntil(lambda: len(heard) == 2)
    assert heard[1] is None


def test_what_cannot_be_sawn_greys_the_last_piece_and_says_why(area, qtbot):
    view = area.views["A"]
    before = pixels(view)
    sentence = "The front line leaves the front face at 214 mm up. Move the node in by 4 mm."
    area.set_impossible("A", sentence)
    grey = pixels(view)
    assert wood(before).sum() > 5000
    assert wood(grey).sum() < 250  # the mark of a stop is red
    assert (grey[wood(before)].std(axis=0) > 5).all()  # the piece is still told from its ground
    assert sentence in view.accessibleDescription()
    paper = (LIGHT.paper.red(), LIGHT.paper.green(), LIGHT.paper.blue())
    assert like(grey[-90:], paper, 4) > 3000  # the slip with the reason
    area.set_impossible("A", None)
    assert changed(before, pixels(view)) == 0
    assert sentence not in view.accessibleDescription()


def test_a_piece_without_wood_leaves_the_last_good_one(area, qtbot):
    view = area.views["A"]
    before, good = pixels(view), view.built
    nothing = built(variant(((-40, 0), (-40, 420)), ((-40, 0), (-40, 420)), blank=None))
    if any(not quarter.is_empty for quarter in nothing.quarters):
        from dataclasses import replace

        from geometry.solids import NO_WOOD

        piece = replace(nothing.report.piece, quarters=(NO_WOOD,) * 4)
        nothing = replace(nothing, report=replace(nothing.report, piece=piece))
    area.show_built("A", nothing)
    settle(qtbot, area)
    assert view.built is good
    assert changed(before, pixels(view)) == 0


def test_some_quarters_without_wood_are_no_trouble(area, qtbot):
    # Both lines lie beyond the blank's left and front faces: only quarter 3 has wood.
    area.show_built("A", built(variant(((-40, 0), (-40, 420)), ((-40, 0), (-40, 420)))))
    area.numbers_action.setChecked(True)
    area.set_level(100.0)
    for turn in (0.0, 0.5, 1.0):
        area.turn = turn
        settle(qtbot, area)
    assert list(area.views["A"].stage.top_ends()) == [3]


def test_words_appear_only_when_building_takes_long(area, qtbot):
    view = area.views["A"]
    before = pixels(view)
    area.set_building(True)
    assert changed(before, pixels(view)) == 0
    area.set_building(False)
    area.set_building(True)
    qtbot.waitUntil(lambda: changed(before, pixels(view)) > 50, timeout=5000)
    area.set_building(False)
    assert changed(before, pixels(view)) == 0


def test_day_and_night(area, qtbot):
    view = area.views["A"]
    day = pixels(view)
    area.set_theme("dark")
    settle(qtbot, area)
    night = pixels(view)
    assert day[5:40].mean() > 215
    assert night[5:40].mean() < 60
    assert DARK.is_dark


def test_an_empty_view_says_so_and_takes_every_gesture(qtbot):
    from app.piece_view import PieceArea

    area = PieceArea()
    qtbot.addWidget(area, before_close_func=lambda area: area.shutdown())
    area.resize(400, 400)
    with qtbot.waitExposed(area):
        area.show()
    settle(qtbot, area)
    view = area.views["A"]
    assert "as soon as it is worked out" in view.accessibleDescription()
    drag(qtbot, view, QPoint(100, 100), QPoint(20, 20))
    wheel(view, QPoint(100, 100), 1)
    area.numbers_action.setChecked(True)
    area.set_level(100.0)
    area.turn = 0.5
    area.fit()
    settle(qtbot, area)
    assert wood(pixels(view)).sum() == 0
    assert not area.copy_action.isEnabled()


def test_fine_screens_get_fine_pictures():
    script = """
import sys
from PySide6.QtWidgets import QApplication
from app.piece_view import PieceArea
application = QApplication([])
area = PieceArea()
area.resize(300, 300)
area.show()
application.processEvents()
view = area.views["A"]
print(area.devicePixelRatioF(), view._image.size() == 2 * view.size())
area.shutdown()
"""
    environment = {"QT_QPA_PLATFORM": "offscreen", "QT_SCALE_FACTOR": "2", "PATH": "/usr/bin"}
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, env=environment, capture_output=True, text=True, timeout=120
    )
    assert (done.returncode, done.stdout.split()) == (0, ["2.0", "True"]), done.stderr
