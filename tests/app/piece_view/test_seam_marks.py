"""Where the pattern meets, steps and stops at the seams, marked on the glued piece."""

import msgspec
import numpy as np
import pytest
from PySide6.QtGui import QColor

from app.look import LIGHT, palette_of
from app.piece_view.seam_marks import seam_marks
from app.severity import severity_colour
from geometry.layup_making import chevron
from tests.app.piece_view.looking import WAVE, built, changed, like, pixels, settle, variant

replace = msgspec.structs.replace

WAVY = variant(WAVE, WAVE)
OFF = replace(WAVY, layup=replace(chevron(WAVY.blank, "y"), peak=3.0))
CENTRED = replace(WAVY, layup=chevron(WAVY.blank, "y"))


def rgb(colour: QColor) -> tuple[int, int, int]:
    return colour.red(), colour.green(), colour.blue()


CAUTION = rgb(severity_colour("caution", palette_of(LIGHT)))


def test_there_is_a_mark_for_each_pair_and_each_end():
    report = built(OFF).report
    marks = seam_marks(report.seams)
    assert marks.kinds.count("meets") == sum(s.meeting for s in report.seams)
    assert marks.kinds.count("steps") == sum(sum(not p.meets for p in s.pairs) for s in report.seams)
    assert marks.kinds.count("stops") == sum(len(s.stopping) for s in report.seams)
    # a peak off by 3 at 45° steps by 6, up the seam
    steps = marks.ends[[k == "steps" for k in marks.kinds]]
    assert np.abs(steps[:, 1] - steps[:, 0])[:, 2] == pytest.approx(6.0)


def test_marks_lie_on_the_faces_of_the_piece():
    report = built(CENTRED).report
    marks = seam_marks(report.seams)
    assert set(marks.kinds) == {"meets"}
    low, high = report.bounds_mm
    places = marks.ends[:, 0]
    # on the drawn line, half a kerf out of the wood
    assert (places >= low - 0.46).all() and (places <= high + 0.46).all()
    assert (np.abs(places[:, :2]).min(axis=1) == 0.0).all()


def test_a_plain_piece_has_none():
    assert len(seam_marks(built(WAVY).report.seams).ends) == 0


def test_they_come_and_go_and_only_on_the_glued_piece(area, qtbot):
    area.show_built("A", built(OFF))
    settle(qtbot, area)
    view = area.views["A"]
    without = pixels(view)
    area.seams_action.trigger()
    settle(qtbot, area)
    marked = pixels(view)
    assert changed(without, marked) > 300
    assert like(marked, CAUTION, 12) > like(without, CAUTION, 12) + 100
    area.turn = 0.5
    settle(qtbot, area)
    turned = pixels(view)
    area.seams_action.trigger()
    settle(qtbot, area)
    assert changed(turned, pixels(view)) == 0
    area.turn = 1.0
    settle(qtbot, area)
    assert changed(without, pixels(view)) < 50


def test_marks_follow_the_lay_up(area, qtbot):
    area.seams_action.trigger()
    area.show_built("A", built(OFF))
    settle(qtbot, area)
    before = like(pixels(area.views["A"]), CAUTION, 12)
    area.show_built("A", built(CENTRED))
    settle(qtbot, area)
    assert like(pixels(area.views["A"]), CAUTION, 12) < before - 100


def test_marks_on_the_far_side_are_hidden(area, qtbot):
    shown = built(CENTRED)
    area.show_built("A", shown)
    area.view_actions["front"].trigger()
    settle(qtbot, area)
    pixels(area.views["A"])
    can_see = area.views["A"]._offscreen.can_see
    seams = {s.face: seam_marks((s,)).ends[:, 0] for s in shown.report.seams}
    assert can_see(seams["-y"]).mean() > 0.9
    assert not can_see(seams["+y"]).any()
