"""Everything without a mouse: a node reached, moved, changed, deleted; the file saved; names for screen readers."""

from collections import Counter

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QFontInfo, QKeySequence
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QLineEdit, QMenu, QWidget

from app.look import SMALLEST_TEXT_PX
from geometry.files import SUFFIX, read_project
from tests.app.window.working import ALT, CTRL, LEG, SHIFT

Key = Qt.Key


def test_a_node_is_reached_moved_changed_and_deleted_and_all_is_saved(work, tmp_path):
    """Tab to the faces and on to the second node, as a hand without a mouse does."""
    work.window.bench.width_field.setFocus()
    for _ in range(200):
        if QApplication.focusWidget() is work.faces.sheet:
            break
        work.press(Key.Key_Tab)
    assert QApplication.focusWidget() is work.faces.sheet
    work.press(Key.Key_Escape)  # from wherever Tab came in
    work.press(Key.Key_Home)
    work.press(Key.Key_Tab)
    assert work.faces.selected() == ("front", (1,))
    assert "node 2 of 4" in work.faces.sheet.accessibleDescription()

    u, z = LEG.variants[0].front.nodes[1].at
    work.press(Key.Key_Right)
    work.press(Key.Key_Up, SHIFT)
    assert work.document.variant.front.nodes[1].at == pytest.approx((u + 1.0, z + 0.1))
    work.press(Key.Key_C)
    assert work.document.variant.front.nodes[1].kind == "corner"
    work.press(Key.Key_S)
    assert work.document.variant.front.nodes[1].kind == "smooth"
    work.press(Key.Key_Tab)
    work.press(Key.Key_Delete)
    assert len(work.document.variant.front.nodes) == 3
    assert work.steps == 5
    work.undo()
    assert len(work.document.variant.front.nodes) == 4

    work.answers.saves = tmp_path / f"by keys{SUFFIX}"
    work.press(Key.Key_S, CTRL)
    assert read_project(work.answers.saves) == work.document.project


def test_tab_goes_round_the_whole_window_and_comes_back(work):
    start = QApplication.focusWidget()
    assert start is work.faces.sheet
    met = []
    for _ in range(300):
        work.press(Key.Key_Tab)
        here = QApplication.focusWidget()
        if not met or met[-1] is not here:
            met.append(here)
        if here is start and len(met) > 3:
            break
    assert here is start
    reached = {widget for widget in met if isinstance(widget, QWidget)}
    window = work.window
    for widget in (work.piece.views["A"], work.piece.slider, window.bench.width_field, window.bench.wood.kind):
        assert widget in reached


def test_the_level_is_moved_by_keys(work):
    work.sheet()
    work.press(Key.Key_PageUp)
    level = work.faces.level
    assert work.piece_level() == level
    work.press(Key.Key_PageUp)
    assert work.faces.level == pytest.approx(level + 21.0)


def test_every_key_means_one_thing(work):
    """A key that two actions claim where both can hear it does nothing at all."""
    of_faces = set(work.faces.actions_by_key.values())
    everywhere, on_faces = Counter(), Counter()
    for action in work.window.findChildren(QAction):
        for shortcut in action.shortcuts():
            (on_faces if action in of_faces else everywhere)[shortcut.toString()] += 1
    assert [key for key, count in (everywhere + on_faces).items() if count > 1] == []
    assert {"Ctrl+S", "Ctrl+Z", "Ctrl+N", "Ctrl+O", "F6", "Alt+1", "Alt+2"} <= set(everywhere)


def test_what_the_menus_do_can_be_found_in_one_place_only(work):
    for menu in work.window.menuBar().findChildren(QMenu):
        words = [action.text().replace("&", "") for action in menu.actions() if not action.isSeparator()]
        assert [word for word, count in Counter(words).items() if count > 1] == [], menu.title()


def test_no_menu_has_a_letter_twice(work):
    letters = [QKeySequence.mnemonic(action.text()).toString() for action in work.window.menuBar().actions()]
    assert len(set(letters)) == len(letters)
    assert "" not in letters


def focusable(window) -> list[QWidget]:
    return [
        widget
        for widget in window.findChildren(QWidget)
        if widget.window() is window
        and widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not widget.objectName().startswith("qt_")
    ]


def name_of(widget: QWidget) -> str:
    """What a screen reader calls a widget."""
    if widget.accessibleName():
        return widget.accessibleName()
    if isinstance(widget, QAbstractButton):
        return widget.text()
    if isinstance(widget, QLineEdit) and isinstance(widget.parent(), QComboBox):
        return widget.parent().accessibleName()
    return next((label.text() for label in widget.window().findChildren(QLabel) if label.buddy() is widget), "")


def test_everything_that_takes_the_keyboard_has_a_name(work):
    work.window.bench.fold_sections(())
    work.window.show_side_by_side(True)
    there = [widget for widget in focusable(work.window) if widget.isVisible()]
    work.window.show_start_page()
    there += [widget for widget in focusable(work.window) if widget.isVisible()]
    assert len(there) > 30
    assert [f"{widget} in {widget.parent()}" for widget in there if not name_of(widget)] == []


def test_two_things_of_one_kind_on_screen_have_names_of_their_own(work):
    work.window.bench.fold_sections(())
    seen = [w for w in focusable(work.window) if w.isVisible()]
    twice = [key for key, n in Counter((type(w).__name__, name_of(w)) for w in seen).items() if n > 1]
    assert twice == []


def test_no_text_is_smaller_than_can_be_read(work):
    small = {
        type(widget).__name__: QFontInfo(widget.font()).pixelSize()
        for widget in work.window.findChildren(QWidget)
        if QFontInfo(widget.font()).pixelSize() < SMALLEST_TEXT_PX
    }
    assert small == {}


def test_variants_by_key_and_back_to_the_line(work):
    work.press(Key.Key_2, ALT)
    assert work.document.state.variant_name == "B"
    assert QApplication.focusWidget() is work.faces.sheet
