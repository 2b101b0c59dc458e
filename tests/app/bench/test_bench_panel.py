"""The bench, used by hand: every change comes out as a whole, valid variant; everything shown is the variant's."""

import msgspec
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QLabel

from geometry.layup import Plain, Stripes
from geometry.project import Blade, Blank, Cut, Horn, Limits, Saw
from geometry.species import SPECIES
from tests.app.bench.hands import PLAIN, choose, only_edit, type_in

replace = msgspec.structs.replace

FIELDS = [
    ("saw_depth", "200", "Set depth of cut", lambda v: v.saw.depth_of_cut, 200.0),
    ("sanding", "0.3", "Set sanding", lambda v: v.sanding, 0.3),
]


@pytest.mark.parametrize(("name", "text", "step", "value_of", "value"), FIELDS, ids=[f[0] for f in FIELDS])
def test_a_length_comes_out_as_a_variant_with_nothing_else_changed(qtbot, bench, name, text, step, value_of, value):
    type_in(qtbot, getattr(bench, name), text)
    named, variant = only_edit(bench)
    assert named == step
    assert value_of(variant) == value
    assert variant.front == PLAIN.front
    # undoing that one change gives back the variant there was
    type_in(qtbot, getattr(bench, name), repr(value_of(PLAIN)))
    assert bench.edits[-1][1] == PLAIN


@pytest.mark.parametrize("key", ["wall", "web", "section"])
def test_limits(qtbot, bench, key):
    bench.fold_sections(())
    type_in(qtbot, bench.limits[key], "9")
    assert only_edit(bench)[1] == replace(PLAIN, limits=replace(Limits(), **{key: 9.0}))


@pytest.mark.parametrize("key", ["foot", "top"])
def test_horns(qtbot, bench, key):
    bench.fold_sections(())
    type_in(qtbot, bench.horns[key], "25")
    assert only_edit(bench)[1] == replace(PLAIN, horn=replace(Horn(), **{key: 25.0}))


def test_the_depth_follows_the_width_while_locked(qtbot, bench):
    assert bench.lock.isChecked()
    type_in(qtbot, bench.width_field, "70")
    assert only_edit(bench)[1].blank == Blank(70.0, 70.0, 420.0)
    assert bench.depth_field.text() == "70 mm"
    type_in(qtbot, bench.depth_field, "80")  # and the width the depth
    assert bench.edits[-1][1].blank == Blank(80.0, 80.0, 420.0)


