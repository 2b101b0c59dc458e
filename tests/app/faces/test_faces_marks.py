"""What is marked on the faces, and what is said of it on pointing."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF
from PySide6.QtWidgets import QToolTip

from app.faces.drawn import drawn_line, section_of
from app.faces.marks import place_of
from app.look import look_of, mixed, quarter_colour
from geometry.curvature import extent, tightest_bend
from geometry.findings import findings_of
from geometry.lines import line_of
from geometry.measures import section_at
from geometry.nearest import passes_of_height
from geometry.piece import build
from geometry.project import CUT_NAMES
from tests.app.faces.hands import (
    SERPENTINE,
    STRAIGHT,
    WITH_A_POST,
    WRONG,
    at,
    click,
    differing,
    drag,
    of_node,
    picture,
    tip,
)


@pytest.fixture
def wrong(show):
    view = show(WRONG)
    view.show_findings(findings_of(build(WRONG)))
    return view


def placed_findings(view):
    return [f for f in view.sheet.findings if f.at is not None]


def test_every_finding_with_a_place_is_marked_near_its_place(wrong):
    marks = [m for m in wrong.sheet.marks if m.finding is not None]
    assert {m.finding for m in marks} == set(placed_findings(wrong))
    assert {m.finding.severity for m in marks} >= {"stop", "caution"}
    sheet = wrong.sheet.rect()
    for mark in marks:
        assert mark.place == place_of(mark.finding, wrong.sheet.arrangement)
        assert sheet.contains(mark.box.toRect())
        off = mark.box.center() - mark.place
        assert 10.0 < (off.x() ** 2 + off.y() ** 2) ** 0.5 < 90.0


def test_no_mark_hides_another_or_a_node(wrong):
    marks = wrong.sheet.marks
    for i, mark in enumerate(marks):
        assert not any(mark.box.intersects(other.box) for other in marks[i + 1 :])
        for cut in CUT_NAMES:
            face = wrong.sheet.arrangement.face(cut)
            assert not any(mark.box.contains(face.to_px(*n.at)) for n in wrong.variant.cut(cut).nodes)


def test_pointing_at_a_mark_says_what_is_so_and_what_to_do(wrong):
    for mark in wrong.sheet.marks:
        words = tip(wrong, mark.box.center().toPoint())
        if mark.finding is not None:
            assert mark.finding.message in words
            assert mark.finding.remedy in words
            assert words.lower().startswith(mark.finding.severity)
        else:
            assert "radius" in words


def test_pointing_at_a_thin_wall_says_so_before_the_checks_have_come_to_it(show):
    view = show(WRONG)
    wall = next(w for w in drawn_line(WRONG, "front").thin_walls if w.edge == "right")
    furthest = extent(line_of(WRONG.front, 420.0)).greatest_u
    assert wall.at[1] == pytest.approx(furthest[1], abs=2.0)
    assert wall.least_mm == pytest.approx(30.0 - furthest[0] - 0.45, abs=0.02)
    inside = at(view, "front", 29.0, wall.at[1])
    assert "right edge" in tip(view, inside)
    view.show_findings(findings_of(build(WRONG)))
    finding = next(f for f in view.sheet.findings if f.code == "wall-too-thin")
    assert finding.message in tip(view, inside)


def test_a_bend_too_tight_for_its_blade_is_stitched_and_says_so(show):
    view = show(WRONG)
    tight = drawn_line(WRONG, "front").tight_bends
    assert tight
    bend = tightest_bend(line_of(WRONG.front, 420.0))
    nearest = min(((u - bend.at[0]) ** 2 + (z - bend.at[1]) ** 2) ** 0.5 for t in tight for u, z in t.points)
    assert nearest < 3.0
    u, z = tight[0].points[len(tight[0].points) // 3]
    assert "140 mm" in tip(view, at(view, "front", u, z))


def test_pointing_at_a_node_and_at_nothing(qtbot, view):
    assert tip(view, of_node(view, "front", 0)).startswith("Front line, node 1 of 4, corner")
    tip(view, at(view, "front", -24.0, 60.0))
    qtbot.waitUntil(lambda: not QToolTip.isVisible(), timeout=2000)


def test_a_sound_line_has_neither_hatching_nor_stitches():
    for variant in (SERPENTINE, STRAIGHT, WITH_A_POST):
        for cut in CUT_NAMES:
            drawn = drawn_line(variant, cut)
            assert drawn.thin_walls == ()
            assert drawn.tight_bends == ()


def test_the_radius_written_is_that_of_the_line(view):
    labels = {m.cut: m.label for m in view.sheet.marks if m.finding is None}
    for cut in CUT_NAMES:
        bend = tightest_bend(line_of(SERPENTINE.cut(cut), 420.0))
        assert labels[cut] == f"R {bend.radius_mm:.0f} mm"


def test_choosing_a_finding_leads_to_its_place(wrong):
    finding = next(f for f in placed_findings(wrong) if f.cut == "front")
    before = picture(wrong)
    wrong.select_finding(finding)
    assert wrong.selected() == ("front", ())
    assert wrong.level == pytest.approx(finding.at[1])
    assert wrong.told.levels == [wrong.level]
    mark = next(m for m in wrong.sheet.marks if m.finding == finding)
    assert differing(before, picture(wrong), mark.box.adjusted(-8, -8, 8, 8).toRect()) > 30
    wrong.sheet.zoom_by(3.0, 400.0)
    wrong.select_finding(finding)
    assert wrong.sheet.arrangement.low <= finding.at[1] <= wrong.sheet.arrangement.high


def test_clicking_a_mark_tells_its_finding(qtbot, wrong):
    mark = next(m for m in wrong.sheet.marks if m.finding is not None)
    with qtbot.waitSignal(wrong.finding_chosen) as told:
        click(qtbot, wrong, mark.box.center().toPoint())
    assert told.args == [mark.finding]
    assert wrong.variant == WRONG


def test_marks_follow_a_drag(qtbot, wrong):
    before = [m.place for m in wrong.sheet.marks if m.finding is None]
    drag(qtbot, wrong, of_node(wrong, "front", 2), of_node(wrong, "front", 2) + QPoint(0, 40))
    assert [m.place for m in wrong.sheet.marks if m.finding is None] != before


def test_lines_that_cannot_be_sawn_are_said_to_be_so(wrong):
    before = picture(wrong)
    wrong.set_impossible(True)
    assert "cannot be sawn" in wrong._words.text()
    assert picture(wrong) != before
    wrong.set_impossible(False)
    assert "swings" in wrong._words.text()
    assert picture(wrong) == before


def test_which_corner_the_swing_faces_is_said_at_rest(qtbot, view):
    qtbot.waitUntil(lambda: "swings toward" in view._words.text(), timeout=2000)


@pytest.mark.parametrize("z", [0.0, 77.0, 210.0, 420.0])
def test_the_section_shown_is_that_of_the_piece(z):
    piece = build(SERPENTINE, 0.05)
    exact = section_at(piece.front.widths, piece.side.widths, z)
    shown = section_of(SERPENTINE, z)
    assert (shown.width, shown.depth) == (pytest.approx(exact.width), pytest.approx(exact.depth))
    # by the formula: 2a - kerf·sqrt(1 + u'²)
    line = line_of(SERPENTINE.front, 420.0)
    ((piece_number, t, _),) = passes_of_height(line, z)
    du, dz = line.velocity(np.array([piece_number]), np.array([t]))[0]
    assert shown.width == pytest.approx(60.0 - 0.9 * (1.0 + (du / dz) ** 2) ** 0.5, abs=0.02)


def test_the_end_view_shows_where_the_lines_are_at_the_level(view):
    view.set_level(140.0)
    places = view._end.places
    assert places.front == (pytest.approx(8.0),)
    assert places.z == 140.0
    view.set_level(None)
    assert view._end.places.z == 420.0
    assert view._end.places.front == (pytest.approx(0.0),)


def test_the_end_view_paints_the_four_quarters_where_they_are(show):
    view = show(STRAIGHT)
    shown = view._end.grab().toImage()
    look = look_of(view._end.palette())
    middles = {}
    for number in (1, 2, 3, 4):
        wanted = mixed(quarter_colour(number), look.paper, 0.12).rgb()
        spots = [
            (x, y)
            for x in range(0, shown.width(), 2)
            for y in range(0, shown.height(), 2)
            if shown.pixel(x, y) == wanted
        ]
        assert len(spots) > 100
        middles[number] = QPointF(sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots))
    # seen from above with the front below: 1 front left, 2 front right, 3 back right, 4 back left
    assert middles[1].x() < middles[2].x()
    assert middles[4].x() < middles[3].x()
    assert middles[1].y() > middles[4].y()
    assert middles[2].y() > middles[3].y()
