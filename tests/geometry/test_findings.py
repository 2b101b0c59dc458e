"""Findings: for each, a design that has it and a near miss that has not; its place and its severity."""

import math
from dataclasses import replace

import msgspec
import numpy as np
import pytest
import shapely
from hypothesis import given

from geometry.curvature import tightest_bend
from geometry.findings import SEVERITIES, Finding, findings_of, has_stop
from geometry.findings.finding import worst_first
from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Limits, Saw, Variant
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies
from tests.geometry.test_lines import nodes

# what stops the saw; the rest are cautions or advice
STOPS = {
    "line-leaves-face", "line-touches-itself", "line-not-end-to-end", "radius-too-tight", "quarter-in-pieces",
    "trim-crosses-axis", "trim-misses", "trim-on-taper",
}  # fmt: skip

BLANK = Blank(80.0, 60.0, 400.0)
STRAIGHT = nodes((0, 0), (0, 400), kinds="cc")


def findings(front=STRAIGHT, *, kerf=0.9, blade=None, blank=BLANK, units="mm", **keys) -> tuple[Finding, ...]:
    variant = Variant("A", blank, front=Cut(kerf, blade, front), **keys)
    return findings_of(build(variant, LIVE_CHORD_MM), units)


def only(code: str, **keys) -> Finding:
    (found,) = [f for f in findings(**keys) if f.code == code]
    return found


def codes(**keys) -> set[str]:
    """What is found, but for the slope of the grain, which nearly every line is told of: see test_grain."""
    return {f.code for f in findings(**keys)} - {"short-grain"}


def test_a_plain_leg_has_nothing_against_it():
    assert findings() == ()
    assert codes(front=nodes((0, 0), (8, 140), (-6, 280), (0, 400))) == set()


# ---------------------------------------------------------------- leaving the face

HALF = 40.0  # of the front face of the blank


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_line_that_leaves_the_face_at_its_edge(side):
    bulge = nodes((0, 0), (side * 42.5, 200), (0, 400))
    found = only("line-leaves-face", front=bulge)
    assert (found.severity, found.cut) == ("stop", "front")
    assert found.at == pytest.approx((side * 42.5, 200.0))
    assert "2.5 mm" in found.message
    assert ("right" if side > 0 else "left") in found.message
    assert "line-leaves-face" not in codes(front=nodes((0, 0), (side * 39.999, 200), (0, 400)))


def test_on_the_edge_itself_it_has_not_left_the_face_but_no_wall_is_left():
    on_edge = nodes((0, 0), (40, 200), (0, 400))
    assert "line-leaves-face" not in codes(front=on_edge)
    assert "breaks through" in only("wall-too-thin", front=on_edge).message


def test_between_nodes_it_may_leave_the_face_as_well():
    # both nodes are on the face, the curve between them is not
    swung = nodes((0, 0), (39.5, 120), (39.5, 280), (0, 400))
    assert only("line-leaves-face", front=swung).at == pytest.approx((47.69, 200.0), abs=0.01)


@pytest.mark.parametrize(("end", "z"), [("foot", -3.0), ("top", 403.0)])
def test_a_line_that_leaves_the_face_past_an_end(end, z):
    dip = nodes((-20, 0), (0, 100), (0, z), (20, 200), (20, 400)) if z < 0 else nodes(
        (-20, 0), (-20, 200), (0, z), (0, 300), (20, 400)
    )  # fmt: skip
    past = [f for f in findings(front=dip) if f.code == "line-leaves-face" and end in f.message]
    assert len(past) == 1
    assert (past[0].at[1] < 0.0) if z < 0 else (past[0].at[1] > 400.0)


# ---------------------------------------------------------------- end to end


@pytest.mark.parametrize(
    ("front", "place", "word"),
    [
        (nodes((0, 0.5), (0, 400), kinds="cc"), (0, 0.5), "short of the foot"),
        (nodes((3, -2), (0, 400), kinds="cc"), (3, -2), "past the foot"),
        (nodes((0, 0), (4, 390), kinds="cc"), (4, 390), "short of the top"),
        (nodes((0, 0), (4, 401), kinds="cc"), (4, 401), "past the top"),
    ],
)
def test_a_line_not_end_to_end(front, place, word):
    found = only("line-not-end-to-end", front=front)
    assert found.severity == "stop"
    assert found.at == place
    assert word in found.message


