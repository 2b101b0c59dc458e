"""Flats together: trims drawn, dragged, mirrored, copied and taken out, with mouse and keys."""

import pytest
from PySide6.QtCore import QPoint, Qt

from app.faces.commands import COMMANDS
from app.faces.flats import HALVES, drawn_flats, flats_profile
from app.faces.selection import Selection
from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Trim, Variant
from geometry.report import report_on
from geometry.tolerances import LIVE_CHORD_MM
from tests.app.faces.hands import (
    NONE,
    SERPENTINE,
    SHIFT,
    at,
    click,
    double_click,
    drag,
    hover,
    move,
    node,
    picture,
    pixel,
    tip,
)

LENGTH = 420.0
ANKLE = Trim((node(40, 60), node(20, 140), node(40, 240)))
FOOT = Trim((node(-45, 230), node(-15, 300), node(-45, 380)))
TRIMMED = Variant("A", Blank(60.0, 60.0, LENGTH), front=Cut(blade=Blade(6.35), trims=(ANKLE, FOOT)), side=Cut())
PLAIN = Variant("A", Blank(60.0, 60.0, LENGTH))


@pytest.fixture
def flats(show):
    def shown(variant=TRIMMED, **how):
        view = show(variant, **how)
        view.set_view("flats")
        return view

    return shown


def of_trim(view, cut, trim, number) -> QPoint:
    return at(view, cut, *view.variant.cut(cut).trims[trim].nodes[number].at)


def last(view) -> Variant:
    return view.told.steps[-1][-1]


# ---------------------------------------------------------------- what is shown


def test_the_tabs_and_the_key_change_the_view(qtbot, show):
    view = show(TRIMMED)
    with qtbot.waitSignal(view.view_changed) as told:
        qtbot.keyClick(view.sheet, Qt.Key.Key_F)
    assert told.args == ["flats"]
    faces, together = view._view_buttons["faces"], view._view_buttons["flats"]
    assert together.isChecked()
    qtbot.mouseClick(faces, Qt.MouseButton.LeftButton)
    assert view.view == "faces"
    assert not view.actions_by_key["flats"].isChecked()


def test_the_profile_is_the_one_that_geometry_saws(flats):
    view = flats(SERPENTINE)
    for cut in ("front", "side"):
        theirs = build(SERPENTINE, LIVE_CHORD_MM).cut(cut).untrimmed
        assert flats_profile(view.variant, cut).symmetric_difference(theirs).area == pytest.approx(0.0, abs=1e-6)


def test_the_halves_are_numbered_as_they_are_carried():
    # what geometry leaves at u > 0 of the front is its left region: quarters 1 and 4
    wood = build(Variant("A", PLAIN.blank, front=Cut(nodes=(node(-20, 0), node(-20, LENGTH)))), LIVE_CHORD_MM)
    low, _, high, _ = wood.front.untrimmed.bounds
    assert (high, low) == pytest.approx((9.55, -49.55))  # the left half, 10 wide less half the kerf
    assert set(HALVES["front"][1]) == {1, 4}
    assert set(HALVES["front"][-1]) == {2, 3}
    assert set(HALVES["side"][1]) == {1, 2}
    assert set(HALVES["side"][-1]) == {3, 4}


def test_waste_is_told_from_wood_and_shows_its_number(flats):
    view = flats()
    trims = drawn_flats(view.variant, "front").trims
    assert [t.sawn.number for t in trims] == [1, 2]
    before = picture(view)
    view.show_variant(PLAIN, "mm")
    after = picture(view)
    spot = at(view, "front", *trims[0].number_at)
    assert before.pixelColor(spot) != after.pixelColor(spot)


def test_trims_that_reach_far_are_seen_whole(flats):
    far = Trim((node(90, -20), node(20, 140), node(80, 240)))
    view = flats(Variant("A", PLAIN.blank, front=Cut(trims=(far,))))
    box = view.sheet.rect()
    assert all(box.contains(of_trim(view, "front", 0, i)) for i in range(3))


@pytest.mark.parametrize("lying", [False, True])
def test_words_on_offcuts(flats, lying):
    view = flats(lying=lying)
    assert "tape it back inside" in tip(view, at(view, "front", 27, 140)) or "may be left out" in tip(
        view, at(view, "front", 27, 140)
    )
    view._say()
    assert "offcut" in view._words.text().lower()


def test_a_tapered_blank_says_why_it_cannot_be_trimmed(flats):
    view = flats(Variant("A", Blank(60.0, 60.0, LENGTH, 40.0)))
    view._say()
    assert "do not lie flat to flat" in view._words.text()
    for key in ("trim right", "trim left", "pen"):
        assert not view.actions_by_key[key].isEnabled()


# ---------------------------------------------------------------- drawing


