"""The area with its slider, its actions and two variants side by side."""

import gc
import weakref

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from app.look import quarter_colour
from app.piece_view import PieceArea
from geometry.errors import NoSolidError
from geometry.turning import STOPS
from tests.app.piece_view.looking import (
    LEFT,
    RIGHT,
    WAVE,
    built,
    changed,
    drawn,
    like,
    number_places,
    pixels,
    settle,
    variant,
    wood,
)

# ---------------------------------------------------------------- turning


def test_the_slider_moves_the_quarters(area, qtbot):
    view, heard = area.views["A"], []
    area.turn_changed.connect(heard.append)
    seen = {1.0: pixels(view)}
    for _, turn in STOPS[:-1]:
        area.slider.set_turn(turn)
        settle(qtbot, area)
        seen[turn] = pixels(view)
    assert heard == pytest.approx([0.0, 1 / 3, 2 / 3])
    turns = list(seen)
    for i, first in enumerate(turns):
        for second in turns[i + 1 :]:
            assert changed(seen[first], seen[second]) > 3000


def test_opened_quarters_show_the_ground_between_them(area, qtbot):
    area.view_actions["front"].trigger()
    for turn, gaps in ((0.0, 1), (1 / 3, 1), (2 / 3, 1), (1.0, 0)):
        area.turn = turn
        settle(qtbot, area)
        mask = wood(pixels(area.views["A"]))
        row = mask[mask.shape[0] // 2]
        inside = row[np.nonzero(row)[0][0] : np.nonzero(row)[0][-1] + 1]
        ends = int((np.diff(inside.astype(int)) == -1).sum())
        assert ends == (gaps if turn else ends)  # the sawn slot may be hidden behind a swing


def test_words_are_under_their_stops_and_a_click_on_one_goes_there(area, qtbot):
    slider = area.slider
    places = slider.stop_places()
    assert list(places) == ["sawn", "opened", "turned", "glued"]
    steps = np.diff(list(places.values()))
    assert steps == pytest.approx([steps[0]] * 3)
    for name, turn in STOPS:
        qtbot.mouseClick(slider, Qt.MouseButton.LeftButton, pos=QPoint(round(places[name]) + 3, slider.height() - 5))
        assert area.turn == pytest.approx(turn)
        assert name in slider.accessibleDescription()


@pytest.mark.parametrize("width", [260, 360, 480, 800, 1200])
def test_no_word_is_cut_off(area, qtbot, width):
    area.resize(width, 600)
    QApplication.processEvents()
    assert area.width() == width
    slider = area.slider
    assert slider.width() >= slider.minimumSizeHint().width()
    row = [area.play_button, slider, area.numbers_button, area.view_button]
    assert all(area.rect().contains(each.geometry()) for each in row)
    assert all(each.width() >= each.minimumSizeHint().width() for each in row)
    assert not any(a.geometry().intersects(b.geometry()) for i, a in enumerate(row) for b in row[i + 1 :])
    metrics = slider.fontMetrics()
    spans = [
        (x - metrics.horizontalAdvance(name) / 2.2, x + metrics.horizontalAdvance(name) / 2.2)
        for name, x in slider.stop_places().items()
    ]
    assert spans[0][0] >= 0
    assert spans[-1][1] <= slider.width()
    for (_, end), (start, _) in zip(spans, spans[1:], strict=False):
        assert end + 4 <= start


def test_the_slider_by_keys(area, qtbot):
    slider = area.slider
    slider.setFocus()
    qtbot.keyClick(slider, Qt.Key.Key_Home)
    assert area.turn == 0.0
    for expected in (1 / 3, 2 / 3, 1.0, 1.0):
        qtbot.keyClick(slider, Qt.Key.Key_PageUp)
        assert area.turn == pytest.approx(expected)
    qtbot.keyClick(slider, Qt.Key.Key_Left)
    assert 0.95 < area.turn < 1.0
    assert slider.stage() == "between turned and glued"
    qtbot.keyClick(slider, Qt.Key.Key_PageDown)
    assert area.turn == pytest.approx(2 / 3)
    qtbot.keyClick(slider, Qt.Key.Key_End)
    assert area.turn == 1.0


def test_play_runs_from_sawn_to_glued_and_stops(area, qtbot):
    heard, view = [], area.views["A"]
    painted = []
    view.picture_painted.connect(lambda: painted.append(area.turn))
    area.turn_changed.connect(heard.append)
    area.player.whole_ms = 1500
    qtbot.mouseClick(area.play_button, Qt.MouseButton.LeftButton)
    assert area.player.is_playing
    assert area.play_button.text() == "Stop"
    qtbot.waitUntil(lambda: not area.player.is_playing, timeout=20_000)
    assert area.play_button.text() == "Play"
    assert heard[0] == 0.0
    assert heard[-1] == 1.0
    assert heard == sorted(heard)
    settle(qtbot, area)
    assert len([turn for turn in painted if 0.0 < turn < 1.0]) >= 3
    assert not area.player._timer.isActive()


def test_play_stops_on_a_second_press_and_when_the_slider_is_taken(area, qtbot):
    area.play_action.trigger()
    area.play_action.trigger()
    assert not area.player.is_playing
    area.play_action.trigger()
    qtbot.mousePress(area.slider, Qt.MouseButton.LeftButton, pos=QPoint(area.slider.width() // 2, 14))
    assert not area.player.is_playing
    qtbot.mouseRelease(area.slider, Qt.MouseButton.LeftButton, pos=QPoint(area.slider.width() // 2, 14))
    assert area.turn == pytest.approx(0.5, abs=0.05)


def test_while_it_plays_the_piece_stays_in_the_picture(area, qtbot):
    view = area.views["A"]
    area.player.whole_ms = 1200
    edges = []
    view.picture_painted.connect(lambda: edges.append(wood(pixels(view))))
    area.play_action.trigger()
    qtbot.waitUntil(lambda: not area.player.is_playing, timeout=20_000)
    assert len(edges) > 2
    for mask in edges:
        assert not mask[:4].any()
        assert not mask[-4:].any()
        assert not mask[:, :4].any()
        assert not mask[:, -4:].any()


# ---------------------------------------------------------------- numbers


def test_numbers_are_written_on_the_quarters(area, qtbot):
    view = area.views["A"]
    area.turn = 1 / 3
    settle(qtbot, area)
    plain = pixels(view)
    where = wood(plain)
    colours = {n: quarter_colour(n).getRgb()[:3] for n in (1, 2, 3, 4)}
    assert all(like(plain, colour, 10) == 0 for colour in colours.values())
    area.numbers_action.trigger()
    settle(qtbot, area)
    numbered = pixels(view)
    for colour in colours.values():
        assert like(numbered, colour, 12) > 150
    assert (numbered[where] == plain[where]).all(axis=1).mean() > 0.95  # the wood stays wood
    area.numbers_action.trigger()
    settle(qtbot, area)
    assert changed(plain, pixels(view)) == 0


def test_numbers_do_not_cover_one_another(area, qtbot):
    area.numbers_action.setChecked(True)
    for name, action in area.view_actions.items():
        action.trigger()
        settle(qtbot, area)
        picture = pixels(area.views["A"])
        for n in (1, 2, 3, 4):
            assert like(picture, quarter_colour(n).getRgb()[:3], 8) > 120, (name, n)


# ---------------------------------------------------------------- side by side


@pytest.fixture
def two(area, qtbot):
    area.resize(900, 520)
    area.show_built("A", built(variant(RIGHT), "A"), "Tall")
    area.show_built("B", built(variant(LEFT, name="B"), "B"), "Bowed")
    area.set_mode("side by side")
    settle(qtbot, area)
    return area


def test_two_side_by_side_are_seen_from_one_place(two, qtbot):
    two.view_actions["front"].trigger()
    settle(qtbot, two)
    a, b = two.views["A"], two.views["B"]
    assert abs(a.width() - b.width()) <= 1
    shots = [wood(pixels(view)) for view in (a, b)]
    width = min(shot.shape[1] for shot in shots)
    # One swings right, the other left by as much: the pictures mirror each other.
    mirrored = shots[1][:, :width][:, ::-1]
    assert (shots[0][:, :width] != mirrored).mean() < 0.01
    before = [pixels(view) for view in (a, b)]
    qtbot.mousePress(b, Qt.MouseButton.LeftButton, pos=QPoint(200, 200))
    from PySide6.QtCore import QPointF
    from PySide6.QtGui import QMouseEvent

    place = QPointF(260, 230)
    button, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    move = QMouseEvent(QEvent.Type.MouseMove, place, b.mapToGlobal(place), Qt.MouseButton.NoButton, button, none)
    QApplication.sendEvent(b, move)
    qtbot.mouseRelease(b, Qt.MouseButton.LeftButton, pos=QPoint(260, 230))
    settle(qtbot, two)
    for view, old in zip((a, b), before, strict=True):
        assert changed(old, pixels(view)) > 2000
    cameras = [view.stage.scene.renderer.GetActiveCamera() for view in (a, b)]
    assert cameras[0].GetPosition() == cameras[1].GetPosition()
    assert cameras[0].GetViewUp() == cameras[1].GetViewUp()


def test_two_side_by_side_turn_together(two, qtbot):
    before = [pixels(view) for view in two.views.values()]
    two.slider.set_turn(1 / 3)
    settle(qtbot, two)
    for view, old in zip(two.views.values(), before, strict=True):
        assert changed(old, pixels(view)) > 2000


def test_names_are_shown_only_side_by_side(two, qtbot):
    corner = [pixels(view)[8:32, 8:90] for view in two.views.values()]
    assert all((picture < 120).any() for picture in corner)
    assert "Bowed" in two.views["B"].accessibleDescription()
    two.set_mode("one")
    settle(qtbot, two)
    assert two.views["B"].isHidden()
    assert not (pixels(two.views["A"])[8:32, 8:90] < 120).any()
    two.set_mode("one", "B")
    settle(qtbot, two)
    assert two.views["A"].isHidden()
    assert two.views["B"].isVisible()


def test_one_can_be_impossible_while_the_other_is_not(two, qtbot):
    two.set_impossible("B", "The side line touches itself at 90 mm up. Move its nodes apart.")
    assert wood(pixels(two.views["A"])).sum() > 5000
    assert wood(pixels(two.views["B"])).sum() < 250  # the mark of a stop is red


def test_pointing_at_one_piece_shows_the_level_on_both(two, qtbot):
    two.view_actions["front"].trigger()
    settle(qtbot, two)
    before = [pixels(view) for view in two.views.values()]
    two._point(200.0)
    for view, old in zip(two.views.values(), before, strict=True):
        assert changed(old, pixels(view)) > 100


# ---------------------------------------------------------------- pictures


@pytest.mark.parametrize("size", [(640, 800), (1000, 300)])
def test_a_picture_has_the_size_asked_for(area, qtbot, size):
    area.numbers_action.setChecked(True)
    saved = drawn(area, size)
    assert (saved.width(), saved.height()) == size
    picture = pixels(saved)
    for n in (1, 2, 3, 4):
        assert like(picture, quarter_colour(n).getRgb()[:3], 12) > 25
    assert np.ptp(picture[:, 2].mean(axis=1)) < 60  # backdrop at the edge, no piece cut off


@pytest.mark.parametrize("parallel", [False, True])
def test_a_picture_shows_what_the_screen_shows(area, qtbot, parallel):
    area.parallel_action.setChecked(parallel)
    area.numbers_action.setChecked(True)
    area.turn = 0.4
    area.viewpoint.orbit(40, 10)
    settle(qtbot, area)
    view = area.views["A"]
    area.slider.setFocus()
    still = area.still((view.width(), view.height()))
    ends = number_places(view)
    for number, end in still.drawings[0].ends.items():
        assert end[:2] == pytest.approx(ends[number][:2], abs=0.01)  # where the numbers belong
    nearest_first = sorted(ends, key=lambda number: ends[number][2])
    assert sorted(ends, key=lambda number: still.drawings[0].ends[number][2]) == nearest_first
    area.numbers_action.setChecked(False)
    settle(qtbot, area)
    here, there = wood(pixels(view)), wood(pixels(drawn(area, still.size)))
    assert (here != there).mean() < 0.004
    assert here.sum() > 5000


def test_two_side_by_side_are_pictured_side_by_side(two, qtbot):
    two.view_actions["front"].trigger()
    picture = pixels(drawn(two, (800, 400)))
    assert all((corner < 120).any() for corner in (picture[4:20, 4:60], picture[4:20, 404:460]))  # their names
    picture = wood(picture)
    assert picture[:, :400].sum() > 3000
    assert picture[:, :400].sum() == pytest.approx(picture[:, 400:].sum(), rel=0.05)


def test_copy_puts_the_picture_on_the_clipboard(area, qtbot):
    QGuiApplication.clipboard().clear()
    with qtbot.waitSignal(area.said) as said:
        area.copy_action.trigger()
    assert said.args == ["The picture is on the clipboard."]
    copied = QGuiApplication.clipboard().image()
    assert (copied.width(), copied.height()) == area.picture_size()
    area.slider.setFocus()
    assert changed(pixels(copied), pixels(area.views["A"])) == 0


def test_a_copy_is_as_fine_as_at_rest_and_has_neither_level_nor_focus(area, qtbot):
    view = area.views["A"]
    area.slider.setFocus()
    at_rest = pixels(view)
    view.setFocus()
    area.set_level(200.0)
    area.viewpoint.orbit(10.0, 0.0)
    area.viewpoint.orbit(-10.0, 0.0)
    area.copy_picture()
    assert changed(pixels(QGuiApplication.clipboard().image()), at_rest) == 0


def test_copies_of_two_side_by_side_have_numbers_and_names(two, qtbot):
    two.numbers_action.setChecked(True)
    settle(qtbot, two)
    two.copy_picture()
    copied = pixels(QGuiApplication.clipboard().image())
    assert copied.shape[:2] == two.picture_size()[::-1]
    middle = two.views["A"].width()
    for half in (copied[:, :middle], copied[:, middle:]):
        assert (half[8:32, 8:90] < 120).any()
        for n in (1, 2, 3, 4):
            assert like(half, quarter_colour(n).getRgb()[:3], 8) > 120


def test_without_a_piece_there_is_no_picture(qtbot):
    area = PieceArea()
    qtbot.addWidget(area, before_close_func=lambda area: area.shutdown())
    for ask in (lambda: area.still((100, 100)), lambda: area.going_round("A"), area.copy_picture):
        with pytest.raises(NoSolidError, match="no piece"):
            ask()


def test_the_one_in_hand_goes_round_as_it_is_shown(two, qtbot):
    two.turn = 1 / 3
    two.set_theme("dark")
    two.mode_actions["pattern"].trigger()
    for name, slot in (("A", "A"), ("B", "B"), ("no such", "A")):
        asked = two.going_round(name)
        assert asked.variant == two.views[slot].built.variant
        assert asked.words == ("--turn", repr(1 / 3), "--theme", "dark", "--show", "pattern")


# ---------------------------------------------------------------- keyboard, names, end


def test_every_action_has_words_and_a_key_of_its_own(area):
    actions = area.actions()
    views = {"Front", "Right", "Back", "Left", "Top", "Three-quarter", "Fit", "Parallel"}
    assert views | {"Wood", "Quarters", "Pattern", "Numbers", "Play", "Copy picture"} <= {a.text() for a in actions}
    keys = [action.shortcut().toString() for action in actions]
    assert all(keys)
    assert len(set(keys)) == len(keys)
    assert all(action.text() and action.statusTip() for action in actions)
    for widget in (area.play_button, area.numbers_button, area.view_button, area.slider, *area.views.values()):
        assert widget.accessibleName()
        assert widget.focusPolicy() & Qt.FocusPolicy.TabFocus


def test_tab_reaches_everything(area, qtbot):
    area.activateWindow()
    area.views["A"].setFocus()
    reached = []
    for _ in range(5):
        reached.append(QApplication.focusWidget())
        qtbot.keyClick(reached[-1], Qt.Key.Key_Tab)
    assert set(reached) == {area.views["A"], area.play_button, area.slider, area.numbers_button, area.view_button}


def test_shutdown_stops_everything_and_what_is_left_is_freed(qtbot):
    def one() -> list[weakref.ref]:
        area = PieceArea()
        area.resize(300, 300)
        area.show_built("A", built(variant(WAVE)))
        area.show()
        QApplication.processEvents()
        area.play_action.trigger()
        QApplication.processEvents()
        view = area.views["A"]
        held = [weakref.ref(each) for each in (area, view, view.stage, view._offscreen, view.stage.scene)]
        area.shutdown()
        area.shutdown()
        assert [timer for timer in area.findChildren(QTimer) if timer.isActive()] == []
        area.repaint()
        area.show_built("A", built(variant(RIGHT)))  # late, and no trouble
        area.close()
        area.deleteLater()
        return held

    for _ in range(3):
        held = one()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        gc.collect()
        assert [type(ref()).__name__ for ref in held if ref() is not None] == []
    left = [widget for widget in QApplication.topLevelWidgets() if isinstance(widget, PieceArea)]
    assert left == []