def test_a_line_end_to_end_within_rounding():
    assert codes(front=nodes((0, 5e-7), (0, 400 - 5e-7), kinds="cc")) == set()


def test_a_line_drawn_from_the_top_is_told_so_once():
    found = only("line-not-end-to-end", front=nodes((0, 400), (8, 200), (0, 0)))
    assert "Reverse" in found.remedy
    assert found.at == (0.0, 400.0)


# ---------------------------------------------------------------- walls


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_a_wall_is_measured_from_the_edge_of_the_slot(side):
    # half 40, kerf 2: at u = 33 the wall is exactly 6
    thin = only("wall-too-thin", front=nodes((0, 0), (side * 33.1, 200), (0, 400)), kerf=2.0)
    assert (thin.severity, thin.cut) == ("caution", "front")
    assert thin.at == pytest.approx((side * 33.1, 200.0))
    assert "5.9 mm" in thin.message
    assert codes(front=nodes((0, 0), (side * 33.0, 200), (0, 400)), kerf=2.0) == set()
    assert "wall-too-thin" in codes(front=nodes((0, 0), (side * 33.0, 200), (0, 400)), kerf=2.1)
    assert codes(front=nodes((0, 0), (side * 33.1, 200), (0, 400)), kerf=2.0, limits=Limits(wall=5.9)) == set()


def test_at_a_slanting_end_the_slot_is_wider():
    # slope 1 within the end: kerf · √2 across
    def slanting(u):
        return nodes((0, 0), (0, 200), (u - 50, 350), (u, 400), kinds="cccc")

    edge = 40.0 - 6.0 - 2.0 / math.sqrt(2.0)
    assert "wall-too-thin" not in codes(front=slanting(edge - 0.01), kerf=2.0)
    found = only("wall-too-thin", front=slanting(edge + 0.05), kerf=2.0)
    assert found.at == pytest.approx((edge + 0.05, 400.0))


@pytest.mark.parametrize("end", ["foot", "top"])
def test_a_hook_near_an_end_leaves_a_wall_there(end):
    def hooked(z):
        low = nodes((-20, 0), (-20, 60), (-5, 60), (-5, z), (15, z), (15, 400), kinds="cccccc")
        turned = tuple(msgspec.structs.replace(n, at=(-n.at[0], 400.0 - n.at[1])) for n in low[::-1])
        return low if end == "foot" else turned

    assert "wall-too-thin" not in codes(front=hooked(7.0), kerf=2.0)
    found = only("wall-too-thin", front=hooked(6.5), kerf=2.0)
    assert found.severity == "caution"
    assert "5.5 mm" in found.message
    assert end in found.message
    assert found.at[1] == pytest.approx(6.5 if end == "foot" else 393.5)
    assert "breaks through" in only("wall-too-thin", front=hooked(0.9), kerf=2.0).message


# ---------------------------------------------------------------- itself


def hairpin(gap):
    places = ((-20, 0), (-20, 220), (-20 + gap, 220), (-20 + gap, 150), (20, 150), (20, 400))
    return nodes(*places, kinds="cccccc")


def test_a_line_that_crosses_itself():
    bow = nodes((0, 0), (0, 250), (20, 250), (20, 150), (-20, 150), (-20, 400), kinds="cccccc")
    found = only("line-touches-itself", front=bow)
    assert (found.severity, found.cut) == ("stop", "front")
    assert found.at == pytest.approx((0.0, 150.0))


def test_a_line_that_only_touches_itself():
    touch = nodes((0, 0), (0, 250), (20, 250), (0, 200), (20, 150), (20, 400), kinds="cccccc")
    assert only("line-touches-itself", front=touch).at == pytest.approx((0.0, 200.0))


def test_two_passes_that_leave_no_wood_between_them():
    found = only("line-touches-itself", front=hairpin(0.9))
    assert found.severity == "stop"
    assert found.at[0] == pytest.approx(-19.55)
    assert "web-too-thin" in codes(front=hairpin(0.95))
    assert "line-touches-itself" not in codes(front=hairpin(0.95))


def test_a_web_is_measured_between_the_edges_of_the_slot():
    found = only("web-too-thin", front=hairpin(6.85))
    assert (found.severity, found.cut) == ("caution", "front")
    assert "5.9 mm" in found.message or "6 mm" in found.message
    assert 150.0 <= found.at[1] <= 220.0
    assert "web-too-thin" not in codes(front=hairpin(6.9))
    assert "web-too-thin" in codes(front=hairpin(6.9), kerf=1.0)
    assert "web-too-thin" not in codes(front=hairpin(6.85), limits=Limits(web=5.9))


