"""Lines: what passes through the nodes, what is straight, what is smooth, and how stretches join."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from geometry.curvature import curvature
from geometry.lines import Line, line_of, line_through
from geometry.project import Cut, Node
from tests import strategies


def nodes(*places, kinds=None, tangent=()):
    """Nodes at places; kinds as a word of s and c."""
    kinds = kinds or "s" * len(places)
    word = {"s": "smooth", "c": "corner"}
    return tuple(Node(p, word[k], i in tangent) for i, (p, k) in enumerate(zip(places, kinds, strict=True)))


@st.composite
def any_lines(draw):
    half, length = draw(st.floats(20.0, 100.0)), draw(st.floats(200.0, 900.0))
    drawn = draw(strategies.lines(half, length) | strategies.wild_nodes(half, length))
    return drawn or nodes((0.0, 0.0), (0.0, length), kinds="cc")


def joints(line: Line):
    """Velocity and acceleration per millimetre of chord on both sides of every joint that is no corner."""
    chord = np.hypot(*(line.pieces[:, 3] - line.pieces[:, 0]).T)
    inner = np.array([k for k in range(1, len(line.pieces)) if k not in line.kinks], dtype=int)
    one, zero = np.ones(len(inner)), np.zeros(len(inner))
    before, after = inner - 1, inner
    velocities = [line.velocity(before, one) / chord[before, None], line.velocity(after, zero) / chord[after, None]]
    accelerations = [
        line.acceleration(before, one) / chord[before, None] ** 2,
        line.acceleration(after, zero) / chord[after, None] ** 2,
    ]
    return velocities, accelerations


@given(any_lines())
def test_a_line_passes_through_its_nodes_in_order_and_hangs_together(drawn):
    line = line_through(drawn)
    assert len(line.pieces) == len(line.is_straight) == len(drawn) - 1
    places = np.array([n.at for n in drawn])
    assert np.array_equal(line.pieces[:, 0], places[:-1])
    assert np.array_equal(line.pieces[:, 3], places[1:])


@given(any_lines())
def test_between_two_corners_it_is_straight_and_nowhere_else_by_construction(drawn):
    line = line_through(drawn)
    last = len(drawn) - 1
    for i, (a, b) in enumerate(zip(drawn, drawn[1:], strict=False)):
        # an end of the line is an end like a corner only where it says so
        assert line.is_straight[i] == (a.kind == b.kind == "corner")
    for p in line.pieces[line.is_straight]:
        t = np.linspace(0.0, 1.0, 4)[:, None]
        assert np.allclose(p, p[0] + t * (p[3] - p[0]), rtol=0, atol=1e-9)
    assert set(line.kinks) == {i for i in range(1, last) if drawn[i].kind == "corner"}


@given(any_lines())
def test_within_a_run_direction_and_curvature_go_on_unbroken(drawn):
    line = line_through(drawn)
    (v0, v1), (a0, a1) = joints(line)
    scale = 1.0 + np.abs(line.pieces).max()
    shortest = np.hypot(*np.diff([n.at for n in drawn], axis=0).T).min()
    assert np.allclose(v0, v1, rtol=1e-6, atol=1e-12 * scale / shortest)
    assert np.allclose(a0, a1, rtol=1e-6, atol=1e-11 * scale / shortest**2)


@given(any_lines())
def test_a_free_end_of_a_run_has_no_second_derivative(drawn):
    line = line_through(drawn)
    n = len(line.pieces)
    for k in range(n):
        if line.is_straight[k]:
            continue
        starts_run = k == 0 or k in line.kinks
        ends_run = k == n - 1 or k + 1 in line.kinks
        held_start = starts_run and k > 0 and line.is_straight[k - 1] and drawn[k].tangent
        held_end = ends_run and k < n - 1 and line.is_straight[k + 1] and drawn[k + 1].tangent
        size = np.abs(np.diff(line.pieces[k], n=2, axis=0)).max() + 1e-12 * (1.0 + np.abs(line.pieces).max())
        if starts_run and not held_start:
            assert np.abs(line.acceleration(np.array([k]), np.zeros(1))).max() <= 1e-6 * size + 1e-9
        if ends_run and not held_end:
            assert np.abs(line.acceleration(np.array([k]), np.ones(1))).max() <= 1e-6 * size + 1e-9


@given(any_lines())
def test_a_tangent_join_leaves_by_the_unit_vector_along_the_straight(drawn):
    # by definition: the derivative there is the unit vector along the straight
    line = line_through(drawn)
    for k in line.kinks:
        straight_before, straight_after = bool(line.is_straight[k - 1]), bool(line.is_straight[k])
        if straight_before == straight_after or not drawn[k].tangent:
            continue
        straight, curved = (k - 1, k) if straight_before else (k, k - 1)
        along = line.pieces[straight, 3] - line.pieces[straight, 0]
        chord = np.hypot(*(line.pieces[curved, 3] - line.pieces[curved, 0]))
        derivative = line.velocity(np.array([curved]), np.array([0.0 if straight_before else 1.0]))[0] / chord
        assert np.allclose(derivative, along / np.hypot(*along), rtol=0, atol=1e-9 * (1 + np.abs(line.pieces).max()))


@given(any_lines())
def test_a_run_is_the_chord_length_spline_of_another_library(drawn):
    """A second way to it: the whole run evaluated by scipy at places between the nodes."""
    line = line_through(drawn)
    if line.is_straight.any() or line.kinks:
        return
    places = np.array([n.at for n in drawn])
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])
    spline = CubicSpline(s, places, bc_type="natural")
    piece = np.repeat(np.arange(len(line.pieces)), 5)
    t = np.tile(np.linspace(0.1, 0.9, 5), len(line.pieces))
    wanted = spline(s[piece] + t * (s[piece + 1] - s[piece]))
    assert np.allclose(line.at(piece, t), wanted, rtol=0, atol=1e-9 * (1.0 + np.abs(places).max()))


def test_a_run_takes_the_length_of_its_chords_as_parameter():
    """Against the other two in use: with nodes at uneven distances the three differ by millimetres."""
    places = np.array([(0.0, 0.0), (10.0, 20.0), (-10.0, 220.0), (0.0, 300.0)])
    middle = line_through(nodes(*map(tuple, places))).at(np.array([1]), np.array([0.5]))[0]
    chords = np.hypot(*np.diff(places, axis=0).T)
    for power, agrees in ((1.0, True), (0.5, False), (0.0, False)):
        s = np.concatenate([[0.0], np.cumsum(chords**power)])
        other = CubicSpline(s, places, bc_type="natural")((s[1] + s[2]) / 2.0)
        assert (np.hypot(*(middle - other)) < 1e-9) == agrees
        assert agrees or np.hypot(*(middle - other)) > 0.5


def test_no_nodes_are_the_straight_centre_line():
    line = line_of(Cut(), 420.0)
    assert line.pieces.tolist() == [[[0, 0], [0, 140], [0, 280], [0, 420]]]
    assert line.is_straight.tolist() == [True]
    assert line.kinks == ()


def test_two_smooth_nodes_are_straight_as_a_ruler():
    line = line_through(nodes((-5.0, 0.0), (7.0, 400.0)))
    t = np.linspace(0.0, 1.0, 11)
    at = line.at(np.zeros(11, dtype=int), t)
    assert np.allclose(at, np.array([-5.0, 0.0]) + t[:, None] * np.array([12.0, 400.0]), rtol=0, atol=1e-12)
    assert np.array_equal(curvature(line, np.zeros(11, dtype=int), t), np.zeros(11))


def test_a_corner_between_curves_bounds_both_runs():
    """What lies beyond a corner does not pull on the curve before it."""
    before = nodes((0.0, 0.0), (8.0, 100.0), (0.0, 200.0), kinds="ssc")
    alone = line_through(before)
    for beyond in (nodes((9.0, 300.0), (0.0, 400.0)), nodes((-20.0, 210.0), (30.0, 500.0), (0.0, 600.0))):
        longer = line_through(before + beyond)
        assert np.array_equal(longer.pieces[:2], alone.pieces)
        assert longer.kinks == (2,)


def test_tangent_means_nothing_between_two_curves_or_two_straights():
    for kinds in ("ssc" + "ss", "ccccc"):
        places = ((0.0, 0.0), (8.0, 100.0), (0.0, 200.0), (5.0, 300.0), (0.0, 400.0))
        free, asked = (line_through(nodes(*places, kinds=kinds, tangent=t)) for t in ((), (2,)))
        assert np.array_equal(free.pieces, asked.pieces)


def test_a_post_joins_smoothly_where_it_is_asked_to():
    places = ((0.0, 0.0), (20.0, 150.0), (0.0, 300.0), (0.0, 420.0))
    kinked, joined = (line_through(nodes(*places, kinds="sscc", tangent=t)) for t in ((), (2,)))
    assert abs(kinked.velocity(np.array([1]), np.ones(1))[0, 0]) > 1.0
    assert joined.velocity(np.array([1]), np.ones(1))[0, 0] == pytest.approx(0.0, abs=1e-12)


@given(any_lines(), st.floats(-50.0, 50.0), st.floats(-0.7, 3.0))
def test_a_line_moves_turns_and_scales_with_its_nodes(drawn, shift, angle):
    """The spline knows no direction: drawn elsewhere, turned or larger, it is the same curve."""
    c, s = np.cos(angle), np.sin(angle)
    matrix = 1.7 * np.array([[c, -s], [s, c]])
    moved = []
    for node in drawn:
        place = matrix @ node.at + shift
        moved.append(Node((float(place[0]), float(place[1])), node.kind, node.tangent))
    line, other = line_through(drawn), line_through(moved)
    size = 1.0 + np.abs(line.pieces).max()
    assert np.allclose(other.pieces, line.pieces @ matrix.T + shift, rtol=0, atol=1e-8 * size)


@given(any_lines())
def test_a_line_drawn_from_the_top_is_the_same_line(drawn):
    line, other = line_through(drawn), line_through(drawn[::-1])
    assert np.allclose(other.pieces, line.pieces[::-1, ::-1], rtol=0, atol=1e-8 * (1.0 + np.abs(line.pieces).max()))


@given(any_lines())
def test_the_ends_point_along_the_line(drawn):
    line = line_through(drawn)
    for end, direction, piece, t, sign in (
        (line.start, line.start_direction, 0, 1e-5, 1.0),
        (line.end, line.end_direction, len(line.pieces) - 1, 1.0 - 1e-5, -1.0),
    ):
        near = line.at(np.array([piece]), np.array([t]))[0]
        chord = sign * (near - end)
        assert np.hypot(*direction) == pytest.approx(1.0)
        assert chord @ direction / np.hypot(*chord) > 1.0 - 1e-4


@pytest.mark.parametrize("where", [0.0, 0.25, 0.5, 1.0])
def test_speed_and_bend_are_the_derivatives_of_the_points(where):
    line = line_through(nodes((0.0, 0.0), (12.0, 90.0), (-9.0, 200.0), (3.0, 330.0), (0.0, 420.0)))
    h = 1e-5
    t = np.clip(where, h, 1 - h) + h * np.array([-1.0, 0.0, 1.0])
    for piece in range(4):
        p = line.at(np.full(3, piece), t)
        which, middle = np.array([piece]), t[1:2]
        assert np.allclose((p[2] - p[0]) / (2 * h), line.velocity(which, middle)[0], rtol=1e-6, atol=1e-5)
        assert np.allclose((p[2] - 2 * p[1] + p[0]) / h**2, line.acceleration(which, middle)[0], rtol=1e-3, atol=0.05)
