"""The drawing model: paths, boxes, words and moves."""

import math

import ezdxf
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from geometry.drawing.dxf import dxf_of_items
from geometry.drawing.items import Fill, Look, Path, Stroke, Text, draw
from geometry.drawing.placing import Box, Move, bounds_of, box_of, placed, text_corners
from geometry.drawing.shapes import arc, arrow, circle, cross, hatching, line_path, paths_of, rectangle
from geometry.drawing.svg import svg_of_items
from geometry.drawing.words import broken, fitted, printable, width_of
from geometry.lines import line_through
from tests.geometry.test_lines import nodes

coordinates = st.floats(-500.0, 500.0)
points = st.tuples(coordinates, coordinates)
moves = st.builds(Move, st.floats(0.1, 5.0), st.floats(-360.0, 360.0), coordinates, coordinates)
words = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "Zs")), max_size=60)


def at(path: Path, t: np.ndarray) -> np.ndarray:
    """Points of a path at parameters 0..1 of every step, straight ones as well."""
    out, here = [], np.array(path.start)
    for step in path.steps:
        p = np.array([here, *step])
        if len(p) == 2:
            out.append(p[0] + t[:, None] * (p[1] - p[0]))
        else:
            s = 1.0 - t
            w = np.stack([s**3, 3 * s * s * t, 3 * s * t * t, t**3], axis=1)
            out.append(w @ p)
        here = p[-1]
    return np.concatenate(out)


T = np.linspace(0.0, 1.0, 21)


# ---------------------------------------------------------------- paths


@given(points, st.floats(0.5, 300.0), st.floats(-360.0, 360.0), st.floats(1.0, 360.0))
def test_an_arc_keeps_its_radius(centre, radius, start, sweep):
    path = arc(centre, radius, start, start + sweep)
    away = np.hypot(*(at(path, T) - centre).T)
    assert np.abs(away / radius - 1.0).max() < 5e-6
    for end, angle in ((path.start, start), (path.steps[-1][-1], start + sweep)):
        a = math.radians(angle)
        assert end == pytest.approx((centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)), abs=1e-9)


def test_a_line_becomes_its_own_pieces():
    line = line_through(nodes((0, 0), (3, 50), (3, 120), (-4, 200), (0, 300), kinds="scccs"))
    path = line_path(line)
    assert path.start == tuple(line.start)
    assert [len(step) for step in path.steps] == [1 if straight else 3 for straight in line.is_straight]
    for step, piece, straight in zip(path.steps, line.pieces, line.is_straight, strict=True):
        assert np.array_equal(step, piece[3:] if straight else piece[1:])


@given(st.floats(0.5, 8.0), st.floats(0.0, 180.0))
def test_hatching_lies_in_its_shape_and_leaves_no_strip_open(spacing, angle):
    shape = shapely.Point(13.0, -7.0).buffer(20.0).difference(shapely.box(10.0, -10.0, 18.0, 0.0))
    hatch = shapely.MultiLineString([[p.start, p.steps[-1][-1]] for p in hatching(shape, spacing, angle)])
    assert shape.buffer(1e-6).contains(hatch)
    # where a disc as wide as the spacing has room, a stroke runs through it
    assert hatch.buffer(spacing / 2.0 + 1e-6).covers(shape.buffer(-spacing / 2.0))


def test_an_arrow_ends_where_it_points():
    shaft, head = arrow((1.0, 2.0), (1.0, 12.0), 4.0, 3.0)
    assert head.start == (1.0, 12.0)
    assert sorted(p[0] for step in head.steps for p in step) == [-1.0, 3.0]
    assert shaft.steps[-1][-1] == (1.0, 9.0)


def test_outlines_keep_holes():
    ring = shapely.box(0, 0, 10, 10).difference(shapely.box(3, 3, 6, 6))
    assert sorted(len(p.steps) for p in paths_of(ring)) == [3, 3]
    assert all(p.closed for p in paths_of(ring))
    assert paths_of(shapely.Polygon()) == []


# ---------------------------------------------------------------- moves and boxes


@given(moves, moves, points)
def test_moves_follow_one_another(first, second, p):
    assert first.then(second).point(p) == pytest.approx(second.point(first.point(p)), abs=1e-6)


@given(moves, st.lists(st.tuples(points, points, points), min_size=1, max_size=4), points)
def test_a_moved_cubic_is_the_cubic_moved(move, steps, start):
    path = Path(start, tuple(steps))
    (moved,) = placed([Stroke(path, "x")], move)
    expected = np.array([move.point(tuple(p)) for p in at(path, T)])
    assert at(moved.path, T) == pytest.approx(expected, abs=1e-6)


