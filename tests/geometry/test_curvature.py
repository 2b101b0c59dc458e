"""Radius, length and extent: against dense evaluation of the same curve, refined until it settles."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from geometry.curvature import corner_turns, curvature, extent, piece_lengths, tightest_bend
from geometry.lines import line_through
from geometry.project import Node
from tests import strategies
from tests.geometry.test_lines import any_lines, nodes


@st.composite
def feasible_lines(draw):
    half, length = draw(st.floats(20.0, 100.0)), draw(st.floats(200.0, 900.0))
    drawn = draw(strategies.lines(half, length))
    return line_through(drawn or nodes((0.0, 0.0), (0.0, length), kinds="cc"))


def greatest_curvature(line) -> float:
    """The greatest curvature by brute force: dense places on each curved piece, refined about the best three."""
    best = 0.0
    for k in np.flatnonzero(~line.is_straight):

        def bends(t, piece=k):
            return np.abs(curvature(line, np.full(len(t), piece), t))

        t = np.linspace(0.0, 1.0, 2001)
        values = bends(t)
        best = max(best, values.max())
        for i in np.argsort(values)[-3:]:
            lo, hi = t[max(i - 1, 0)], t[min(i + 1, 2000)]
            for _ in range(6):
                fine = np.linspace(lo, hi, 21)
                j = int(bends(fine).argmax())
                best = max(best, bends(fine)[j])
                lo, hi = fine[max(j - 1, 0)], fine[min(j + 1, 20)]
    return float(best)


@given(feasible_lines())
def test_the_tightest_radius_is_that_of_brute_force(line):
    bend, most = tightest_bend(line), greatest_curvature(line)
    if bend is None:
        assert most == 0.0
        return
    assert bend.radius_mm == pytest.approx(1.0 / most, rel=1e-7)


@given(feasible_lines())
def test_the_tightest_radius_is_at_its_place(line):
    bend = tightest_bend(line)
    if bend is None:
        return
    t = np.linspace(0.0, 1.0, 501)
    piece = np.repeat(np.arange(len(line.pieces)), len(t))
    many = np.tile(t, len(line.pieces))
    away = np.hypot(*(line.at(piece, many) - bend.at).T)
    near = away <= away.min() + 1e-9
    assert away.min() < np.hypot(*np.diff(line.at(piece, many), axis=0).T).max()
    if bend.radius_mm > 1.0:
        there = np.abs(curvature(line, piece[near], many[near])).max()
        assert 1.0 / there == pytest.approx(bend.radius_mm, rel=0.05)


@given(any_lines())
def test_however_wild_no_place_is_tighter(drawn):
    line = line_through(drawn)
    bend = tightest_bend(line)
    piece = np.repeat(np.flatnonzero(~line.is_straight), 400)
    t = np.tile(np.linspace(0.0, 1.0, 400), len(piece) // 400)
    bends = np.abs(curvature(line, piece, t)) if len(piece) else np.zeros(1)
    if bend is None:
        assert bends.max() == 0.0
    else:
        assert 0.0 <= bend.radius_mm < math.inf
        assert bend.radius_mm == 0.0 or bends.max() * bend.radius_mm <= 1.0 + 1e-7


def test_straight_stretches_and_corners_do_not_count():
    zigzag = line_through(nodes((0.0, 0.0), (9.0, 100.0), (-9.0, 200.0), (0.0, 300.0), kinds="cccc"))
    assert tightest_bend(zigzag) is None
    curve = nodes((0.0, 0.0), (10.0, 100.0), (0.0, 200.0), kinds="ssc")
    alone = tightest_bend(line_through(curve))
    kinked = tightest_bend(line_through(curve + nodes((40.0, 240.0), (0.0, 500.0), kinds="cc")))
    assert alone == kinked


@pytest.mark.parametrize("count", [2, 3, 7, 60, 2000])
@pytest.mark.parametrize("top", [(0.0, 420.0), (30.0, 420.0), (-17.3, 733.1)])
def test_smooth_nodes_in_a_row_are_straight(count, top):
    places = np.linspace((3.3, 0.0), top, count)
    line = line_through(nodes(*((float(u), float(z)) for u, z in places)))
    assert tightest_bend(line) is None


def test_a_line_that_turns_straight_back_has_no_radius_at_all():
    line = line_through(nodes((0.0, 0.0), (0.0, 300.0), (0.0, 100.0), (0.0, 420.0)))
    bend = tightest_bend(line)
    assert bend is not None
    assert bend.radius_mm == pytest.approx(0.0, abs=1e-6)


@given(feasible_lines(), st.floats(0.1, 8.0), st.floats(0.0, 6.0))
def test_radius_length_and_extent_scale_and_turn_with_the_line(line, scale, angle):
    c, s = np.cos(angle), np.sin(angle)
    matrix = scale * np.array([[c, -s], [s, c]])
    other = type(line)(line.pieces @ matrix.T, line.is_straight, line.kinks)
    assert piece_lengths(other) == pytest.approx(scale * piece_lengths(line), rel=1e-9)
    a, b = tightest_bend(line), tightest_bend(other)
    if a is None or a.radius_mm > 1e7 or b is None:
        assert a is None or a.radius_mm > 1e7
    else:
        assert b.radius_mm == pytest.approx(scale * a.radius_mm, rel=1e-6)


def test_the_sign_of_the_bend():
    left = line_through(nodes((0.0, 0.0), (10.0, 100.0), (0.0, 200.0)))  # swings out to the right, comes back left
    assert curvature(left, np.array([0]), np.array([1.0]))[0] > 0.0
    right = line_through(nodes((0.0, 0.0), (-10.0, 100.0), (0.0, 200.0)))
    assert curvature(right, np.array([0]), np.array([1.0]))[0] < 0.0


# ---------------------------------------------------------------- length


@given(feasible_lines())
def test_length_is_that_of_adaptive_quadrature(line):
    for k, length in enumerate(piece_lengths(line)):

        def speed(t, piece=k):
            return float(np.hypot(*line.velocity(np.array([piece]), np.array([t]))[0]))

        assert length == pytest.approx(quad(speed, 0.0, 1.0, epsabs=1e-10, epsrel=1e-12, limit=200)[0], rel=1e-9)


@given(any_lines())
def test_length_lies_between_chords_and_control_polygon(drawn):
    line = line_through(drawn)
    t = np.linspace(0.0, 1.0, 300)
    for k, length in enumerate(piece_lengths(line)):
        chords = np.hypot(*np.diff(line.at(np.full(300, k), t), axis=0).T).sum()
        legs = np.hypot(*np.diff(line.pieces[k], axis=0).T).sum()
        assert chords * (1 - 1e-9) <= length <= legs * (1 + 1e-9)
        assert length == pytest.approx(chords, rel=1e-3)


def test_length_of_a_line_that_turns_straight_back():
    line = line_through(nodes((0.0, 0.0), (0.0, 300.0), (0.0, 100.0), (0.0, 420.0)))
    reach = extent(line)
    # up past 300, down past 100, up to the end: the speed has zeros, which no even rule sees
    ups = reach.greatest_z[1], reach.least_z[1]
    z = line.at(np.repeat([0, 1, 2], 20_001), np.tile(np.linspace(0, 1, 20_001), 3))[:, 1]
    assert piece_lengths(line).sum() == pytest.approx(np.abs(np.diff(z)).sum(), rel=1e-7)
    assert ups[1] <= 0.0 <= 420.0 <= ups[0]


# ---------------------------------------------------------------- extent


@given(any_lines())
def test_extent_is_reached_and_never_passed(drawn):
    line = line_through(drawn)
    reach = extent(line)
    piece = np.repeat(np.arange(len(line.pieces)), 500)
    places = line.at(piece, np.tile(np.linspace(0.0, 1.0, 500), len(line.pieces)))
    tiny = 1e-9 * (1.0 + np.abs(places).max())
    step = np.hypot(*np.diff(places, axis=0).T).max()
    for place, value, wanted in (
        (reach.least_u, reach.least_u[0], places[:, 0].min()),
        (reach.greatest_u, -reach.greatest_u[0], -places[:, 0].max()),
        (reach.least_z, reach.least_z[1], places[:, 1].min()),
        (reach.greatest_z, -reach.greatest_z[1], -places[:, 1].max()),
    ):
        assert wanted - step <= value <= wanted + tiny
        assert np.hypot(*(places - place).T).min() <= step


def test_extent_of_a_bulge_between_two_nodes():
    # u runs as t(1 - t) · 4 · 10 between two equal nodes: an arch of 10 above them
    line = line_through(nodes((0.0, 0.0), (10.0, 50.0), (0.0, 100.0)))
    assert extent(line).greatest_u == pytest.approx((10.0, 50.0))
    off_node = line_through(nodes((0.0, 0.0), (10.0, 40.0), (0.0, 100.0)))
    assert extent(off_node).greatest_u[0] > 10.05


# ---------------------------------------------------------------- corners


@pytest.mark.parametrize("turn_deg", [-170.0, -90.0, -0.5, 0.0, 0.5, 30.0, 90.0, 135.0, 179.0])
def test_a_corner_turns_by_its_angle(turn_deg):
    goes = math.radians(90.0 + turn_deg)
    end = (100.0 * math.cos(goes), 100.0 + 100.0 * math.sin(goes))
    line = line_through(nodes((0.0, 0.0), (0.0, 100.0), end, kinds="ccc"))
    ((angle, at),) = corner_turns(line)
    assert math.degrees(angle) == pytest.approx(abs(turn_deg), abs=1e-9)
    assert at == (0.0, 100.0)


def test_corners_stand_from_foot_to_top_and_smooth_joins_do_not_turn():
    drawn = nodes((0.0, 0.0), (20.0, 150.0), (0.0, 300.0), (0.0, 420.0), kinds="sscc", tangent=(2,))
    ((angle, at),) = corner_turns(line_through(drawn))
    assert angle == pytest.approx(0.0, abs=1e-9)
    assert at == (0.0, 300.0)
    zigzag = nodes(*((float(5 * (-1) ** i), 60.0 * i) for i in range(8)), kinds="c" * 8)
    assert [at for _, at in corner_turns(line_through(zigzag))] == [n.at for n in zigzag[1:-1]]


def test_ends_are_no_corners():
    assert corner_turns(line_through((Node((0.0, 0.0), "corner"), Node((5.0, 100.0), "corner")))) == []
