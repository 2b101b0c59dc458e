"""The taper at the bench: sizes at the top, how the blank lies, and what it costs in words."""

import msgspec
import pytest
from PySide6.QtCore import Qt

from geometry.piece import build
from geometry.project import Blank
from geometry.report import report_on
from tests.app.bench.hands import PLAIN, choose, only_edit, press, type_in

replace = msgspec.structs.replace

TAPERED = replace(PLAIN, blank=Blank(60.0, 60.0, 420.0, 36.0, 36.0))


@pytest.fixture
def open_bench(bench):
    bench.fold_sections(("Limits", "Horns"))
    return bench


@pytest.mark.parametrize("key", ["width", "depth"])
def test_a_size_at_the_top_makes_a_taper_that_way_alone(qtbot, open_bench, key):
    type_in(qtbot, open_bench.taper.fields[key], "40")
    step, variant = only_edit(open_bench)
    assert step == f"Set top {key}"
    other = "depth" if key == "width" else "width"
    assert getattr(variant.blank, f"top_{key}") == 40.0
    assert getattr(variant.blank, f"top_{other}") is None
    assert not open_bench.taper.locks[key].isChecked()
    assert open_bench.taper.locks[other].isChecked()
    assert variant.front == PLAIN.front


def test_a_straight_way_follows_the_foot_and_a_tapered_one_stays(qtbot, open_bench):
    type_in(qtbot, open_bench.taper.fields["width"], "40")
    type_in(qtbot, open_bench.width_field, "80")
    blank = open_bench.edits[-1][1].blank
    assert (blank.width, blank.depth, blank.width_at_top, blank.depth_at_top) == (80.0, 80.0, 40.0, 80.0)


def test_the_lock_makes_it_straight_again(qtbot, open_bench):
    type_in(qtbot, open_bench.taper.fields["width"], "40")
    press(qtbot, open_bench.taper.locks["width"])
    assert open_bench.edits[-1] == ("Set top width", PLAIN)
    # opening it leads to the field
    press(qtbot, open_bench.taper.locks["width"])
    assert open_bench.taper.fields["width"].hasFocus()
    assert len(open_bench.edits) == 2


def test_how_it_lies_is_asked_of_a_tapered_blank_only(qtbot, open_bench):
    taper = open_bench.taper
    assert not taper.support.isVisible()
    open_bench.show_variant(TAPERED, "mm")
    assert "far face higher" in taper.support_words.text()
    choose(qtbot, taper.support, "Levelled")
    assert only_edit(open_bench)[1] == replace(TAPERED, taper_support="levelled")
    assert "stay flush" in taper.support_words.text()


def test_what_it_costs_is_said_and_only_of_the_blank_on_show(open_bench):
    open_bench.show_variant(TAPERED, "mm")
    report = report_on(build(TAPERED, 0.05))
    open_bench.show_report(report)
    corners, joints, ends, seams = open_bench.taper.costs.said
    assert corners == f"Corners: {report.taper.dihedral_error_deg:.2f}° more than square."
    assert "inside, at the axis" in joints
    assert f"{report.taper.dihedral_error_deg / 2.0:.2f}°" in joints
    assert "saw both ends square" in ends
    assert "levelled" in seams
    open_bench.show_variant(replace(TAPERED, blank=Blank(60.0, 60.0, 420.0, 30.0, 30.0)), "mm")
    assert open_bench.taper.costs.said == ()
    one_way = replace(TAPERED, blank=Blank(60.0, 60.0, 420.0, 30.0), taper_support="levelled")
    open_bench.show_variant(one_way, "mm")
    open_bench.show_report(report_on(build(one_way, 0.05)))
    assert open_bench.taper.costs.said[0] == "Corners: square, so the glue joints close."
    assert open_bench.taper.costs.said[-1] == "Seams: flush."


def test_a_top_out_of_range_is_said_at_the_field(qtbot, open_bench):
    field = open_bench.taper.fields["width"]
    type_in(qtbot, field, "2", Qt.Key.Key_Return)
    assert open_bench.edits == []
    assert "width at the top can be anything from" in field.trouble
