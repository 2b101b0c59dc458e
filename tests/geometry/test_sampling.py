"""Sampling: close enough everywhere, and no more points than that takes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.curvature import curvature
from geometry.lines import line_through
from geometry.sampling import chord_errors, sample
from geometry.tolerances import EXPORT_CHORD_MM, LIVE_CHORD_MM
from tests.geometry.test_curvature import feasible_lines
from tests.geometry.test_lines import any_lines, nodes

tolerances = st.sampled_from([LIVE_CHORD_MM, EXPORT_CHORD_MM, 0.003])


def dense_edges(line, samples, offset: float, count: int = 60) -> np.ndarray:
    """Places (chords, count, 2) of the line, or of a parallel curve to its left, between neighbouring samples.

    Written out from the Bernstein form, apart from the code under test.
    """
    starts = np.flatnonzero((samples.piece[1:] == samples.piece[:-1]) & (samples.t[1:] > samples.t[:-1]))
    # a chord may end where the next piece starts
    across = np.flatnonzero((samples.piece[1:] == samples.piece[:-1] + 1) & (samples.t[1:] == 0.0))
    across = across[samples.t[across] < 1.0]
    first = np.concatenate([starts, across])
    stop = np.concatenate([samples.t[starts + 1], np.ones(len(across))])
    lo = samples.t[first]
    t = lo[:, None] + (stop - lo)[:, None] * np.linspace(0.0, 1.0, count)
    p = line.pieces[samples.piece[first]][:, None]
    t = t[..., None]
    s = 1.0 - t
    places = s**3 * p[:, :, 0] + 3 * s * s * t * p[:, :, 1] + 3 * s * t * t * p[:, :, 2] + t**3 * p[:, :, 3]
    if offset == 0.0:
        return places
    d = s * s * (p[:, :, 1] - p[:, :, 0]) + 2 * s * t * (p[:, :, 2] - p[:, :, 1]) + t * t * (p[:, :, 3] - p[:, :, 2])
    return places + offset * np.stack([-d[..., 1], d[..., 0]], axis=-1) / np.hypot(d[..., 0], d[..., 1])[..., None]


def worst_chord(places: np.ndarray) -> float:
    """The furthest that any row of places strays from the segment between its ends."""
    a, b = places[:, :1], places[:, -1:]
    along = b - a
    square = np.maximum((along**2).sum(axis=-1, keepdims=True), 1e-300)
    foot = np.clip(((places - a) * along).sum(axis=-1, keepdims=True) / square, 0.0, 1.0)
    return float(np.hypot(*np.moveaxis(places - a - foot * along, -1, 0)).max())


@given(feasible_lines(), tolerances)
def test_no_chord_strays_further_than_the_tolerance(line, chord):
    assert worst_chord(dense_edges(line, sample(line, chord), 0.0)) <= chord * (1 + 1e-6)


@given(feasible_lines(), tolerances, st.sampled_from([0.45, 0.85, 3.0]))
def test_nor_do_the_edges_of_the_slot(line, chord, offset):
    samples = sample(line, chord, offset)
    for side in (offset, -offset):
        places = dense_edges(line, samples, side)
        # where the line bends tighter than the offset, its inner edge folds and is no edge of the slot
        assert worst_chord(places) <= chord * 1.02 or np.abs(
            curvature(line, samples.piece, samples.t)
        ).max() * offset > 0.9  # fmt: skip


@given(any_lines(), tolerances)
def test_however_wild_no_chord_strays(drawn, chord):
    line = line_through(drawn)
    # at a needle-sharp turn it may stray by the tolerance both across the chord and past its end
    assert worst_chord(dense_edges(line, sample(line, chord), 0.0)) <= 1.42 * chord + 1e-9


def fewest(line, chord: float) -> float:
    """∫ sqrt(κ / 8·chord) ds, the number of chords that stray as far as allowed (textbook: sagitta κ d² / 8)."""
    t = (np.arange(2000) + 0.5) / 2000
    total = 0.0
    for k in np.flatnonzero(~line.is_straight):
        piece = np.full(2000, k)
        speed = np.hypot(*line.velocity(piece, t).T)
        total += float((speed * np.sqrt(np.abs(curvature(line, piece, t)) / (8.0 * chord))).mean())
    return total


@given(feasible_lines(), tolerances)
def test_there_are_no_more_points_than_the_tolerance_asks_for(line, chord):
    samples = sample(line, chord)
    # each piece begins with a point, so that nodes are kept, and each corner stands twice
    assert len(samples.t) <= 1.15 * fewest(line, chord) + 2 * len(line.pieces) + 1


@pytest.mark.parametrize("chord", [0.05, 0.01, 0.001])
def test_on_an_even_curve_the_count_is_nearly_the_least_there_is(chord):
    places = [(float(15.0 * np.sin(2.0 * np.pi * z / 700.0)), float(z)) for z in np.linspace(0.0, 700.0, 9)]
    line = line_through(nodes(*places))
    count = len(sample(line, chord).t) - 1
    assert fewest(line, chord) * 0.98 <= count <= fewest(line, chord) * 1.15 + len(line.pieces)


def test_a_straight_line_takes_two_points_however_long():
    line = line_through(nodes((0.0, 0.0), (30.0, 5000.0), kinds="cc"))
    assert sample(line, 1e-6, 5.0).points.tolist() == [[0.0, 0.0], [30.0, 5000.0]]


@given(any_lines(), tolerances, st.sampled_from([0.0, 0.45]))
def test_samples_run_in_order_from_end_to_end_through_every_node(drawn, chord, offset):
    line = line_through(drawn)
    samples = sample(line, chord, offset)
    assert np.array_equal(samples.points[0], line.start)
    assert np.array_equal(samples.points[-1], line.end)
    position = samples.piece + samples.t
    assert (np.diff(position) >= 0.0).all()
    assert {tuple(p) for p in line.pieces[:, 0]} <= {tuple(p) for p in samples.points}
    assert np.allclose(samples.points, line.at(samples.piece, samples.t), rtol=0, atol=0)


@given(any_lines())
def test_directions_are_the_lines_own_and_normals_point_left(drawn):
    line = line_through(drawn)
    samples = sample(line, LIVE_CHORD_MM)
    assert np.hypot(*samples.directions.T) == pytest.approx(np.ones(len(samples.t)))
    velocity = line.velocity(samples.piece, samples.t)
    speed = np.hypot(*velocity.T)
    runs = speed > 1e-6 * speed.max()
    assert np.allclose(samples.directions[runs], velocity[runs] / speed[runs, None], rtol=0, atol=1e-9)
    cross = samples.directions[:, 0] * samples.normals[:, 1] - samples.directions[:, 1] * samples.normals[:, 0]
    assert cross == pytest.approx(np.ones(len(samples.t)))


def test_a_corner_stands_twice_with_both_its_directions():
    samples = sample(line_through(nodes((0.0, 0.0), (0.0, 100.0), (100.0, 100.0), kinds="ccc")), 0.05)
    assert samples.points.tolist() == [[0, 0], [0, 100], [0, 100], [100, 100]]
    assert samples.directions.tolist() == [[0, 1], [0, 1], [1, 0], [1, 0]]


@given(any_lines(), st.floats(0.0, 0.9), st.floats(0.01, 0.1))
def test_the_reported_stray_is_that_of_dense_places(drawn, start, span):
    line = line_through(drawn)
    piece = np.arange(len(line.pieces))
    lo, hi = np.full(len(piece), start), np.full(len(piece), start + span)
    errors = chord_errors(line, piece, lo, hi)
    for k, error in zip(piece, errors, strict=True):
        t = np.linspace(start, start + span, 4001)
        places = line.at(np.full(4001, k), t)
        along = places[-1] - places[0]
        cross = np.abs(along[0] * (places - places[0])[:, 1] - along[1] * (places - places[0])[:, 0])
        length = np.hypot(*along)
        if length > 1e-6:
            assert error == pytest.approx(cross.max() / length, rel=1e-4, abs=1e-9 * (1 + np.abs(places).max()))
