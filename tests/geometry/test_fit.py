"""From an outline back to what is sawn: what comes back, what is preferred, and what cannot be had."""

from __future__ import annotations

from dataclasses import replace as with_fields

import numpy as np
import pytest
import shapely
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from shapely.geometry.base import BaseGeometry

from geometry.cabriole import Cabriole
from geometry.curvature import tightest_bend
from geometry.findings import findings_of, has_stop
from geometry.fit import CannotFit, Fit, answer_line, fit_wish, with_answers
from geometry.layup import Stripes
from geometry.lines import line_through
from geometry.measures import bounds, moments
from geometry.piece import build
from geometry.project import CUT_NAMES, Blade, Blank, Cut, CutName, Limits, Node, Project, Variant
from geometry.wish import Give, ViewWish, Wish
from tests.strategies import designs_to_wish_for

# an example takes a second: one that fails is shown as it was found
QUICKLY = (Phase.explicit, Phase.reuse, Phase.generate)

Places = list[tuple[float, float]]


def outline(left: Places, right: Places, kind: str = "smooth") -> ViewWish:
    return ViewWish(*(tuple(Node((float(u), float(z)), kind) for u, z in side) for side in (left, right)))


def symmetric(places: Places, kind: str = "smooth") -> ViewWish:
    return outline([(-u, z) for u, z in places], places, kind)


def variant(wish: Wish, **more: object) -> Variant:
    cut = Cut(0.9, Blade(6.35))
    return replace(Variant("A", Blank(70, 70, wish.length), front=cut, side=cut, wish=wish), **more)


TAPER = symmetric([(25, 0), (15, 400)], "corner")
WAVE = outline(*([(u + s, z) for u, z in ((0, 0), (8, 140), (-6, 280), (0, 420))] for s in (-25, 25)))
LEG = ViewWish(cabriole=Cabriole())
COLUMN = symmetric([(32, 0), (30, 60), (21, 260), (26, 520), (23, 700), (28, 860), (29, 900)])