def test_a_trim_is_drawn_beside_on_and_beside_the_wood(qtbot, flats):
    view = flats(PLAIN)
    for place in ((38, 80), (18, 150), (38, 250)):
        click(qtbot, view, at(view, "front", *place))
    assert view.told.course == ["edited Draw a trim"]
    (trim,) = last(view).front.trims
    assert [n.at for n in trim.nodes] == [pytest.approx(place, abs=1.0) for place in ((38, 80), (18, 150), (38, 250))]
    assert (trim.kerf, view.sheet.tool) == (PLAIN.front.kerf, "select")
    assert view.sheet.selection == Selection("front", trim=0)


def test_another_is_drawn_with_the_pen_and_called_off_with_escape(qtbot, flats):
    view = flats()
    view.set_tool("pen")
    for place in ((-38, 40), (-20, 100)):
        click(qtbot, view, at(view, "side", *place))
    qtbot.keyClick(view.sheet, Qt.Key.Key_Escape)
    assert view.told.steps == []
    for place in ((-38, 40), (-20, 100), (-20, 150)):
        click(qtbot, view, at(view, "side", *place))
    qtbot.keyClick(view.sheet, Qt.Key.Key_Return)
    assert len(last(view).side.trims[0].nodes) == 3
    assert last(view).front == TRIMMED.front


@pytest.mark.parametrize(("key", "sign"), [("trim right", 1), ("trim left", -1)])
def test_a_trim_to_begin_with(qtbot, flats, key, sign):
    view = flats(SERPENTINE)
    view.actions_by_key[key].trigger()
    assert view.told.course == ["edited Add a trim"]
    variant = last(view)
    report = report_on(build(variant, LIVE_CHORD_MM))
    (sawn,) = report.piece.front.trims
    assert (sawn.fault, sawn.side) == (None, sign)
    assert not report.has_stop


# ---------------------------------------------------------------- dragging


def test_a_node_of_a_trim_is_dragged_in_one_step(qtbot, flats):
    view = flats()
    start = of_trim(view, "front", 0, 1)
    drag(qtbot, view, start, start + QPoint(-14, 9), Qt.KeyboardModifier.AltModifier)
    assert view.told.course == ["started Move node", "changed", "finished"]
    across, up = pixel(view)
    u, z = view.variant.front.trims[0].nodes[1].at
    assert (u, z) == pytest.approx((20.0 - 14 * across, 140.0 - 9 * up), abs=1e-6)
    assert view.variant.front.trims[1] == FOOT
    assert view.variant.front.nodes == ()


def test_the_sheet_stays_where_it_is_under_a_drag(qtbot, flats):
    view = flats()
    placed = view.sheet.arrangement
    start = of_trim(view, "front", 0, 0)
    drag(qtbot, view, start, start + QPoint(25, 0), release=False)
    assert view.sheet.arrangement == placed
    qtbot.mouseRelease(view.sheet, Qt.MouseButton.LeftButton, NONE, start + QPoint(25, 0))


def test_an_end_of_a_trim_goes_past_the_foot(qtbot, flats):
    view = flats()
    start = of_trim(view, "front", 0, 0)
    drag(qtbot, view, start, at(view, "front", 25, -8), Qt.KeyboardModifier.AltModifier)
    assert view.variant.front.trims[0].nodes[0].at[1] == pytest.approx(-8.0, abs=1.0)


def test_a_drag_is_called_off_with_escape(qtbot, flats):
    view = flats()
    start = of_trim(view, "front", 1, 1)
    drag(qtbot, view, start, start + QPoint(12, 0), release=False)
    qtbot.keyClick(view.sheet, Qt.Key.Key_Escape)
    assert view.variant == TRIMMED
    assert view.told.course[-1] == "cancelled"


def test_a_node_is_added_on_a_trim_and_made_a_corner(qtbot, flats):
    view = flats()
    drawn = drawn_flats(TRIMMED, "front").trims[0].line
    u, z = drawn.stations[12]
    click(qtbot, view, at(view, "front", u, z))
    assert [len(t.nodes) for t in view.variant.front.trims] == [4, 3]
    double_click(qtbot, view, of_trim(view, "front", 0, 1))
    assert view.variant.front.trims[0].nodes[1].kind == "corner"


def test_a_band_takes_the_nodes_of_the_trim_it_holds_most_of(qtbot, flats):
    view = flats(TRIMMED)
    drag(qtbot, view, at(view, "front", -50, 215), at(view, "front", -5, 395))
    assert view.sheet.selection.nodes == (0, 1, 2)
    assert view.selected_trim == 1


# ---------------------------------------------------------------- keys and commands