@given(moves, points, words, st.floats(1.0, 10.0), st.sampled_from(["start", "middle", "end"]), st.floats(-180, 180))
def test_words_move_with_the_room_they_take(move, place, text, size, anchor, turn):
    item = Text(place, text, size, "x", anchor, turn)
    (moved,) = placed([item], move)
    expected = [move.point(p) for p in text_corners(item)]
    assert np.array(text_corners(moved)) == pytest.approx(np.array(expected), abs=1e-5)


@given(points, st.floats(0.1, 50.0), st.floats(0.0, 3.0))
def test_a_box_holds_what_is_drawn(centre, radius, width):
    box = box_of(Stroke(circle(centre, radius), "x", Look(width)))
    assert box.holds(Box(*(np.subtract(centre, radius)), *(np.add(centre, radius))).grown(width / 2.0), 1e-5 * radius)
    assert box.width <= 1.2 * (2 * radius) + width


def test_boxes_meet_only_when_they_share_more_than_an_edge():
    a = Box(0, 0, 10, 10)
    assert a.meets(Box(9, 9, 20, 20))
    assert not a.meets(Box(10, 0, 20, 10))
    assert bounds_of([Fill(rectangle(1, 2, 3, 4), "x"), Fill(rectangle(-1, 0, 1, 1), "x")]) == Box(-1, 0, 4, 6)


# ---------------------------------------------------------------- words


@given(words, st.floats(1.0, 8.0), st.floats(5.0, 200.0))
def test_fitted_words_are_no_wider_than_their_room(text, size, room):
    short = fitted(text, size, room)
    assert width_of(short, size) <= room or short == ""
    assert short == text if width_of(text, size) <= room else text.startswith(short.removesuffix("…"))


@given(words, st.floats(1.0, 8.0), st.floats(30.0, 200.0))
def test_broken_lines_fit_and_lose_nothing(text, size, room):
    lines = broken(text, size, room)
    assert all(width_of(line, size) <= room for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_a_number_and_its_unit_stay_together():
    assert broken("a\u00a0mm b\u00a0mm", 1.0, width_of("a\u00a0mm b", 1.0)) == ["a\u00a0mm", "b\u00a0mm"]


@given(words)
def test_what_is_printed_can_be_printed(text):
    assert printable(text).encode("cp1252").decode("cp1252") == printable(text)


def test_letters_that_are_not_there_are_simplified_not_lost():
    assert printable("Ławka, ğ, 60″ × ½ 木") == 'Lawka, g, 60" × ½ ?'


# ---------------------------------------------------------------- pens


class Told:
    """A pen that writes down what it is told to draw."""

    def __init__(self):
        self.said = []

    def stroke(self, item):
        self.said.append(("stroke", item.layer))

    def fill(self, item):
        self.said.append(("fill", item.layer))

    def text(self, item):
        self.said.append(("text", item.text))


def test_any_pen_gets_the_items_in_order():
    pen = Told()
    draw([Stroke(circle((0, 0), 1), "a"), Text((0, 0), "b", 3, "w"), Fill(circle((0, 0), 1), "c")], pen)
    assert pen.said == [("stroke", "a"), ("text", "b"), ("fill", "c")]


def test_a_spline_ends_where_the_line_turns_a_corner():
    """A corner within a spline would be rounded by programs that thin its knots."""
    line = line_through(nodes((0, 0), (8, 60), (0, 120), (8, 180), (0, 240), kinds="sscss"))
    document = ezdxf.read(__import__("io").StringIO(dxf_of_items([Stroke(line_path(line), "line")]).decode()))
    splines = document.modelspace().query("SPLINE")
    assert [len(s.control_points) for s in splines] == [7, 7]
    straight = line_through(nodes((0, 0), (0, 100), (5, 200), (9, 300), kinds="cccs"))
    document = ezdxf.read(__import__("io").StringIO(dxf_of_items([Stroke(line_path(straight), "line")]).decode()))
    assert [e.dxftype() for e in document.modelspace()] == ["LWPOLYLINE", "SPLINE"]


def test_words_in_an_svg_are_safe_whatever_they_hold():
    import xml.etree.ElementTree as ET

    text = '<b> & "x" \' \x07 ]]>'
    root = ET.fromstring(svg_of_items([Text((1, 2), text, 3, 'a "layer"')], 100.0, 50.0, text))
    assert root.find(".//{*}text").text == '<b> & "x" \'   ]]>'


def test_crosses_cross_where_they_are_put():
    across, up = cross((3.0, 4.0), 2.0)
    assert (across.start, across.steps[0][0]) == ((1.0, 4.0), (5.0, 4.0))
    assert (up.start, up.steps[0][0]) == ((3.0, 2.0), (3.0, 6.0))