def edges(profile: BaseGeometry, z: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where a region begins and ends at each height: cut by level lines, one by one."""
    low, _, high, _ = profile.bounds
    across = shapely.linestrings([[(low - 9.0, h), (high + 9.0, h)] for h in z])
    found = shapely.bounds(shapely.intersection(across, profile))
    return found[:, 0], found[:, 2]


def traced(profile: BaseGeometry, length: float) -> ViewWish:
    """The outline of a built piece, corner by corner."""
    z = np.unique(shapely.get_coordinates(profile)[:, 1])
    z = z[np.append(True, np.diff(z) > 0.05)]
    z[0], z[-1] = 0.0, length
    left, right = edges(profile, np.clip(z, 1e-7, length - 1e-7))
    return outline(list(zip(left, z, strict=True)), list(zip(right, z, strict=True)), "corner")


def wanted(view: ViewWish, z: np.ndarray) -> list[np.ndarray]:
    """The outline at heights, from its exact pieces laid out finely."""
    out = []
    for nodes in view.outlines():
        line = line_through(nodes)
        n = len(line.pieces)
        t = np.tile(np.linspace(0.0, 1.0, 200), n)
        points = line.at(np.repeat(np.arange(n), 200), t)
        out.append(np.interp(z, points[:, 1], points[:, 0]))
    return out


def assert_kept(fit: Fit, tolerance: float) -> None:
    """Every answer is sound, and the piece built of it has the wanted outline, by the exact profiles."""
    assert fit.is_had
    assert fit.answers
    for answer in fit.answers:
        made = answer.variant
        piece = build(made)
        assert not has_stop(findings_of(piece)), findings_of(piece)
        z = np.linspace(1e-6, made.blank.length - 1e-6, 601)
        for name in CUT_NAMES:
            view = made.wish.view(name) if made.wish else None
            if view is None:
                continue
            left, right = edges(piece.cut(name).profile, z)
            want_left, want_right = wanted(view, z)
            off = np.maximum(np.abs(left - want_left), np.abs(right - want_right))
            assert off.max() <= tolerance + 0.012, (name, answer.words, z[off.argmax()])  # a chord of the sampled saw
            told = answer.difference(name)
            assert told is not None
            assert told.worst_mm <= tolerance + 1e-6
            np.testing.assert_allclose(piece.cut(name).widths.at(z), right - left, atol=1e-6)  # one piece of wood
            some = slice(3, -3, len(told.z) // 200 + 1)
            left, right = edges(piece.cut(name).profile, told.z[some])
            np.testing.assert_allclose(told.wanted_left[some] - told.left[some], left, atol=0.015)
            np.testing.assert_allclose(told.wanted_right[some] + told.right[some], right, atol=0.015)


# ---------------------------------------------------------------- round trips


@settings(max_examples=8, phases=QUICKLY)
@given(designs_to_wish_for(trims=False))
def test_a_known_line_comes_back_without_trims(design: Variant):
    assert_comes_back(design, trims=0)


@settings(max_examples=5, phases=QUICKLY)
@given(designs_to_wish_for(trims=True))
def test_a_known_piece_with_trims_comes_back(design: Variant):
    assert_comes_back(design, trims=4)


def assert_comes_back(design: Variant, trims: int) -> None:
    piece = build(design)
    codes = {f.code for f in findings_of(piece)}
    assume(not has_stop(findings_of(piece)))
    assume(not codes & {"wall-too-thin", "web-too-thin", "sharp-corner", "no-stock-blade-follows"})
    wish = Wish(*(traced(piece.cut(name).profile, design.blank.length) for name in CUT_NAMES))
    fit = fit_wish(replace(design, wish=wish))
    assert_kept(fit, wish.tolerance)
    best = fit.answers[0].variant
    assert len(best.front.trims) + len(best.side.trims) <= trims
    assert best.blank.width <= design.blank.width + 0.15
    assert best.blank.depth <= design.blank.depth + 0.15


# ---------------------------------------------------------------- what is preferred


def test_one_width_all_the_way_needs_no_trim():
    fit = fit_wish(variant(Wish(WAVE, follows="front")))
    assert_kept(fit, 0.1)
    assert not fit.answers[0].variant.front.trims
    assert fit.answers[0].cost.trims == 0


def test_a_straight_taper_is_one_straight_trim_a_view_or_two_about_an_upright_line():
    fit = fit_wish(variant(Wish(TAPER, follows="front")))
    assert_kept(fit, 0.1)
    first, second = (a.variant for a in fit.answers[:2])
    assert [len(c.trims) for c in (first.front, first.side, second.front, second.side)] == [1, 1, 2, 2]
    assert second.front.nodes == ()
    for trim in (*first.front.trims, *second.front.trims):
        assert tightest_bend(line_through(trim.nodes)) is None  # straight
        assert len(trim.nodes) == 2
    # the blank of the foot: 50 wide and a kerf
    assert (second.blank.width, second.blank.depth) == pytest.approx((50.9, 50.9), abs=0.011)


@pytest.mark.parametrize("sanding", [0.0, 0.3])
def test_a_cabriole_leg_comes_from_its_sizes(sanding: float):
    fit = fit_wish(variant(Wish(LEG, follows="front"), sanding=sanding))
    assert_kept(fit, 0.1)
    best = fit.answers[0].variant
    assert len(best.front.trims) == 1  # long, on one side
    assert best.blank.width == pytest.approx(70.0 + 0.9 + 2.0 * sanding, abs=0.05)
    assert len({a.words for a in fit.answers}) >= 2


def test_a_column_is_trimmed_on_as_few_sides_as_may_be():
    fit = fit_wish(variant(Wish(COLUMN, follows="front", tolerance=0.2)))
    assert_kept(fit, 0.2)
    trims = [a.cost.trims for a in fit.answers]
    assert trims[0] == min(trims) == 2
    assert fit.answers[0].cost.minutes < fit.answers[1].cost.minutes


def test_two_different_views_get_blanks_of_their_own_unless_square():
    wish = Wish(WAVE, outline([(-20, 0), (-20, 420)], [(20, 0), (20, 420)], "corner"))
    fit = fit_wish(variant(wish))
    assert_kept(fit, 0.1)
    assert fit.answers[0].variant.blank.depth == pytest.approx(40.9, abs=0.011)
    square = fit_wish(variant(replace(wish, give=Give(square=True))))
    assert_kept(square, 0.1)
    blank = square.answers[0].variant.blank
    assert blank.width == blank.depth == fit.answers[0].variant.blank.width


def test_stock_sizes_are_kept_to():
    fit = fit_wish(variant(Wish(TAPER, follows="front", give=Give(sizes=(45.0, 60.0, 75.0)))))
    assert_kept(fit, 0.1)
    assert {(a.variant.blank.width, a.variant.blank.depth) for a in fit.answers} == {(60.0, 60.0)}


def test_a_free_blank_names_the_stock_to_plane_it_from():
    assert fit_wish(variant(Wish(TAPER, follows="front"))).answers[0].stock_mm == (57.0, 57.0)


def test_a_view_without_a_wish_keeps_its_cut_and_size():
    start = variant(Wish(WAVE), side=Cut(0.9, None, (Node((3.0, 0.0)), Node((-3.0, 200.0)), Node((0.0, 420.0)))))
    fit = fit_wish(start)
    assert_kept(fit, 0.1)
    assert fit.answers[0].variant.side == start.side
    assert fit.answers[0].variant.blank.depth == 70.0
    assert fit.answers[0].side is None


def test_the_wood_is_stretched_to_the_new_blank():
    strips = Stripes("x", ((35.0, "walnut"), (35.0, "maple")))
    answer = fit_wish(variant(Wish(WAVE), layup=strips)).answers[0].variant
    assert isinstance(answer.layup, Stripes)
    assert sum(w for w, _ in answer.layup.strips) == pytest.approx(answer.blank.width)


def test_an_outline_beside_the_seam_is_moved_about_it_where_the_axis_may_move():
    beside = outline(*([(n.at[0] + 40.0, n.at[1]) for n in side] for side in WAVE.outlines()))
    stays = fit_wish(variant(Wish(beside)))
    assert [c.view for c in stays.cannot] == ["front"]
    assert "glue seam" in stays.cannot[0].sentence
    moves = fit_wish(variant(Wish(beside, give=Give(axis=True))))
    assert_kept(moves, 0.1)  # against the wish the answer carries, moved with the piece


def test_what_the_costs_are_of():
    answer = fit_wish(variant(Wish(TAPER, follows="front"))).answers[0]
    piece = build(answer.variant)
    assert answer.cost.wood_mm3 == answer.variant.blank.volume_mm3
    volume = moments(piece.glued()).volume_mm3
    assert answer.cost.wood_mm3 - answer.cost.waste_mm3 == pytest.approx(volume, rel=1e-3)


def test_the_solid_has_the_wanted_size():
    answer = fit_wish(variant(Wish(TAPER, follows="front"))).answers[0]
    box = bounds(build(answer.variant).glued())
    assert box is not None
    np.testing.assert_allclose(box, [[-25.0, -25.0, 0.0], [25.0, 25.0, 400.0]], atol=0.11)


# ---------------------------------------------------------------- live


@pytest.mark.parametrize("view", [LEG, WAVE, TAPER])
def test_a_quick_answer_keeps_the_wish_too_and_the_kind_it_had(view: ViewWish):
    start = variant(Wish(view, follows="front"))
    quick = fit_wish(start, live=True)
    assert quick.is_had
    assert len(quick.answers) == 1
    d = quick.answers[0].front
    assert d is not None
    assert d.worst_mm <= 0.1
    for like in fit_wish(start).answers:
        again = fit_wish(start, live=True, like=like)
        assert again.answers[0].kinds == like.kinds


def test_the_same_wish_gives_the_same_answer():
    start = variant(Wish(COLUMN, follows="front"))
    assert [a.variant for a in fit_wish(start).answers] == [a.variant for a in fit_wish(start).answers]


# ---------------------------------------------------------------- what cannot be had


def assert_named(fit: Fit, view: CutName, z: tuple[float, float], by: tuple[float, float], *words: str) -> CannotFit:
    assert not fit.is_had
    cannot = fit.cannot[0]
    assert cannot.view == view
    assert z[0] <= cannot.where[1] <= z[1], cannot
    assert by[0] <= cannot.by_mm <= by[1], cannot
    for word in (view, " up", *words):
        assert word in cannot.sentence
    return cannot


def test_an_outline_too_thin_for_its_walls_is_named():
    thin = symmetric([(20, 0), (4, 200), (20, 400)])
    fit = fit_wish(variant(Wish(thin)))
    assert_named(fit, "front", (198, 202), (3.9, 4.1), "8 mm of wood", "6 mm")
    assert fit.answers == ()


def test_an_outline_that_crosses_the_seam_is_named():
    fit = fit_wish(variant(Wish(None, outline([(-25, 0), (2, 200), (-25, 400)], [(25, 0), (52, 200), (25, 400)]))))
    assert_named(fit, "side", (198, 202), (7.9, 8.1), "left outline", "Move it 8 mm to the left")


def test_an_outline_that_swings_past_its_own_thickness_is_named():
    swings = outline([(-40, 0), (20, 200), (-40, 400)], [(-10, 0), (50, 200), (-10, 400)])
    fit = fit_wish(variant(Wish(swings, give=Give(axis=True))))
    assert_named(fit, "front", (0, 400), (41.9, 42.1), "no upright glue seam")


def test_an_outline_that_turns_back_is_named():
    back = outline([(-25, 0), (-25, 400)], [(25, 0), (30, 220), (35, 180), (25, 400)], "corner")
    assert_named(fit_wish(variant(Wish(back))), "front", (219, 221), (39.9, 40.1), "turns back down")


def test_a_level_step_is_named():
    step = outline([(-25, 0), (-25, 400)], [(25, 0), (25, 100), (30, 100), (30, 400)], "corner")
    assert_named(fit_wish(variant(Wish(step))), "front", (99, 101), (4.9, 5.1), "no blade saws a level step")


def test_a_stock_too_small_is_named_and_the_nearest_given():
    fit = fit_wish(variant(Wish(TAPER, follows="front", give=Give(sizes=(30.0, 45.0)))))
    assert_named(fit, "front", (0, 1), (5.85, 5.95), "50 mm wide", "45 mm")
    assert fit.answers[0].variant.blank.width == 45.0


def test_too_few_trims_are_named():
    fit = fit_wish(variant(Wish(TAPER, follows="front", give=Give(trims=0))))
    assert_named(fit, "front", (395, 400), (9.5, 20.1), "none is allowed")


def test_a_bend_too_tight_for_the_blade_is_named():
    tight = symmetric([(30, 0), (30, 150), (18, 200), (30, 250), (30, 400)])
    wide = fit_wish(variant(Wish(tight), front=Cut(0.9, Blade(25.4))))
    assert_named(wide, "front", (120, 280), (0.2, 12.0), "25.4 mm blade")
    narrow = fit_wish(variant(Wish(tight), front=Cut(0.9, Blade(6.35))))
    assert_kept(narrow, 0.1)


def test_a_corner_that_goes_in_is_named():
    notch = outline([(-25, 0), (-25, 400)], [(30, 0), (8, 200), (30, 400)], "corner")
    narrow = Cut(0.9, Blade(12.7))
    assert_named(
        fit_wish(variant(Wish(notch), front=narrow)), "front", (180, 220), (0.0, 1.0), "more than the tolerance"
    )


def test_a_corner_that_stands_out_is_two_trims():
    ridge = outline([(-25, 0), (-25, 400)], [(15, 0), (40, 200), (15, 400)], "corner")
    fit = fit_wish(variant(Wish(ridge), front=Cut(0.9, Blade(12.7))))
    assert_kept(fit, 0.1)
    assert len(fit.answers[0].variant.front.trims) == 2


@settings(max_examples=12, phases=QUICKLY)
@given(
    st.lists(st.integers(3, 40), min_size=3, max_size=5),
    st.lists(st.integers(3, 40), min_size=3, max_size=5),
    st.sampled_from([3.2, 12.7, 25.4]),
    st.integers(0, 2),
)
def test_any_outline_is_either_had_or_its_fault_is_placed(left, right, blade, trims):
    def spread(across, sign):
        return [(sign * u, 400.0 * i / (len(across) - 1)) for i, u in enumerate(across)]

    wish = Wish(outline(spread(left, -1.0), spread(right, 1.0)), tolerance=0.3, give=Give(trims=trims))
    fit = fit_wish(variant(wish, front=Cut(0.9, Blade(blade))))
    if fit.is_had:
        assert_kept(fit, 0.3)
        return
    for cannot in fit.cannot:
        assert 0.0 <= cannot.where[1] <= 400.0
        assert cannot.by_mm > 0.0
        assert " up" in cannot.sentence


def test_it_needs_a_wish():
    with pytest.raises(ValueError, match="outline that is wanted"):
        fit_wish(Variant("A", Blank(60, 60, 400)))


def test_limits_are_those_of_the_variant():
    narrow = outline([(-8, 0), (-8, 400)], [(8, 0), (8, 400)], "corner")
    assert fit_wish(variant(Wish(narrow))).is_had
    assert not fit_wish(variant(Wish(narrow), limits=Limits(wall=9.0))).is_had


# ---------------------------------------------------------------- into the project


def test_answers_stand_after_their_variant_and_replace_earlier_ones():
    start = variant(Wish(TAPER, follows="front"))
    project = Project((start, replace(start, name="B", wish=None)))
    fit = fit_wish(start)
    once = with_answers(project, "A", fit)
    assert [v.name for v in once.variants] == ["A", *(a.variant.name for a in fit.answers), "B"]
    assert fit.answers[0].variant.name == "A fit 1"
    fewer = with_fields(fit, answers=fit.answers[:1])
    assert [v.name for v in with_answers(once, "A", fewer).variants][:2] == ["A", "A fit 1"]


def test_an_answer_in_one_line():
    line = answer_line(fit_wish(variant(Wish(TAPER, follows="front"))).answers[0])
    assert line.startswith("A fit 1: 2 trims, on one side of each view; blank 50.9 mm x 50.9 mm x 400 mm; 4 cuts")