def test_tab_walks_through_all_trims_and_arrows_move_their_nodes(qtbot, flats):
    view = flats()
    seen = []
    for _ in range(7):
        qtbot.keyClick(view.sheet, Qt.Key.Key_Tab)
        seen.append((view.selected_trim, view.selected()[1]))
    assert seen[:6] == [(0, (0,)), (0, (1,)), (0, (2,)), (1, (0,)), (1, (1,)), (1, (2,))]
    view.sheet.select(Selection.of("front", (1,), trim=0))
    view.sheet.setFocus()
    qtbot.keyClick(view.sheet, Qt.Key.Key_Left)
    qtbot.keyClick(view.sheet, Qt.Key.Key_Up, SHIFT)
    assert view.variant.front.trims[0].nodes[1].at == pytest.approx((19.0, 140.1))


def test_a_click_on_an_offcut_takes_its_trim_in_hand(qtbot, flats):
    view = flats()
    click(qtbot, view, at(view, "front", 27, 140))
    assert (view.selected_trim, view.selected()) == (0, ("front", ()))
    qtbot.keyClick(view.sheet, Qt.Key.Key_Delete, SHIFT)
    assert view.told.course == ["edited Delete trim"]
    assert last(view).front.trims == (FOOT,)


def test_mirror_and_copy(qtbot, flats):
    view = flats()
    view.sheet.select(Selection("front", trim=0))
    view.actions_by_key["mirror trim"].trigger()
    assert [n.at for n in last(view).front.trims[2].nodes] == [(-40.0, 60.0), (-20.0, 140.0), (-40.0, 240.0)]
    view.sheet.select(Selection("front", trim=0))
    view.actions_by_key["copy trim"].trigger()
    assert last(view).side.trims == (ANKLE,)
    assert view.sheet.selection == Selection("side", trim=0)


def test_a_trim_with_one_node_left_goes(qtbot, flats):
    view = flats()
    view.sheet.select(Selection.of("front", (0, 1), trim=0))
    qtbot.keyClick(view.sheet, Qt.Key.Key_Delete)
    assert view.variant.front.trims == (FOOT,)
    assert view.sheet.selection == Selection("front")


def test_without_a_trim_in_hand_nothing_is_done_to_the_line(flats):
    view = flats(SERPENTINE)
    enabled = {key for key in (c.key for g in COMMANDS for c in g) if view.actions_by_key[key].isEnabled()}
    assert enabled == {"trim right", "trim left", "other"}
    view.set_view("faces")
    assert not any(view.actions_by_key[key].isVisible() for key in ("trim right", "mirror trim"))
    assert view.actions_by_key["mirror"].isVisible()


# ---------------------------------------------------------------- findings


def test_a_finding_about_a_trim_leads_to_it_and_one_about_a_line_leads_back(flats):
    crossing = Trim((node(40, 60), node(-6, 140), node(40, 240)))
    variant = Variant("A", PLAIN.blank, front=Cut(trims=(FOOT, crossing)))
    view = flats(variant)
    view.set_view("faces")
    findings = report_on(build(variant, LIVE_CHORD_MM)).findings
    found = next(f for f in findings if f.code == "trim-crosses-axis")
    view.show_findings(findings)
    assert all(m.finding is None or m.finding.cut is None for m in view.sheet.marks)
    view.select_finding(found)
    assert (view.view, view.selected_trim) == ("flats", 1)
    marked = [m for m in view.sheet.marks if m.finding == found]
    assert len(marked) == 1
    place = view.sheet.arrangement.face("front").to_px(*found.at)
    assert (marked[0].place - place).manhattanLength() < 1e-6
    wrong = Variant("A", PLAIN.blank, front=Cut(nodes=(node(0, 0), node(28, 200), node(0, 420))))
    view.show_variant(wrong, "mm")
    about_line = next(f for f in report_on(build(wrong, LIVE_CHORD_MM)).findings if f.cut == "front")
    view.show_findings([about_line])
    view.select_finding(about_line)
    assert view.view == "faces"


def test_the_level_is_shown_and_told(flats):
    view = flats()
    hover(view, at(view, "side", 0, 150))
    assert view.told.levels[-1] == pytest.approx(150.0, abs=1.5)
    hover(view, at(view, "side", 0, -9))
    assert view.told.levels[-1] == 0.0


def test_the_node_numbers_are_those_of_the_trim(qtbot):
    from app.faces import NodeNumbers

    numbers = NodeNumbers()
    qtbot.addWidget(numbers)
    numbers.show()
    told = []
    numbers.edited.connect(lambda name, variant: told.append((name, variant)))
    numbers.show_node(TRIMMED, "mm", "front", (1,), 1)
    assert (numbers.across.value, numbers.up.value) == (-15.0, 300.0)
    numbers.across.setFocus()
    numbers.across.selectAll()
    qtbot.keyClicks(numbers.across, "-18")
    qtbot.keyClick(numbers.across, Qt.Key.Key_Return)
    assert told[0][1].front.trims[1].nodes[1].at == (-18.0, 300.0)
    assert told[0][1].front.trims[0] == ANKLE


def test_moving_over_nothing_moves_nothing(flats):
    view = flats()
    move(view, at(view, "front", 0, 200))
    assert view.variant == TRIMMED