def test_a_stop_is_not_hidden_behind_a_narrower_bend():
    """A horseshoe of 1.5 mm closes further than a pass of 1.6 mm; the kerf of 2 eats both, the pass is what stops."""
    passes = nodes((-20, 0), (-20, 220), (-18.4, 220), (-18.4, 150), (10, 150), (10, 400), kinds="cccccc")
    assert only("line-touches-itself", front=passes, kerf=2.0).severity == "stop"


# ---------------------------------------------------------------- corners, blades, saw


def test_a_corner_is_told_from_one_degree_on():
    def bent(degrees):
        return nodes((0, 0), (0, 200), (200 * math.tan(math.radians(degrees)), 400), kinds="ccc")

    assert codes(front=bent(0.99)) == set()
    found = only("sharp-corner", front=bent(1.01))
    assert found.severity == "caution"
    assert found.at == (0.0, 200.0)


def test_of_several_corners_the_sharpest_is_named():
    zigzag = nodes((0, 0), (0, 100), (5, 200), (25, 300), (0, 400), kinds="ccccc")
    found = only("sharp-corner", front=zigzag)
    assert found.at == (25.0, 300.0)
    assert "2 more" in found.message


WAVE = nodes(*((float(10 * np.sin(2 * np.pi * z / 400)), float(z)) for z in np.linspace(0, 400, 17)))


def radius_of(front):
    return tightest_bend(build(Variant("A", BLANK, front=Cut(nodes=front))).front.line)


def test_the_wave_is_known():
    # L² / 4π² A = 405 mm for the sine that these nodes lie on
    assert radius_of(WAVE).radius_mm == pytest.approx(405.3, rel=0.02)


BEND = nodes((0, 0), (15, 100), (-15, 145), (0, 400))


def test_a_radius_too_tight_for_the_chosen_blade():
    bend = radius_of(BEND)
    assert 36.5 < bend.radius_mm < 63.5
    found = only("radius-too-tight", front=BEND, blade=Blade(12.7))
    assert (found.severity, found.cut) == ("stop", "front")
    assert found.at == pytest.approx(bend.at)
    assert "63.5 mm" in found.message
    assert "9.5 mm" in found.remedy  # the widest that follows
    assert "radius-too-tight" not in codes(front=BEND, blade=Blade(9.5))
    assert "radius-too-tight" not in codes(front=BEND)


def test_the_boundary_is_the_blade_that_just_follows():
    radius = radius_of(BEND).radius_mm
    for factor, tight in ((1.001, True), (0.999, False)):
        room = 10.0**2 / (5.83 * radius * factor)
        blade = Blade(10.0, 0.5, 0.5 + room)
        assert ("radius-too-tight" in codes(front=BEND, blade=blade, kerf=blade.kerf)) == tight


def test_each_cut_has_its_own_blade():
    variant = Variant(
        "A", Blank(80.0, 80.0, 400.0), front=Cut(blade=Blade(9.5), nodes=BEND), side=Cut(blade=Blade(12.7), nodes=BEND)
    )
    found = findings_of(build(variant, LIVE_CHORD_MM))
    assert [(f.code, f.cut) for f in found if f.severity == "stop"] == [("radius-too-tight", "side")]


def test_a_blade_without_set_cannot_turn():
    for kerf in (0.5, 0.6):
        found = only("radius-too-tight", front=WAVE, blade=Blade(3.0, 0.6, kerf), kerf=kerf)
        assert "cannot turn" in found.message
    # on a straight line it has no need to
    assert "radius-too-tight" not in codes(blade=Blade(3.0, 0.6, 0.6), kerf=0.6)


def test_a_bend_no_stock_blade_follows():
    tight = nodes((0, 0), (0, 90), (4, 100), (-4, 108), (0, 118), (0, 400))
    assert radius_of(tight).radius_mm < 4.8
    found = only("no-stock-blade-follows", front=tight)
    assert found.severity == "caution"
    assert "no-stock-blade-follows" not in codes(front=BEND)


def test_a_blade_wider_than_the_table():
    found = only("blade-not-in-table", front=WAVE, blade=Blade(30.0))
    assert found.severity == "caution"
    assert "blade-not-in-table" not in codes(front=WAVE, blade=Blade(25.4))
    assert "radius-too-tight" in codes(front=BEND, blade=Blade(30.0))


