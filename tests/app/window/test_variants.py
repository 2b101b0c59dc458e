"""Two designs beside each other: one camera, one slider, and what is different in numbers."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QMenu

from app.piece_numbers import ROWS
from tests.app.piece_view.looking import changed
from tests.app.window.working import ALT, CTRL, LEG


@pytest.fixture
def both(work):
    work.press(Qt.Key.Key_F6)
    work.settle()
    return work


def cell(work, row, column) -> str:
    return work.window.compare.item(ROWS.index(row), column).text()


def test_switching_is_no_step_and_shows_the_other_piece(work):
    a = work.looked_at()
    work.press(Qt.Key.Key_2, ALT)
    assert work.document.state.variant_name == "B"
    assert work.faces.variant == LEG.variants[1]
    work.settle()
    b = work.seen()
    assert changed(a, b) > 2_000
    assert work.piece.views["A"].built.variant == LEG.variants[1]
    assert work.window.menus.variant_buttons.text() == "Variant B"
    work.press(Qt.Key.Key_1, ALT)
    assert work.piece.views["A"].built.variant == LEG.variants[0]  # at once: it is known
    assert np.array_equal(work.looked_at(), a)
    assert work.steps == 0


def test_both_share_camera_and_slider(both):
    a, b = both.piece.views.values()
    assert (a.isVisible(), b.isVisible()) == (True, True)
    assert (a.built.variant, b.built.variant) == LEG.variants
    before = [both.seen(slot) for slot in "AB"]
    both.qtbot.keyClick(b, Qt.Key.Key_Left)
    both.settle()
    turned = [both.seen(slot) for slot in "AB"]
    assert a.pose() == b.pose()
    assert min(changed(x, y) for x, y in zip(before, turned, strict=True)) > 1_000
    both.piece.slider.setFocus()
    both.press(Qt.Key.Key_PageDown)
    both.settle()
    opened = [both.seen(slot) for slot in "AB"]
    assert both.piece.turn == pytest.approx(2.0 / 3.0)
    assert min(changed(x, y) for x, y in zip(turned, opened, strict=True)) > 1_000


def test_the_table_says_a_b_and_the_difference(both):
    table = both.window.compare
    assert table.isVisible()
    assert not both.window.numbers.isVisible()
    assert [table.horizontalHeaderItem(c).text() for c in range(3)] == ["A", "B", "Difference"]
    a, b = (both.window.pieces.report_on(v) for v in LEG.variants)
    assert cell(both, "Front line", 0) != cell(both, "Front line", 1)
    assert cell(both, "Side line", 2) == "same"
    assert f"{a.mass_kg:.2f} kg" == cell(both, "Mass", 0)
    assert f"{b.mass_kg:.2f} kg" == cell(both, "Mass", 1)


def test_a_change_of_one_leaves_the_other_as_it_is(both):
    b = both.piece.views["B"].built
    both.drag(both.node("front", 1), both.node("front", 1) + QPoint(20, 0))
    both.settle()
    assert both.piece.views["A"].built.variant == both.document.variant
    assert both.piece.views["B"].built is b  # not even built again
    assert both.window.pieces.report_on(both.document.variant) is not None
    assert cell(both, "Front line", 0) != cell(both, "Front line", 1)


def test_lines_and_blank_are_copied_from_one_to_the_other(both):
    offered = {action.text(): action for action in copies(both)}
    assert list(offered) == ["Front line from B", "Side line from B", "Blank from B"]
    offered["Front line from B"].trigger()
    assert both.document.variant.front == LEG.variants[1].front
    assert both.document.variant.name == "A"
    both.settle()
    assert {cell(both, row, 2) for row in ROWS} == {"same"}
    both.undo()
    assert both.document.project == LEG

    both.type_in(both.window.bench.length_field, "500")
    both.press(Qt.Key.Key_2, ALT)
    next(a for a in copies(both) if a.text() == "Blank from A").trigger()
    assert both.document.variant.name == "B"
    assert both.document.variant.blank.length == 500.0


def copies(work):
    menu: QMenu = work.window.menus.copy_menu
    menu.aboutToShow.emit()
    return menu.actions()


def test_a_variant_more_is_in_hand_at_once_and_undo_takes_it_away(work):
    work.press(Qt.Key.Key_D, CTRL)
    names = [v.name for v in work.document.project.variants]
    assert names == ["A", "C", "B"]
    assert work.document.state.variant_name == "C"
    assert work.piece.views["A"].built is not None  # the same design: shown without waiting
    work.settle()
    assert work.piece.views["A"].built.variant.name == "C"
    work.undo()
    assert work.document.project == LEG
    assert work.document.state.variant_name == "A"


def test_without_a_second_variant_one_is_made_to_compare_with(work):
    work.document.delete_variant("B")
    work.press(Qt.Key.Key_F6)
    assert work.window.is_side_by_side
    assert len(work.document.project.variants) == 2
    work.settle()
    assert {cell(work, row, 2) for row in ROWS} == {"same"}
    # taken out again, one piece is left to be shown
    work.window.menus.delete_variant.trigger()
    assert not work.window.is_side_by_side
    assert work.window.numbers.isVisible()
    work.settle()


def test_the_unit_changes_everywhere_and_is_one_step(both):
    words = [cell(both, "Size", 0), both.window.bench.width_field.text()]
    both.qtbot.mouseClick(both.window.bench.inches, Qt.MouseButton.LeftButton)
    both.settle()
    assert both.document.project.display_units == "in"
    assert both.steps == 1
    for before, after in zip(words, [cell(both, "Size", 0), both.window.bench.width_field.text()], strict=True):
        assert "mm" in before
        assert "mm" not in after
        assert '"' in after
    assert '"' in both.piece.views["A"].length_words(100.0)
    both.faces.sheet.setFocus()
    both.press(Qt.Key.Key_Tab)
    both.undo()
    both.settle()
    assert [cell(both, "Size", 0), both.window.bench.width_field.text()] == words
    assert both.piece.views["A"].length_words(100.0) == "100 mm"
