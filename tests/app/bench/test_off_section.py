"""What the seams come to when something is off: tried with sliders, and nothing of it kept."""

import math

import msgspec
import pytest
from PySide6.QtCore import Qt

from geometry.layup_making import chevron, equal_strips
from geometry.lineup import line_up
from geometry.lineup_errors import LIKELY_ERRORS
from geometry.piece import build
from geometry.report import report_on
from tests.app.bench.hands import PLAIN, press

replace = msgspec.structs.replace

CHEVRON = replace(PLAIN, layup=chevron(PLAIN.blank, "y"))


def show(qtbot, bench, variant):
    bench.fold_sections(("Taper", "Limits", "Horns", "Wood"))
    bench.show_variant(variant, "mm")
    with qtbot.waitSignal(bench.off.told):
        bench.show_report(report_on(build(variant, 0.05)))
    return bench.off


def move(qtbot, section, slider, keys):
    slider.slider.setFocus()
    with qtbot.waitSignal(section.told):
        for _ in range(keys):
            qtbot.keyClick(slider.slider, Qt.Key.Key_Right)


def test_a_leaning_blade_steps_by_twice_half_the_depth_times_its_tangent(qtbot, bench):
    off = show(qtbot, bench, PLAIN)
    assert off.facts.said == ("Left and right seams: flush.", "Front and back seams: flush.")
    move(qtbot, off, off.front_lean, 5)
    step = 2.0 * 30.0 * math.tan(math.radians(0.5))
    assert off.facts.said[0] == f"Left and right seams: the surface steps by up to {step:.2f}\u00a0mm."
    assert off.facts.said[1] == "Front and back seams: flush."
    assert bench.edits == []


def test_a_peak_off_by_d_steps_by_2_d_tan_angle(qtbot, bench):
    off = show(qtbot, bench, CHEVRON)
    assert off.peak.isVisible()
    move(qtbot, off, off.peak, 20)
    assert off.facts.said[0] == "Left and right seams: flush, the pattern steps by up to 4\u00a0mm."


def test_the_peak_is_asked_of_a_chevron_only(qtbot, bench):
    off = show(qtbot, bench, replace(PLAIN, layup=equal_strips(PLAIN.blank, "x", 5)))
    assert not off.peak.isVisible()


def test_careful_work_and_nothing(qtbot, bench):
    off = show(qtbot, bench, CHEVRON)
    with qtbot.waitSignal(off.told):
        press(qtbot, off.likely)
    ours, theirs = off.errors, LIKELY_ERRORS
    assert (ours.slip_mm, ours.peak_off_mm) == (theirs.slip_mm, 0.0)
    assert ours.out_of_square_rad == pytest.approx(theirs.out_of_square_rad)
    seam = line_up(build(CHEVRON, 0.05), off.errors)[0]
    assert f"{seam.flush_step_mm:.2f}".rstrip("0") in off.facts.said[0]
    with qtbot.waitSignal(off.told):
        press(qtbot, off.none)
    assert all("flush" in said for said in off.facts.said)


def test_folded_away_it_works_nothing_out(qtbot, bench):
    bench.fold_sections(("If something is off",))
    bench.show_report(report_on(build(PLAIN, 0.05)))
    assert not bench.off._rest.isActive()
    with qtbot.waitSignal(bench.off.told):
        bench.off.header.click()