def test_the_lock_opens_for_a_depth_of_its_own_and_closes_on_the_width(qtbot, bench):
    qtbot.mouseClick(bench.lock, Qt.MouseButton.LeftButton, pos=QPoint(8, bench.lock.height() // 2))
    assert bench.edits == []
    type_in(qtbot, bench.depth_field, "45")
    assert only_edit(bench)[1].blank == Blank(60.0, 45.0, 420.0)
    qtbot.mouseClick(bench.lock, Qt.MouseButton.LeftButton, pos=QPoint(8, bench.lock.height() // 2))
    assert bench.edits[-1][1].blank == Blank(60.0, 60.0, 420.0)


def test_another_depth_from_elsewhere_opens_the_lock(bench):
    bench.show_variant(replace(PLAIN, blank=Blank(60.0, 50.0, 420.0)), "mm")
    assert not bench.lock.isChecked()


def test_a_blank_that_says_its_top_stays_straight(qtbot, bench):
    bench.show_variant(replace(PLAIN, blank=Blank(60.0, 60.0, 420.0, 60.0, 60.0)), "mm")
    type_in(qtbot, bench.width_field, "70")
    assert not only_edit(bench)[1].blank.is_tapered


def test_what_is_out_of_range_is_said_below_the_field_and_nothing_comes_out(qtbot, bench):
    type_in(qtbot, bench.width_field, "2")
    assert bench.edits == []
    assert bench.width_field.text() == "2"
    below = [label.text() for label in bench.findChildren(QLabel) if label.isVisible()]
    assert any("can be anything from 5\u00a0mm to 5000\u00a0mm" in text for text in below)


def test_strips_keep_their_shares_of_another_blank_and_lines_go_on_end_to_end(qtbot, bench):
    striped = replace(PLAIN, layup=Stripes("x", ((20.0, "walnut"), (40.0, "maple"))))
    bench.show_variant(striped, "mm")
    type_in(qtbot, bench.width_field, "75")
    assert bench.edits[0][1].layup == Stripes("x", ((25.0, "walnut"), (50.0, "maple")))
    type_in(qtbot, bench.length_field, "840")
    assert [n.at for n in bench.edits[1][1].front.nodes] == [(0.0, 0.0), (6.0, 400.0), (0.0, 840.0)]
    type_in(qtbot, bench.length_field, "420")
    assert bench.edits[2][1].front == PLAIN.front


def test_bad_text_outlives_changes_elsewhere_but_not_another_variant(qtbot, bench):
    type_in(qtbot, bench.length_field, "long")
    type_in(qtbot, bench.sanding, "0.2")
    assert bench.length_field.text() == "long"
    bench.show_variant(replace(PLAIN, name="B"), "mm")
    assert (bench.length_field.text(), bench.length_field.trouble) == ("420 mm", "")


def test_woods_are_the_sixteen_by_their_labels(qtbot, bench):
    assert [bench.wood.wood.itemText(i) for i in range(bench.wood.wood.count())] == [s.label for s in SPECIES.values()]
    choose(qtbot, bench.wood.wood, "Cherry")
    assert only_edit(bench) == ("Choose wood", replace(PLAIN, layup=Plain("cherry")))


@pytest.mark.parametrize(("name", "other"), [("front", "side"), ("side", "front")])
def test_a_stock_blade(qtbot, bench, name, other):
    blade = bench.cuts[name].blade
    choose(qtbot, blade.list, "9.5 mm")
    step, variant = only_edit(bench)
    assert step == f"Choose blade for the {name} line"
    assert variant.cut(name) == replace(PLAIN.cut(name), blade=Blade(9.5))
    assert variant.cut(other) == PLAIN.cut(other)
    assert blade.list.currentText() == '9.5 mm (3/8"), radius 36.5 mm'


def test_stock_blades_in_inches(bench):
    bench.show_variant(replace(PLAIN, front=Cut(blade=Blade(6.35))), "in")
    assert bench.cuts["front"].blade.list.currentText() == '1/4" (6.35 mm), radius 5/8"'


def test_a_blade_that_is_nearly_a_stock_width_is_shown_as_it_and_not_touched(qtbot, bench):
    bench.show_variant(replace(PLAIN, front=Cut(blade=Blade(9.525))), "mm")
    blade = bench.cuts["front"].blade
    assert blade.list.currentText().startswith("9.5 mm")
    choose(qtbot, blade.list, "9.5 mm")
    assert bench.edits == []


def test_a_blade_of_no_stock_width_keeps_its_place_in_the_list(bench):
    bench.show_variant(replace(PLAIN, front=Cut(blade=Blade(8.0)), side=Cut(blade=Blade(38.0))), "mm")
    assert bench.cuts["front"].blade.list.currentText() == "8 mm, counts as 9.5 mm"
    assert bench.cuts["side"].blade.list.currentText() == "38 mm, wider than any listed"
    assert "184" in bench.cuts["side"].blade.words.text()


def test_my_own_blade_comes_out_once_all_three_are_measured(qtbot, bench):
    blade = bench.cuts["front"].blade
    choose(qtbot, blade.list, "My own blade")
    assert bench.edits == []
    assert blade.width_field.isVisible()
    type_in(qtbot, blade.width_field, "6.35")
    assert bench.edits == []
    type_in(qtbot, blade.body_field, "0.6")
    # the kerf the line is drawn with stands there already
    assert only_edit(bench)[1].front == replace(PLAIN.front, blade=Blade(6.35, 0.6, 0.9))
    # 6.35² / (5.83 · 0.3) = 23.05
    assert blade.words.text() == "It follows bends down to a radius of 23.1\u00a0mm."


def test_half_a_measurement_outlives_changes_elsewhere_and_can_be_left(qtbot, bench):
    blade = bench.cuts["front"].blade
    choose(qtbot, blade.list, "My own blade")
    type_in(qtbot, blade.width_field, "7")
    type_in(qtbot, bench.sanding, "0.2")
    assert blade.width_field.text() == "7 mm"
    choose(qtbot, blade.list, "None chosen")
    assert [step for step, _ in bench.edits] == ["Set sanding"]
    assert not blade.width_field.isVisible()


def test_a_blade_without_set_is_said_not_to_turn(bench):
    bench.show_variant(replace(PLAIN, front=Cut(blade=Blade(6.35, 0.9, 0.9))), "mm")
    words = bench.cuts["front"].blade.words
    assert words.isVisible()
    assert "cannot turn at all" in words.text()


def test_the_measured_kerf_is_offered_where_it_differs(qtbot, bench):
    bench.show_variant(replace(PLAIN, front=replace(PLAIN.front, blade=Blade(6.35, 0.6, 1.1))), "mm")
    button = bench.cuts["front"].measured_kerf
    assert button.text() == "Use the measured kerf, 1.1 mm"
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert only_edit(bench)[1].front.kerf == 1.1
    assert not button.isVisible()


def test_the_side_line_takes_the_front_lines_blade(qtbot, bench):
    bench.show_variant(replace(PLAIN, front=replace(PLAIN.front, blade=Blade(6.35), kerf=1.0)), "mm")
    qtbot.mouseClick(bench.cuts["side"].same, Qt.MouseButton.LeftButton)
    assert only_edit(bench)[1].side == Cut(kerf=1.0, blade=Blade(6.35))
    assert not bench.cuts["side"].same.isVisible()
    assert not bench.cuts["front"].same.isVisible()


def test_the_unit_changes_what_is_shown_and_nothing_that_is_meant(qtbot, bench):
    odd = replace(PLAIN, blank=Blank(61.237, 61.237, 419.9))
    bench.show_variant(odd, "mm")
    with qtbot.waitSignal(bench.units_changed) as told:
        qtbot.mouseClick(bench.inches, Qt.MouseButton.LeftButton)
    assert told.args == ["in"]
    assert bench.width_field.text() == '2 13/32"'
    assert bench.width_field.value == 61.237
    for field in (bench.width_field, bench.length_field, bench.sanding):
        field.setFocus()
        qtbot.keyClick(field, Qt.Key.Key_Return)
    assert bench.edits == []


def test_a_section_folds_by_key_and_says_in_short_what_it_holds(qtbot, bench):
    header = bench.sections[0].header
    header.setFocus()
    for key in (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Left):
        was_open = bench.sections[0].is_open
        qtbot.keyClick(header, key)
        assert bench.sections[0].is_open != was_open
    assert not bench.width_field.isVisible()
    assert header.accessibleDescription() == "60 mm × 60 mm × 420 mm"
    assert bench.folded_sections() == ("Blank", "Taper", "If something is off", "Limits", "Horns")
    bench.fold_sections(("Wood",))
    assert bench.folded_sections() == ("Wood",)
    assert bench.width_field.isVisible()


def test_the_wheel_over_a_list_changes_nothing(qtbot, bench):
    bench.wood.wood.setFocus()
    middle = QPointF(bench.wood.wood.rect().center())
    event = QWheelEvent(
        middle, bench.wood.wood.mapToGlobal(middle), QPoint(), QPoint(0, -120),
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(bench.wood.wood, event)
    assert bench.edits == []
    assert bench.wood.wood.currentData() == "walnut"


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("width", [280, 360])
def test_nothing_is_cut_off(qtbot, bench, units, width):
    long = replace(
        PLAIN, blank=Blank(1234.56, 1111.11, 4987.65), saw=Saw(1234.56),
        front=Cut(blade=Blade(6.35, 0.61, 0.94)), side=Cut(blade=Blade(25.4), kerf=1.25),
    )  # fmt: skip
    bench.fold_sections(())
    bench.show_variant(long, units)
    bench.resize(width, 1400)
    QApplication.processEvents()
    for label in bench.findChildren(QLabel):
        if label.isVisible():
            assert label.width() >= min(label.sizeHint().width(), label.minimumSizeHint().width()), label.text()
            assert label.height() >= label.heightForWidth(label.width()), label.text()
            right = label.mapTo(bench, label.rect().bottomRight()).x()
            assert right <= bench.width(), label.text()
    for field in (bench.width_field, bench.length_field, bench.saw_depth, bench.cuts["side"].kerf):
        room = field.width() - 14
        assert field.fontMetrics().horizontalAdvance(field.text()) <= room, field.text()