def test_a_kerf_unlike_the_measured_one():
    found = only("kerf-differs", front=WAVE, blade=Blade(6.35, 0.6, 1.2), kerf=0.9)
    assert found.severity == "advice"
    assert "kerf-differs" not in codes(front=WAVE, blade=Blade(6.35, 0.6, 1.2), kerf=1.15)


def test_a_blank_too_tall_for_the_saw():
    # the front line is sawn through the depth, the side line through the width
    assert codes(saw=Saw(80.0)) == set()
    found = only("blank-too-tall-for-saw", saw=Saw(79.9))
    assert (found.severity, found.cut) == ("caution", "side")
    both = [f for f in findings(saw=Saw(59.0)) if f.code == "blank-too-tall-for-saw"]
    assert [f.cut for f in both] == ["front", "side"]


# ---------------------------------------------------------------- what is left


def test_a_quarter_in_pieces():
    def hook(higher):
        places = ((-10, 0), (-10, 220 + higher), (0, 220 + higher), (0, 180 + higher), (10, 180 + higher), (10, 400))
        return nodes(*places, kinds="cccccc")

    found = only("quarter-in-pieces", front=hook(0), side=Cut(nodes=hook(20)))
    assert found.severity == "stop"
    assert "Quarter 2 falls into 2 pieces" in found.message
    assert found.at == pytest.approx((0.0, 210.0), abs=0.5)
    assert "quarter-in-pieces" not in codes(front=hook(0), side=Cut(nodes=hook(100)))


def test_a_quarter_without_wood():
    gone = [f for f in findings(front=nodes((-40, 0), (-40, 400), kinds="cc")) if f.code == "quarter-in-pieces"]
    assert len(gone) == 2
    assert all("no wood" in f.message for f in gone)


def test_a_section_too_thin():
    blank = Blank(18.9, 60.0, 400.0)
    assert "section-too-thin" not in codes(blank=blank)
    found = only("section-too-thin", blank=blank, kerf=0.91)
    assert found.severity == "caution"
    assert "section-too-thin" not in codes(blank=blank, kerf=0.91, limits=Limits(section=17.0))


def test_a_section_too_thin_where_the_line_slants():
    slanting = nodes((-5, 0), (-5, 180), (5, 190), (5, 400), kinds="cccc")
    found = only("section-too-thin", front=slanting, blank=Blank(19.0, 60.0, 400.0), limits=Limits(wall=1.0))
    assert 180.0 <= found.at[1] <= 190.0


# ---------------------------------------------------------------- all of them


@given(strategies.variants())
def test_a_feasible_design_is_never_stopped(variant):
    assert not has_stop(findings_of(build(variant, LIVE_CHORD_MM)))


@given(strategies.wild_variants())
def test_findings_are_whole_sentences_worst_first_with_places_on_the_line(variant):
    piece = build(variant, LIVE_CHORD_MM)
    for units in ("mm", "in"):
        found = findings_of(piece, units)
        assert [SEVERITIES.index(f.severity) for f in found] == sorted(SEVERITIES.index(f.severity) for f in found)
        for f in found:
            assert (f.severity == "stop") == (f.code in STOPS)
            for sentence in (f.message, f.remedy):
                assert sentence[0].isupper()
                assert sentence.endswith(".")
                assert "nan" not in sentence
                assert "inf" not in sentence
            assert f.at is None or all(math.isfinite(x) for x in f.at)
            on_line = f.cut is not None and f.at is not None and f.code not in ("web-too-thin", "line-touches-itself")
            if on_line:
                path = shapely.LineString(piece.cut(f.cut).face.samples.points)
                # the path may cut a needle-sharp turn short by a little more than its tolerance
                assert path.distance(shapely.Point(*f.at)) <= 1.5 * LIVE_CHORD_MM
        assert has_stop(found) == any(f.severity == "stop" for f in found)


def test_inches_are_spoken_to_who_works_in_inches():
    thin = only("wall-too-thin", front=nodes((0, 0), (35, 200), (0, 400)), units="in")
    assert '"' in thin.message
    assert "mm" not in thin.message


def test_worst_come_first_and_equals_keep_their_order():
    one = Finding("a", "advice", "A.", "B.")
    mixed = [one, replace(one, code="b", severity="stop"), replace(one, code="c"), replace(one, severity="caution")]
    assert [f.code for f in worst_first(mixed)] == ["b", "a", "a", "c"]
