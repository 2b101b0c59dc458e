"""Lay-ups at the bench: kinds, strips one by one, makers, blocks, chevrons; each change is one step."""

import msgspec
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel, QPushButton

from app.bench.wood_section import KINDS
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_making import chevron, equal_strips, kind_of
from geometry.piece import build
from geometry.report import report_on
from tests.app.bench.hands import PLAIN, choose, only_edit, press, type_in

replace = msgspec.structs.replace

THREE = replace(PLAIN, layup=Stripes("x", ((20.0, "walnut"), (20.0, "maple"), (20.0, "cherry"))))


def show(bench, variant, units="mm"):
    bench.fold_sections(("Taper", "Limits", "Horns"))
    bench.show_variant(variant, units)
    return bench.wood


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_chosen_and_fills_the_blank(qtbot, bench, kind):
    wood = show(bench, PLAIN)
    choose(qtbot, wood.kind, KINDS[kind][0])
    if kind == "plain":
        assert bench.edits == []
        return
    step, variant = only_edit(bench)  # a lay-up that does not fill the blank would have been refused
    assert step == "Choose lay-up"
    assert kind_of(variant.layup) == kind
    assert wood.kind.currentData() == kind
    choose(qtbot, wood.kind, "One wood")
    assert bench.edits[-1][1] == PLAIN


def test_a_strip_of_another_width_takes_from_the_others(qtbot, bench):
    wood = show(bench, THREE)
    type_in(qtbot, wood.strips.rows[0].width_field, "30")
    step, variant = only_edit(bench)
    assert step == "Set width of a strip"
    assert variant.layup.strips == ((30.0, "walnut"), (15.0, "maple"), (15.0, "cherry"))
    assert [r.width_field.value for r in wood.strips.rows] == [30.0, 15.0, 15.0]


def test_both_sides_are_kept_alike_where_that_is_wanted(qtbot, bench):
    wood = show(bench, THREE)
    assert not wood.strips.alike.isChecked()
    press(qtbot, wood.strips.alike)
    type_in(qtbot, wood.strips.rows[2].width_field, "10")
    assert [w for w, _ in only_edit(bench)[1].layup.strips] == [10.0, 40.0, 10.0]
    choose(qtbot, wood.strips.rows[0].wood, "Ash")
    assert [s for _, s in bench.edits[-1][1].layup.strips] == ["ash", "maple", "ash"]


def test_a_width_that_leaves_nothing_is_refused_in_words(qtbot, bench):
    wood = show(bench, THREE)
    field = wood.strips.rows[1].width_field
    type_in(qtbot, field, "60")
    assert bench.edits == []
    assert "too little for the others" in field.trouble
    assert field.text() == "60"


def test_strips_are_sawn_in_two_taken_out_and_moved(qtbot, bench):
    wood = show(bench, THREE)
    strips = wood.strips
    qtbot.mouseClick(strips.picture, Qt.MouseButton.LeftButton, pos=strips.picture.rect().center())
    assert (strips.at, strips.rows[1].width_field.hasFocus()) == (1, True)
    press(qtbot, strips.buttons["add"])
    assert [w for w, _ in bench.edits[-1][1].layup.strips] == [20.0, 10.0, 10.0, 20.0]
    press(qtbot, strips.buttons["on"])
    assert strips.at == 2
    assert [s for _, s in bench.edits[-1][1].layup.strips] == ["walnut", "walnut", "maple", "cherry"]
    press(qtbot, strips.buttons["remove"])
    assert len(bench.edits[-1][1].layup.strips) == 3
    assert [step for step, _ in bench.edits] == ["Saw a strip in two", "Move a strip", "Take out a strip"]


def test_makers(qtbot, bench):
    wood = show(bench, replace(PLAIN, layup=equal_strips(PLAIN.blank, "x", 4)))
    strips = wood.strips
    type_in(qtbot, strips.count.lineEdit(), "5")
    assert [w for w, _ in bench.edits[-1][1].layup.strips] == [12.0] * 5
    press(qtbot, strips.buttons["half"])
    assert [w for w, _ in bench.edits[-1][1].layup.strips] == [7.5, 15.0, 15.0, 15.0, 7.5]
    press(qtbot, strips.buttons["meet"])
    widths = [w for w, _ in bench.edits[-1][1].layup.strips]
    # the middle strip loses the kerf: 2 (t/2) + 2 t + (t + 0.9) = 60
    assert widths == pytest.approx([7.3875, 14.775, 15.675, 14.775, 7.3875])
    assert sum(widths) == pytest.approx(60.0, abs=1e-9)
    assert not strips.buttons["centre"].isEnabled()  # it is already


