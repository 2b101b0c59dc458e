"""The slope of the grain along the piece, and when it is said."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.findings import findings_of
from geometry.grain import along_share, grain_map, slope_words, steepness
from geometry.line_levels import steepest_run
from geometry.lines import line_through
from geometry.piece import build
from geometry.project import Blank, Cut, Limits, Variant
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies
from tests.geometry.test_lines import nodes


def piece_of(front, side=(), size=60.0, **keys):
    return build(Variant("A", Blank(size, size, 400.0), front=Cut(nodes=front), side=Cut(nodes=side), **keys))


def short_grain(*args, **keys):
    found = [f for f in findings_of(piece_of(*args, **keys)) if f.code == "short-grain"]
    assert len(found) <= 1
    return found[0] if found else None


def slanting(rise):
    """A line that runs straight but for a slope of one in ``rise`` in the middle."""
    return nodes((0, 0), (0, 190), (20.0 / rise, 210), (20.0 / rise, 400), kinds="cccc")


@given(strategies.single_valued(30.0, 400.0))
def test_the_steepest_place_of_the_map_is_the_lines_own(front):
    line = line_through(front) if front else piece_of(()).front.line
    found = steepness(line, np.linspace(0.0, 400.0, 2001)).max()
    assert found <= steepest_run(line) * (1 + 1e-9)
    assert found == pytest.approx(steepest_run(line), rel=0.02, abs=1e-9)


@given(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_both_lines_count_together(f, g):
    ends = [((0.0, 0.0), (s * 40.0, 400.0)) for s in (f, g)]
    grain = grain_map(piece_of(*(nodes(*e, kinds="cc") for e in ends)))
    assert grain.slope == pytest.approx(np.full(len(grain.z), math.hypot(f, g) / 10.0))


def test_a_line_that_climbs_back_runs_straight_across_somewhere():
    piece = build(Variant("A", Blank(80.0, 80.0, 400.0), front=Cut(nodes=strategies.hooked(40.0, 400.0))))
    grain = grain_map(piece)
    steepest, z = grain.steepest
    assert steepest > 1.0
    assert 100.0 < z < 300.0
    assert 0.0 < along_share(piece.front.line) < 0.9
    assert along_share(piece.side.line) == 1.0


def test_it_is_said_from_one_in_eight_on():
    assert short_grain(slanting(8.05)) is None
    found = short_grain(slanting(7.95))
    assert (found.severity, found.cut) == ("advice", "front")
    assert 190.0 <= found.at[1] <= 210.0
    assert "somewhat less" in found.message
    assert "half" in short_grain(slanting(4.95)).message


def test_both_lines_may_be_gentle_and_the_two_together_not():
    assert short_grain(slanting(10.0)) is None
    assert short_grain(slanting(10.0), slanting(10.0)).severity == "advice"


def test_short_grain_is_a_caution_only_where_the_part_is_thin():
    # thin is under twice the limit for a section, 18 mm
    assert short_grain(slanting(4.0), size=40.0).severity == "advice"
    found = short_grain(slanting(4.0), size=36.0, limits=Limits(wall=1.0))
    assert found.severity == "caution"
    assert "snaps" in found.message
    assert short_grain(slanting(6.0), size=36.0, limits=Limits(wall=1.0)).severity == "advice"


def test_the_side_line_is_named_where_it_is_the_steeper():
    assert short_grain((), slanting(4.0)).cut == "side"


@given(strategies.variants())
def test_its_place_is_on_the_line_it_names(variant):
    piece = build(variant, LIVE_CHORD_MM)
    for f in findings_of(piece):
        if f.code == "short-grain":
            assert np.hypot(*(piece.cut(f.cut).face.samples.points - f.at).T).min() == 0.0
            assert max(grain_map(piece).slope) >= 1.0 / 8.0


@pytest.mark.parametrize(
    ("slope", "words"),
    [(0.0, "straight"), (0.1, "1 in 10"), (1 / 6, "1 in 6"), (0.45, "1 in 2.2"), (math.inf, "across")],
)
def test_a_slope_is_said_as_makers_say_it(slope, words):
    assert words in slope_words(slope)
