"""The radius along a line, the plan in two steps, and the teeth for the cut."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.blades import COMFORT, STOCK_BLADES, THICK_ALLOWANCE, reach, thickness_allowance, widest_stock_blade
from geometry.curvature import tightest_bend
from geometry.findings import findings_of
from geometry.lines import line_through
from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Variant
from geometry.radius_along import COMFORTABLE, IMPOSSIBLE, TIGHT, radius_along, radius_along_line, two_steps
from geometry.teeth import (
    BEST_TEETH,
    FULL_ENOUGH,
    MOST_TEETH,
    fastest_feed,
    gullet_fill,
    sawn_depth_mm,
    teeth_in_work,
    tooth_advice,
)
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies
from tests.geometry.test_lines import nodes

TIGHT_ONCE = nodes((0, 0), (2, 150), (2, 210), (14, 225), (2, 240), (2, 300), (0, 420))


@given(strategies.lines(30.0, 420.0), st.floats(5.0, 200.0))
def test_the_comb_is_as_tight_as_the_line(front, limit):
    if not front:
        return
    line = line_through(front)
    along, bend = radius_along_line(line, limit), tightest_bend(line)
    if bend is None:
        assert np.isinf(along.radius_mm).all()
        assert (along.level == COMFORTABLE).all()
        return
    assert along.radius_mm.min() >= bend.radius_mm * (1 - 1e-9)
    assert along.radius_mm.min() <= bend.radius_mm * 1.25 + 1.0
    assert (along.level == IMPOSSIBLE).tolist() == (along.radius_mm < limit).tolist()
    assert (along.level == COMFORTABLE).tolist() == (~(along.radius_mm < COMFORT * limit)).tolist()
    assert sum(along.share(k) for k in (COMFORTABLE, TIGHT, IMPOSSIBLE)) == pytest.approx(1.0)
    assert (np.diff(along.along_mm) >= 0.0).all()


def test_its_teeth_point_to_the_middle_of_the_bend():
    # a quarter of a circle about (100, 0), bending right
    angles = np.linspace(0.0, math.pi / 2, 30)
    circle = line_through(nodes(*((100.0 - 100.0 * math.cos(a), 100.0 * math.sin(a)) for a in angles)))
    along = radius_along_line(circle, 50.0)
    inner = (along.along_mm > 20.0) & (along.along_mm < 130.0)
    centres = along.places[inner] + along.radius_mm[inner, None] * along.towards[inner]
    assert np.abs(centres - [100.0, 0.0]).max() < 1.0


def test_a_blade_that_cannot_turn_is_stuck_wherever_the_line_bends():
    along = radius_along_line(line_through(TIGHT_ONCE), None)
    assert (along.level == IMPOSSIBLE).tolist() == np.isfinite(along.radius_mm).tolist()
    straight = radius_along_line(line_through(nodes((0, 0), (5, 400), kinds="cc")), None)
    assert (straight.level == COMFORTABLE).all()


def test_a_tapered_blank_is_judged_square_to_the_blade():
    blank = Blank(80.0, 80.0, 400.0, 80.0, 20.0)
    piece = build(Variant("A", blank, front=Cut(nodes=TIGHT_ONCE[:-1] + nodes((0, 400)))), LIVE_CHORD_MM)
    along = radius_along(piece, "front", 16.0)
    assert along.radius_mm.min() == pytest.approx(piece.front.bend.radius_mm, rel=0.02)


def test_a_line_tight_in_one_place_is_sawn_in_two_steps():
    along = radius_along_line(line_through(TIGHT_ONCE), 0.0)
    plan = two_steps(along)
    assert plan.narrow == widest_stock_blade(float(along.radius_mm.min()))
    assert plan.wide.width_mm > plan.narrow.width_mm
    assert 150.0 < plan.start[1] < 225.0 < plan.stop[1] < 300.0
    assert 0.0 < plan.share < 1.0 / 3.0


@given(strategies.single_valued(30.0, 420.0).filter(bool))
def test_outside_the_stretch_the_wide_blade_follows(front):
    along = radius_along_line(line_through(front), 0.0)
    plan = two_steps(along)
    if plan is None:
        return
    first, last = (int(np.argmin(np.hypot(*(along.places - place).T))) for place in (plan.start, plan.stop))
    outside = np.r_[along.radius_mm[: first + 1], along.radius_mm[last + 1 :]]
    assert (outside >= plan.wide.radius_mm).all()
    assert along.radius_mm.min() >= plan.narrow.radius_mm


def test_one_blade_is_enough_for_an_even_curve():
    # three whole waves, so that the ends are straight
    wave = nodes(*((float(10 * np.sin(z / 20)), float(z)) for z in np.linspace(0, 120 * np.pi, 61)))
    assert two_steps(radius_along_line(line_through(wave), 0.0)) is None


def test_thick_work_wants_more_room():
    assert thickness_allowance(50.0) == 1.0
    assert thickness_allowance(50.1) == THICK_ALLOWANCE == 1.25
    # advice only: what a blade follows is the table's
    assert reach(Blade(6.35)).radius_mm == STOCK_BLADES[2].radius_mm


# ---------------------------------------------------------------- teeth

# worked out apart (common practice, no source): thickness mm, teeth per inch for 3, for 6 to 12, and for 24 in the work
TEETH = [(25, 3.0, 6, 12, 24), (38, 2.0, 4, 8, 16), (50, 1.5, 3, 6, 12), (70, 1.1, 2.2, 4.4, 8.7), (100, 0.8, 2, 3, 6)]


@pytest.mark.parametrize(("depth", "least", "low", "high", "most"), TEETH)
def test_teeth_for_a_thickness(depth, least, low, high, most):
    advice = tooth_advice(depth, 1.0, 616.0, 20.0)
    # below 2 to the inch none are sold
    assert (advice.least, advice.best[0], advice.best[1], advice.most) == pytest.approx(
        (least, low, high, most), rel=0.05
    )


# worked out apart for 70 mm at 15 m/s, percent full: teeth per inch, at 1 and at 2 m a minute
FULL = [(4, 17, 35), (6, 26, 52), (10, 44, 87), (14, 61, 122)]


@pytest.mark.parametrize(("per_inch", "one", "two"), FULL)
def test_how_full_the_gullets_get(per_inch, one, two):
    assert 100.0 * gullet_fill(per_inch, 70.0, 1.0) == pytest.approx(one, abs=0.6)
    assert 100.0 * gullet_fill(per_inch, 70.0, 2.0) == pytest.approx(two, abs=0.6)
    assert gullet_fill(per_inch, 70.0, fastest_feed(per_inch, 70.0)) == pytest.approx(FULL_ENOUGH)


@given(st.floats(10.0, 300.0), st.floats(0.0, 1.0), st.floats(350.0, 800.0), st.none() | st.floats(5.0, 500.0))
def test_the_advice_keeps_its_own_rules(depth, share, density, radius):
    advice = tooth_advice(depth, share, density, radius)
    low, high = advice.best
    assert 2.0 <= low <= high <= 24.0
    if low > 2.0 and high < 24.0:
        assert teeth_in_work(low, depth) == pytest.approx(BEST_TEETH[0])
        assert teeth_in_work(high, depth) == pytest.approx(BEST_TEETH[1])
    slow, brisk = advice.feed_m_min
    assert 0.0 < slow <= brisk
    assert gullet_fill(high, depth, brisk) <= FULL_ENOUGH * (1 + 1e-9)


def test_the_form_follows_the_cut():
    assert tooth_advice(20.0, 1.0, 700.0, None).form == "regular"
    assert tooth_advice(70.0, 1.0, 700.0, None).form == "hook"
    assert tooth_advice(70.0, 1.0, 400.0, None).form == "skip"
    assert tooth_advice(70.0, 1.0, 700.0, 16.0).form == "skip"
    assert tooth_advice(30.0, 0.2, 700.0, None).form == "regular"


def test_each_cut_has_its_own_depth():
    variant = Variant("A", Blank(80.0, 60.0, 400.0, 90.0))
    assert sawn_depth_mm(variant, "front") == 60.0
    assert sawn_depth_mm(variant, "side") == 90.0


@pytest.mark.parametrize(
    ("per_inch", "code"), [(1.0, "teeth-too-coarse"), (4.0, None), (8.0, None), (10.2, "teeth-too-fine")]
)
def test_teeth_that_do_not_suit_are_told(per_inch, code):
    # 60 mm: 3 teeth at 1.27 to the inch, 24 at 10.16
    variant = Variant("A", Blank(60.0, 60.0, 400.0), front=Cut(blade=Blade(6.35, teeth_per_inch=per_inch)))
    found = [f for f in findings_of(build(variant, LIVE_CHORD_MM)) if f.code.startswith("teeth")]
    assert [(f.code, f.cut, f.severity) for f in found] == ([] if code is None else [(code, "front", "advice")])
    assert teeth_in_work(10.16, 60.0) == pytest.approx(MOST_TEETH)
