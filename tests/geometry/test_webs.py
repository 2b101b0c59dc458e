"""Near passes and contacts of a line with itself, against brute force over dense places."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from geometry.lines import line_through
from geometry.project import Node
from geometry.webs import can_meet_itself, nearest_passes, self_contacts
from tests import strategies
from tests.geometry.test_lines import any_lines, nodes


def dense(line, count: int = 4000) -> tuple[np.ndarray, np.ndarray]:
    """Places along a line, and the length of line up to each."""
    per_piece = max(2, count // len(line.pieces))
    piece = np.repeat(np.arange(len(line.pieces)), per_piece)
    places = line.at(piece, np.tile(np.linspace(0.0, 1.0, per_piece), len(line.pieces)))
    return places, np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])


def nearest_pass_by_brute_force(line) -> float:
    """The least distance between two places with more than twice as much line between them as the straight way."""
    places, along = dense(line, 1000)
    away = np.hypot(*np.moveaxis(places[:, None] - places[None], -1, 0))
    between = along[None] - along[:, None]
    return float(away[between > 2.0 * away + 1e-9].min(initial=np.inf))


@st.composite
def hooked_lines(draw):
    half, length = draw(st.floats(25.0, 100.0)), draw(st.floats(300.0, 900.0))
    return line_through(draw(strategies.hooks(half, length)))


@st.composite
def plain_lines(draw):
    half, length = draw(st.floats(20.0, 100.0)), draw(st.floats(200.0, 900.0))
    drawn = draw(strategies.single_valued(half, length))
    return line_through(drawn or nodes((0.0, 0.0), (0.0, length), kinds="cc"))


@given(hooked_lines())
def test_the_thinnest_pass_of_a_hook_is_that_of_brute_force(line):
    passes = [p for p in nearest_passes(line) if not p.is_one_bend]
    wanted = nearest_pass_by_brute_force(line)
    assert wanted < np.inf
    # brute force also counts the mouth of a bend, where the two sides only just are two passes
    assert passes
    assert min(p.distance_mm for p in passes) >= wanted - 0.2
    local = [p for p in passes if p.distance_mm <= wanted + 0.2]
    assert local or wanted < min(p.distance_mm for p in passes)


@given(hooked_lines())
def test_a_pass_is_a_place_where_the_way_across_is_square_to_the_line(line):
    places, _ = dense(line, 40_000)
    for near in nearest_passes(line):
        assert np.hypot(*np.subtract(near.at, near.and_at)) == pytest.approx(near.distance_mm, abs=1e-9)
        for here, there in ((near.at, near.and_at), (near.and_at, near.at)):
            i = int(np.hypot(*(places - here).T).argmin())
            assert np.hypot(*(places[i] - here)) < 0.05
            at_an_end = min(np.hypot(*np.subtract(here, end)) for end in (line.start, line.end)) < 1e-3
            along = places[min(i + 1, len(places) - 1)] - places[max(i - 1, 0)]
            across = np.subtract(there, here)
            cosine = abs(along @ across) / np.hypot(*along) / np.hypot(*across)
            assert cosine < 0.02 or at_an_end


@given(plain_lines())
def test_a_line_that_never_comes_back_has_neither_pass_nor_contact(line):
    assert self_contacts(line) == []
    assert [p for p in nearest_passes(line) if not p.is_one_bend] == []


@given(hooked_lines())
def test_a_hook_comes_near_itself_but_does_not_touch(line):
    assert can_meet_itself(line)
    assert self_contacts(line) == []


@given(any_lines())
def test_contacts_are_found_where_another_library_finds_the_path_to_cross(drawn):
    line = line_through(drawn)
    places, _ = dense(line, 3000)
    places = places[np.append(True, np.hypot(*np.diff(places, axis=0).T) > 1e-9)]
    path = shapely.LineString(places)
    contacts = self_contacts(line)
    for u, z in contacts:
        assert path.distance(shapely.Point(u, z)) < 0.05
        close = path.intersection(shapely.Point(u, z).buffer(0.3))
        assert close.geom_type != "Point"
    if not can_meet_itself(line):
        assert path.is_simple
        assert contacts == []
    elif not path.is_simple:
        assert contacts
    # what merely comes within a hundredth of a millimetre may be judged either way


def test_a_loop_crosses_itself_once_and_where():
    drawn = nodes((0.0, 0.0), (40.0, 200.0), (0.0, 260.0), (-40.0, 200.0), (0.0, 100.0), (30.0, 420.0))
    line = line_through(drawn)
    places, _ = dense(line, 6000)
    path = shapely.LineString(places)
    parts = shapely.get_parts(shapely.node(path))
    crossings = len(parts) - 1 - len(parts) // 2 if len(parts) > 2 else 0
    contacts = self_contacts(line)
    assert crossings >= 1
    assert len(contacts) >= 1
    for u, z in contacts:
        assert path.distance(shapely.Point(u, z)) < 0.02


def test_a_figure_of_straights_touches_at_its_known_places():
    bow = nodes((-30.0, 0.0), (30.0, 100.0), (-30.0, 100.0), (30.0, 0.0), (50.0, 300.0), kinds="ccccc")
    assert self_contacts(line_through(bow)) == [pytest.approx((0.0, 50.0))]
    tee = nodes((0.0, 0.0), (0.0, 200.0), (30.0, 200.0), (30.0, 100.0), (0.0, 100.0), (-30.0, 300.0), kinds="cccccc")
    assert self_contacts(line_through(tee)) == [pytest.approx((0.0, 100.0))]
    back = nodes((0.0, 0.0), (0.0, 200.0), (0.0, 100.0), (30.0, 300.0), kinds="cccc")
    contacts = self_contacts(line_through(back))
    assert (0.0, 200.0) in contacts
    ring = nodes((0.0, 0.0), (30.0, 100.0), (-30.0, 100.0), (0.0, 0.0), kinds="cccc")
    assert self_contacts(line_through(ring)) == [pytest.approx((0.0, 0.0))]


@pytest.mark.parametrize("gap", [0.05, 0.3, 0.5, 0.93, 1.2, 2.7, 4.0, 12.0])
def test_two_parallel_passes_are_their_gap_apart(gap):
    turn = nodes((0.0, 0.0), (0.0, 200.0), (gap, 200.0), (gap, 60.0), (2 * gap, 60.0), (2 * gap, 400.0), kinds="cccccc")
    passes = nearest_passes(line_through(turn))
    assert passes[0].distance_mm == pytest.approx(gap, abs=1e-9)
    assert any(not p.is_one_bend and p.distance_mm == pytest.approx(gap, abs=1e-9) for p in passes)


@given(st.floats(1.0, 12.0), st.floats(0.0, 2.0), st.floats(0.0, 6.28), st.floats(60.0, 200.0))
def test_a_tongue_between_two_passes_is_found_though_they_open_a_little(gap, opening_deg, angle, reach):
    """A round turn between two straight legs that part by up to 2°: the tongue is as thin as the turn is wide."""
    radius = gap / 2.0
    turn = np.radians(np.linspace(opening_deg / 2.0, 180.0 - opening_deg / 2.0, 13))
    bend = radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    lean = np.radians(opening_deg / 2.0)
    legs = bend[[0, -1]] - reach * np.array([[-np.sin(lean), np.cos(lean)], [np.sin(lean), np.cos(lean)]])
    places = np.vstack([legs[:1], bend, legs[1:]])
    c, s = np.cos(angle), np.sin(angle)
    places = places @ np.array([[c, s], [-s, c]])
    kinds = "cc" + "s" * 11 + "cc"
    line = line_through(nodes(*((float(u), float(z)) for u, z in places), kinds=kinds, tangent=(1, 13)))
    found = [p.distance_mm for p in nearest_passes(line) if not p.is_one_bend]
    assert min(found, default=np.inf) == pytest.approx(gap, rel=0.1, abs=0.1)


@pytest.mark.parametrize("angle_deg", [10.0, 20.0, 40.0])
def test_a_corner_is_no_pass_however_sharp(angle_deg):
    half = np.radians(angle_deg / 2.0)
    legs = [(-200.0 * np.sin(half), 0.0), (0.0, 200.0 * np.cos(half)), (200.0 * np.sin(half), 0.0)]
    line = line_through(nodes(*((float(u), float(z)) for u, z in legs), kinds="ccc"))
    assert nearest_passes(line) == []


def test_a_round_bend_is_one_bend_until_it_closes():
    # common practice, no source: between a half circle and a horseshoe a web begins
    for degrees, is_one in ((200.0, True), (320.0, False)):
        a = np.radians(np.linspace(-degrees / 2, degrees / 2, 25))
        ring = [(float(40.0 * np.cos(x)), float(200.0 + 40.0 * np.sin(x))) for x in a]
        line = line_through(tuple(Node(p) for p in ring))
        wide = 2 * 40.0 * np.sin(np.radians(degrees / 2))
        ends = [p for p in nearest_passes(line) if abs(p.distance_mm - wide) < 0.5]
        assert [p.is_one_bend for p in ends][:1] == [is_one]


@given(hooked_lines(), st.floats(0.2, 5.0))
def test_passes_scale_and_mirror_with_the_line(line, scale):
    here = nearest_passes(line)
    for matrix, factor in ((scale * np.eye(2), scale), (np.diag([-1.0, 1.0]), 1.0)):
        there = nearest_passes(type(line)(line.pieces @ matrix, line.is_straight, line.kinks))
        assert there[0].distance_mm == pytest.approx(factor * here[0].distance_mm, rel=1e-6)