def test_blocks_by_count_and_by_size(qtbot, bench):
    wood = show(bench, PLAIN)
    choose(qtbot, wood.kind, "Checker all through")
    type_in(qtbot, wood.blocks["x"].count.lineEdit(), "4")
    assert bench.edits[-1][1].layup.x == (15.0,) * 4
    sizes = wood.blocks["y"].sizes
    type_in(qtbot, sizes.line, "10; 30; 10")
    assert "These add up to 50\u00a0mm, and the blank is 60\u00a0mm deep: 10\u00a0mm missing." in sizes.trouble.text()
    steps = len(bench.edits)
    type_in(qtbot, sizes.line, "10; 40; 10")
    assert len(bench.edits) == steps + 1
    assert bench.edits[-1][1].layup.y == (10.0, 40.0, 10.0)
    assert not sizes.trouble.isVisible()


def test_sizes_in_inches_as_shown_can_be_taken_as_they_stand(qtbot, bench):
    wood = show(bench, replace(PLAIN, layup=Checker((19.0, 22.0, 19.0), (60.0,), ("walnut", "ash"))), "in")
    line = wood.blocks["x"].sizes.line
    shown = line.text()
    type_in(qtbot, line, f"{shown} ")
    assert sum(bench.edits[-1][1].layup.x if bench.edits else (60.0,)) == pytest.approx(60.0)
    assert not wood.blocks["x"].sizes.trouble.isVisible()


def test_a_chevron(qtbot, bench):
    wood = show(bench, replace(PLAIN, layup=chevron(PLAIN.blank, "x")))
    type_in(qtbot, wood.pitch, "30")
    type_in(qtbot, wood.angle.lineEdit(), "30")
    type_in(qtbot, wood.peak, "4")
    assert bench.edits[-1][1].layup == Chevron("x", 30.0, 30.0, ("walnut", "maple"), 4.0)
    press(qtbot, wood.centre)
    assert bench.edits[-1][1].layup.peak == 0.0
    assert len(bench.edits) == 4
    assert not wood.centre.isEnabled()


def test_woods_that_take_turns(qtbot, bench):
    wood = show(bench, replace(PLAIN, layup=chevron(PLAIN.blank, "y")))
    press(qtbot, wood.turns.more)
    choose(qtbot, wood.turns.choices[2], "Teak")
    assert bench.edits[-1][1].layup.species == ("walnut", "maple", "teak")
    press(qtbot, wood.turns.fewer)
    assert bench.edits[-1][1].layup.species == ("walnut", "maple")


def test_whether_it_meets_is_said_of_the_lay_up_on_show(bench):
    off = replace(PLAIN, layup=replace(chevron(PLAIN.blank, "y"), peak=3.0))
    wood = show(bench, off)
    bench.show_report(report_on(build(off, 0.05)))
    # a peak off by d steps by 2 d tan(angle)
    assert any("the worst steps by 6\u00a0mm" in sentence for sentence in wood.line_up.said)
    show(bench, replace(off, layup=Plain("ash")))
    assert wood.line_up.said == ()


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_cut_off(qtbot, bench, units, kind):
    wood = show(bench, PLAIN)
    choose(qtbot, wood.kind, KINDS[kind][0])
    bench.show_variant(bench.edits[-1][1] if bench.edits else PLAIN, units)
    bench.resize(270, 1800)
    QApplication.processEvents()
    for label in bench.findChildren(QLabel):
        if label.isVisible():
            assert label.width() >= min(label.sizeHint().width(), label.minimumSizeHint().width()), label.text()
            assert label.height() >= label.heightForWidth(label.width()), label.text()
    for button in bench.findChildren(QPushButton):
        if button.isVisible():
            assert button.width() >= button.fontMetrics().horizontalAdvance(button.text()) + 8, button.text()
            assert button.mapTo(bench, button.rect().bottomRight()).x() <= bench.width()
