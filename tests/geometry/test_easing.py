"""Easing: ends feasible or says why, moves nothing that was fine, and moves what it must as little as can be."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from scipy.optimize import minimize

from geometry.blades import COMFORT, STOCK_BLADES, reach
from geometry.curvature import extent, tightest_bend
from geometry.easing import ease_line
from geometry.easing_moves import _least_point, movable
from geometry.findings import findings_of
from geometry.lines import line_of
from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Variant
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies
from tests.geometry.test_lines import nodes

BEND = nodes((0, 0), (10, 100), (-10, 145), (0, 420))
blades = st.none() | st.sampled_from([Blade(b.width_mm) for b in STOCK_BLADES]) | st.just(Blade(6.0, 0.5, 0.9))


def leg(front, blade=None, width=60.0, length=420.0, **keys):
    return Variant("A", Blank(width, width, length), front=Cut(blade=blade, nodes=front), **keys)


def cured(variant, name="front"):
    """What easing is for: the codes that are left."""
    found = findings_of(build(variant, LIVE_CHORD_MM))
    return {f.code for f in found if f.cut == name} & {"radius-too-tight", "wall-too-thin", "line-leaves-face"}


def eased(variant, **keys):
    out = ease_line(variant, "front", **keys)
    return out, replace(variant, front=out.cut)


# any line a hand may draw: within the face or somewhat out of it, gentle or far too tight
drawn = st.builds(
    lambda heights, across: nodes(
        *((a, 420.0 * z) for a, z in zip(across, [0.0, *sorted(heights), 1.0], strict=False))
    ),
    st.lists(st.integers(1, 39).map(lambda k: k / 40.0), min_size=6, max_size=6, unique=True),
    st.lists(st.floats(-34.0, 34.0), min_size=4, max_size=8),
).map(lambda ns: ns[:-1] + nodes((ns[-1].at[0], 420.0)))


@settings(max_examples=25)
@given(drawn | strategies.lines(30.0, 420.0) | strategies.wild_nodes(30.0, 420.0), blades)
def test_it_ends_feasible_or_says_why(front, blade):
    variant = leg(front, blade)
    before = cured(variant)
    out, after = eased(variant)
    assert out.sentence.endswith(".")
    if not before:
        assert out.outcome == "fine"
    if out.outcome == "fine":
        assert (out.cut, out.moved, out.furthest_mm) == (variant.front, 0, 0.0)
        assert not before
    elif out.outcome == "eased":
        assert before
        assert not cured(after)
        assert out.furthest_mm == pytest.approx(
            max(math.dist(a.at, b.at) for a, b in zip(variant.front.nodes, out.cut.nodes, strict=True))
        )
        assert replace(out.cut, nodes=()) == replace(variant.front, nodes=())
        assert [(n.kind, n.tangent) for n in out.cut.nodes] == [(n.kind, n.tangent) for n in front]
    else:
        assert (out.cut, out.moved) == (variant.front, 0)
        assert "not" in out.sentence


@given(strategies.variants(), st.booleans())
def test_a_line_that_was_fine_is_never_moved(variant, on_front):
    name = "front" if on_front else "side"
    bend = tightest_bend(line_of(variant.cut(name), variant.blank.length))
    widest = [b for b in STOCK_BLADES if bend is None or b.radius_mm <= bend.radius_mm]
    if not widest or cured(variant, name):
        return
    fine = replace(variant, **{name: replace(variant.cut(name), blade=Blade(widest[-1].width_mm))})
    out = ease_line(fine, name)
    assert out.outcome == "fine"
    assert out.cut is fine.cut(name)
    assert "nothing was moved" in out.sentence


@settings(max_examples=20)
@given(strategies.serpentines(30.0, 420.0), st.floats(1.2, 3.0))
def test_smooth_lines_within_their_walls_can_always_be_eased(front, tighter):
    bend = tightest_bend(line_of(Cut(nodes=front), 420.0))
    if bend is None or bend.radius_mm > 5000.0:  # straight to a micrometre, to which nodes are kept
        return
    radius = bend.radius_mm * tighter
    blade = Blade(10.0, 0.5, 0.5 + 10.0**2 / (5.83 * radius))
    out, after = eased(leg(front, blade))
    assert out.outcome == "eased"
    assert not cured(after)
    # it is no straightening: the radius asked for is used up, unless the walls alone ask for more
    if not cured(leg(front)):
        assert tightest_bend(line_of(out.cut, 420.0)).radius_mm <= 1.1 * reach(blade).radius_mm


def test_it_moves_about_as_little_as_a_general_optimiser_finds():
    blade = Blade(12.7)
    variant = leg(BEND, blade)
    out, _ = eased(variant)
    assert out.outcome == "eased"
    start = np.array([n.at for n in BEND], dtype=float)
    free = np.array([[True, False], [True, True], [True, True], [True, False]])
    radius = reach(blade).radius_mm

    def cut_at(x):
        places = start.copy()
        places[free] += x
        return Cut(nodes=tuple(replace(n, at=tuple(p)) for n, p in zip(BEND, places.tolist(), strict=True)))

    def conditions(x):
        line = line_of(cut_at(x), 420.0)
        far = extent(line)
        room = 30.0 - 0.45 - 6.0
        return [tightest_bend(line).radius_mm / radius - 1.0, room - far.greatest_u[0], room + far.least_u[0]]

    other = minimize(
        lambda x: (x * x).sum() / 100.0, np.array([-4.0, -4.0, -4.0, 4.0, 4.0, 1.0]), method="SLSQP",
        constraints={"type": "ineq", "fun": conditions}, options={"maxiter": 300},
    )  # fmt: skip
    ours = math.sqrt(sum(math.dist(a.at, b.at) ** 2 for a, b in zip(BEND, out.cut.nodes, strict=True)))
    assert min(conditions(other.x)) > -1e-3
    assert ours <= 1.02 * float(np.linalg.norm(other.x))


def test_the_ends_slide_along_the_ends_of_the_face():
    off = nodes((28, 0), (20, 140), (-6, 280), (0, 420))
    out, after = eased(leg(off))
    assert out.outcome == "eased"
    assert not cured(after)
    assert (out.cut.nodes[0].at[1], out.cut.nodes[-1].at[1]) == (0.0, 420.0)
    assert out.cut.nodes[0].at[0] < 24.0


def test_a_post_stays_a_post():
    post = nodes((0, 0), (0, 100), (12, 160), (-12, 230), (0, 300), (0, 420), kinds="ccsscc")
    out, _ = eased(leg(post, Blade(12.7)))
    assert out.outcome == "eased"
    assert [out.cut.nodes[i] for i in (0, 1, 4, 5)] == [post[i] for i in (0, 1, 4, 5)]
    assert not movable(post, 420.0)[[0, 1, 4, 5]].any()


def test_between_posts_too_near_one_another_it_says_so():
    steep = nodes((-15, 0), (-15, 190), (0, 200), (15, 210), (15, 420), kinds="ccscc")
    tangent = tuple(replace(n, tangent=n.kind == "corner" and 100 < n.at[1] < 300) for n in steep)
    out, _ = eased(leg(tangent, Blade(25.4)))
    assert out.outcome == "not possible"
    assert "post" in out.sentence


def test_a_blade_that_cannot_turn_eases_nothing():
    out, _ = eased(leg(BEND, Blade(6.0, 0.6, 0.6)))
    assert out.outcome == "not possible"
    assert "cannot turn" in out.sentence


def test_a_face_without_room_says_so():
    out, _ = eased(leg(nodes((0, 0), (3, 200), (0, 420)), width=12.0))
    assert out.outcome == "not possible"
    assert "no room" in out.sentence


def test_a_hook_is_eased_where_there_is_room_and_else_keeps_its_shape():
    roomy, after = eased(leg(strategies.hooked(65.0, 700.0), Blade(6.35), 130.0, 700.0))
    assert roomy.outcome == "eased"
    assert roomy.furthest_mm < 10.0
    assert not cured(after)
    narrow, _ = eased(leg(strategies.hooked(40.0, 420.0), Blade(9.5), 80.0))
    assert narrow.outcome == "not possible"
    assert "hook" in narrow.sentence


def test_with_comfort_it_goes_a_quarter_further():
    out, _ = eased(leg(BEND, Blade(9.5)), with_comfort=True)
    assert out.outcome == "eased"
    assert tightest_bend(line_of(out.cut, 420.0)).radius_mm >= COMFORT * 36.5


def test_the_side_line_of_a_tapered_blank():
    blank = Blank(90.0, 90.0, 420.0, 60.0, 50.0)
    variant = Variant("A", blank, side=Cut(blade=Blade(12.7), nodes=BEND))
    assert cured(variant, "side")
    out = ease_line(variant, "side")
    assert out.outcome == "eased"
    assert not cured(replace(variant, side=out.cut), "side")


def test_inches_are_spoken_to_who_works_in_inches():
    out, _ = eased(leg(BEND, Blade(12.7)), units="in")
    assert '"' in out.sentence
    assert "mm" not in out.sentence


@given(st.integers(0, 10_000))
def test_the_least_point_is_least(seed):
    """Against textbook conditions: it satisfies all, and is a sum, with no negative share, of those it touches."""
    rng = np.random.default_rng(seed)
    g, h = rng.normal(size=(6, 4)), rng.normal(size=6)
    y = _least_point(g, h)
    if y is None:
        # then no point satisfies all: some sum of them contradicts itself, which six in four dimensions seldom do
        return
    slack = g @ y - h
    assert slack.min() >= -1e-7
    touched = g[slack < 1e-6]
    if float(np.linalg.norm(y)) > 1e-9:
        shares = np.linalg.lstsq(touched.T, y, rcond=None)[0]
        assert touched.T @ shares == pytest.approx(y, abs=1e-6)
        assert shares.min() >= -1e-6
