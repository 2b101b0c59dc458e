"""Line-up at the seams, against closed forms and against looking at the wood place by place."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import grid_of
from geometry.line_levels import MOST_BORDERS, border_crossings, quadratic_roots, steepest_run
from geometry.lines import line_through
from geometry.lineup import CUT_OF, SEAM_NAMES, line_up
from geometry.lineup_errors import (
    BenchErrors,
    flush_step_mm,
    lean_step_mm,
    out_of_square_steps_mm,
    slip_step_mm,
)
from geometry.lineup_pairs import pairs_of
from geometry.piece import build
from geometry.project import Blank, Cut, Limits, Node, Variant
from geometry.sampling import sample
from tests.strategies import blanks, hooks, layups, lengths, lines, species, variants

TWO = ("walnut", "maple")
BLANK = Blank(60.0, 50.0, 300.0)
ZIGZAG = tuple(Node(at, "corner") for at in ((0.0, 0.0), (20.0, 100.0), (-20.0, 200.0), (0.0, 300.0)))
CURVED = (Node((0.0, 0.0)), Node((14.0, 90.0)), Node((-12.0, 200.0)), Node((3.0, 300.0)))


def piece_of(layup, front=(), side=(), blank=BLANK, kerf=0.0, chord_mm=0.05, **more):
    return build(Variant("A", blank, layup, front=Cut(kerf, nodes=front), side=Cut(kerf, nodes=side), **more), chord_mm)


def seams_of(*args, errors=None, **kwargs):
    piece = piece_of(*args, **kwargs)
    return {s.face: s for s in (line_up(piece) if errors is None else line_up(piece, errors))}


def alternating(count, size, names=TWO):
    return tuple((size / count, names[i % 2]) for i in range(count))


# ---------------------------------------------------------------- bands


def test_a_band_is_as_long_as_the_line_stays_in_its_strip():
    layup = Stripes("x", ((20.0, "walnut"), (20.0, "maple"), (20.0, "cherry")))
    seam = seams_of(layup, ZIGZAG)["+x"]
    # borders at -10 and 10; the zigzag's stretches run 20 or 40 across in 100 up
    slow, fast = math.hypot(1.0, 5.0), math.hypot(1.0, 2.5)
    expected = [
        ("maple", 0.0, 50.0, 10.0 * slow),
        ("cherry", 50.0, 125.0, 10.0 * slow + 10.0 * fast),
        ("maple", 125.0, 175.0, 20.0 * fast),
        ("walnut", 175.0, 250.0, 10.0 * fast + 10.0 * slow),
        ("maple", 250.0, 300.0, 10.0 * slow),
    ]
    for bands in (seam.low_bands, seam.high_bands):
        assert [b.species for b in bands] == [e[0] for e in expected]
        for band, (_, low, high, length) in zip(bands, expected, strict=True):
            assert (band.from_z, band.to_z) == pytest.approx((low, high), abs=1e-9)
            assert band.length_mm == pytest.approx(length, abs=1e-9)
    assert seam.crossings == seam.meeting == 4
    assert seam.same_species == 1.0
    assert seam.largest_step_mm < 1e-9
    places = np.array([(40.0, 0.0, 50.0), (40.0, 0.0, 125.0), (20.0, 0.0, 175.0), (20.0, 0.0, 250.0)])
    assert np.array([c.on_piece for c in seam.low]) == pytest.approx(places, abs=1e-9)


@settings(max_examples=30)
@given(st.data())
def test_bands_say_what_the_wood_says_all_along(data):
    blank = data.draw(blanks())
    half = {"front": blank.width / 2.0, "side": blank.depth / 2.0}
    layup = data.draw(layups(blank))
    # steeper is judged below: here a rounding of the place must not be a strip of wood
    assume(not isinstance(layup, Chevron) or (abs(layup.angle_deg) < 80.0 and layup.pitch > 1.0))
    front, side = (data.draw(lines(half[c], blank.length)) for c in ("front", "side"))
    piece = piece_of(layup, front, side, blank)
    grid = grid_of(piece.variant)
    for seam in line_up(piece):
        cut = seam.cut
        line = piece.cut(cut).line
        far = half["side" if cut == "front" else "front"]
        points = sample(line, 0.01).points
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        for bands, where in ((seam.low_bands, -far), (seam.high_bands, far)):
            assert all(a.to_mm == b.from_mm and a.species != b.species for a, b in pairwise(bands))
            starts = np.array([b.from_mm for b in bands])
            there = np.full(len(points), where)
            wood = grid.species_at(
                np.stack([points[:, 0], there, points[:, 1]] if cut == "front" else [there, *points.T], axis=1)
            )
            band = np.clip(np.searchsorted(starts, along, side="right") - 1, 0, None)
            names = [bands[i].species for i in band]
            unlike = np.array([a != grid.species[b] for a, b in zip(names, wood, strict=True)])
            # the chords of the samples are a little shorter than the line; besides, only near a border
            borders = np.append(starts, along[-1])
            gaps = np.abs(along[unlike, None] - borders[None]).min(axis=1, initial=np.inf)
            assert (gaps < 0.02 + 1e-3 * along[-1]).all()
        assert seam.low_bands[-1].to_mm == pytest.approx(along[-1], rel=1e-3)


@settings(max_examples=30)
@given(lines(30.0, 300.0), st.lists(st.floats(-29.0, 29.0), min_size=1, max_size=6, unique=True))
def test_crossings_are_found_on_the_exact_line(nodes, borders):
    line = line_through(nodes) if nodes else line_through((Node((0.0, 0.0), "corner"), Node((0.0, 300.0), "corner")))
    at = np.sort(np.array(borders))
    found = line.at(*border_crossings(line, 1.0, 0.0, at))
    assert np.abs(found[:, 0, None] - at).min(axis=1, initial=np.inf) == pytest.approx(np.zeros(len(found)), abs=1e-9)
    # the samples pass each border no more often than was found, and each passing is there
    points = sample(line, 0.01).points
    for border in borders:
        side = points[:, 0] > border
        passed = np.flatnonzero(side[1:] != side[:-1])
        mine = found[np.abs(found[:, 0] - border) < 1e-7]
        assert len(mine) >= len(passed)
        for k in passed:
            low, high = np.sort(points[k : k + 2, 1])
            assert ((mine[:, 1] > low - 0.02) & (mine[:, 1] < high + 0.02)).any()


def test_a_hook_meets_a_level_layer_at_every_pass():
    points = [(-20.0, 0.0), (-20.0, 120.0), (0.0, 170.0), (15.0, 140.0), (0.0, 120.0), (-5.0, 200.0), (0.0, 300.0)]
    hook = tuple(Node(p, "corner") for p in points)
    layers = Checker((60.0,), (50.0,), ("walnut", "maple", "cherry"), (150.0, 150.0))
    seam = seams_of(layers, hook)["-x"]
    assert [c.at[1] for c in seam.low] == pytest.approx([150.0] * 3, abs=1e-9)
    assert [c.at[0] for c in seam.low] == pytest.approx([-8.0, 10.0, -1.875], abs=1e-9)
    assert (seam.crossings, seam.meeting, seam.largest_step_mm) == (3, 3, 0.0)
    assert [b.species for b in seam.high_bands] == ["walnut", "maple", "walnut", "maple"]
    assert [c.on_piece[0] for c in seam.high] == pytest.approx([-38.0, -20.0, -31.875], abs=1e-9)


def test_a_line_along_a_border_stays_in_one_strip():
    for layup in (Stripes("x", ((30.0, "walnut"), (30.0, "maple"))), Checker((30.0, 30.0), (50.0,), TWO)):
        for nodes in ((), (Node((1e-13, 0.0)), Node((-1e-13, 100.0)), Node((1e-13, 220.0)), Node((0.0, 300.0)))):
            seam = seams_of(layup, nodes)["+x"]
            assert (seam.crossings, seam.same_species, len(seam.low_bands)) == (0, 1.0, 1)


def test_through_a_corner_of_four_blocks_is_no_crossing_of_like_with_like():
    checker = Checker((30.0, 30.0), (50.0,), TWO, (100.0, 200.0))
    slant = (Node((-10.0, 0.0), "corner"), Node((20.0, 300.0), "corner"))
    assert seams_of(checker, slant)["+x"].crossings == 0


# ---------------------------------------------------------------- what meets


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 7])
def test_odd_stripes_are_alike_at_both_edges_and_even_ones_are_not(count):
    across_y = seams_of(Stripes("y", alternating(count, 50.0)), CURVED, CURVED)
    for face in ("+x", "-x"):
        assert across_y[face].same_species == (1.0 if count % 2 else 0.0)
        assert across_y[face].crossings == 0
    checker = Checker((12.0,) * 5, (50.0 / count,) * count, TWO)
    seam = seams_of(checker, CURVED)["+x"]
    assert seam.same_species == pytest.approx(1.0 if count % 2 else 0.0)
    assert seam.crossings == seam.meeting > 3
    assert seam.largest_step_mm == 0.0


@pytest.mark.parametrize("nodes", [(), ZIGZAG, CURVED], ids=["straight", "zigzag", "curved"])
@pytest.mark.parametrize(("angle", "off"), [(45.0, 3.0), (30.0, -4.0), (-50.0, 2.0), (10.0, 20.0), (60.0, 0.2)])
def test_a_peak_off_by_d_steps_by_two_d_times_the_slope(nodes, angle, off):
    step = 2.0 * abs(off) * math.tan(math.radians(abs(angle)))
    for across, face, level in (("y", "+x", "+y"), ("x", "-y", "-x")):
        front, side = (nodes, CURVED) if across == "y" else (CURVED, nodes)
        seams = seams_of(Chevron(across, angle, 40.0, TWO, off), front, side)
        assert seams[face].largest_step_mm == pytest.approx(step, abs=1e-9)
        assert (seams[face].meeting == 0) == (step > 0.5)
        # the other two faces are sawn across the V and meet
        assert seams[level].meeting == seams[level].crossings > 0
        # moved by the bench instead of drawn so, it is the same
        moved = seams_of(Chevron(across, angle, 40.0, TWO), front, side, errors=BenchErrors(peak_off_mm=off))
        assert moved[face].largest_step_mm == pytest.approx(step, abs=1e-9)
        if not nodes and step > 0.5:
            share = 1.0 - seams[face].same_species
            assert share == pytest.approx(step / 40.0, abs=2.0 * step / 300.0)


def test_a_step_within_the_limit_meets():
    for d, meets in ((0.249, True), (0.251, False)):
        seam = seams_of(Chevron("y", 45.0, 40.0, TWO, d), CURVED)["+x"]
        assert (seam.meeting == seam.crossings) is meets
    wide = seams_of(Chevron("y", 45.0, 40.0, TWO, 0.9), CURVED, limits=Limits(pattern_step=2.0))["+x"]
    assert wide.meeting == wide.crossings > 5


def mirrored(sizes):
    return (*sizes, *sizes[-2::-1])


sizes = st.lists(st.integers(1, 9), min_size=1, max_size=4)


@st.composite
def symmetric_layups(draw, blank):
    """Lay-ups that are alike about both of the blank's middle planes."""

    def filled(total):
        weights = mirrored(draw(sizes))
        parts = [total * w / sum(weights) for w in weights]
        # exact mirrors, and the middle strip takes up the rounding
        half = parts[: len(parts) // 2]
        return (*half, total - 2.0 * math.fsum(half), *half[::-1])

    kind = draw(st.sampled_from(["x", "y", "checker", "chevron"]))
    if kind in ("x", "y"):
        widths = filled(blank.width if kind == "x" else blank.depth)
        names = mirrored([draw(species) for _ in range((len(widths) + 1) // 2)])
        return Stripes(kind, tuple(zip(widths, names, strict=True)))
    if kind == "checker":
        z = draw(st.none() | st.integers(1, 9).map(lambda n: (blank.length / n,) * n))
        return Checker(filled(blank.width), filled(blank.depth), (draw(species), draw(species)), z)
    names = tuple(draw(st.lists(species, min_size=1, max_size=4)))
    return Chevron(draw(st.sampled_from(["x", "y"])), draw(st.floats(-75.0, 75.0)), draw(lengths(3.0, 80.0)), names)


@settings(max_examples=40)
@given(variants(), st.data())
def test_what_is_alike_about_the_centre_always_meets(variant, data):
    variant = replace(variant, layup=data.draw(symmetric_layups(variant.blank)))
    for on_wood in (False, True):
        for seam in line_up(build(variant, 0.05), on_wood=on_wood):
            assert seam.meeting == seam.crossings
            assert seam.largest_step_mm < 1e-6
            assert seam.same_species == pytest.approx(1.0, abs=1e-6)
            assert seam.flush_step_mm == 0.0
            assert not seam.stopping


def test_three_species_that_take_turns_go_on_in_other_colours():
    seam = seams_of(Checker((12.0,) * 5, (25.0, 25.0), ("walnut", "maple", "cherry")), CURVED)["+x"]
    assert seam.crossings == seam.meeting > 3
    assert seam.largest_step_mm == 0.0
    assert seam.same_species == 0.0


def test_borders_that_stop_at_the_seam_are_told_apart_from_the_ends():
    # at one edge walnut maple walnut, at the other maple walnut walnut: the second border has nothing across
    checker = Checker((20.0,) * 3, (25.0, 25.0), ("walnut", "maple", "walnut"))
    slant = (Node((-25.0, 0.0), "corner"), Node((25.0, 300.0), "corner"))
    seam = seams_of(checker, slant)["+x"]
    assert [c.at[0] for c in seam.low] == pytest.approx([-10.0, 10.0])
    assert [c.at[0] for c in seam.high] == pytest.approx([-10.0])
    assert (seam.crossings, seam.meeting) == (2, 1)
    assert [c.at[0] for c in seam.stopping] == pytest.approx([10.0])
    # a chevron off the centre has borders that run past the ends on one side only: these do not stop
    chevron = seams_of(Chevron("y", 45.0, 40.0, TWO, 5.0), CURVED)["+x"]
    assert len(chevron.low) + len(chevron.high) > 2 * len(chevron.pairs)
    assert chevron.stopping == ()


def test_a_plain_blank_has_nothing_to_meet():
    seams = seams_of(Plain("ash"), CURVED, ZIGZAG)
    for seam in seams.values():
        assert (seam.same_species, seam.crossings, seam.meeting, seam.largest_step_mm) == (1.0, 0, 0, 0.0)
        assert seam.worst is None
        assert len(seam.low_bands) == 1
    assert seams["+y"].low_bands[0].length_mm == pytest.approx(sum(b.to_mm for b in seams["-y"].high_bands))
    assert list(seams) == list(SEAM_NAMES)


def test_a_pattern_beyond_counting_is_not_followed():
    line = (Node((-25.0, 0.0), "corner"), Node((25.0, 300.0), "corner"))
    seam = seams_of(Chevron("x", 89.9, 0.1, TWO), line)["+x"]
    assert seam.same_species is None
    assert (seam.low, seam.high, seam.pairs) == ((), (), ())
    assert MOST_BORDERS > 10_000


# ---------------------------------------------------------------- pairs


def test_each_crossing_goes_with_its_nearest_and_strangers_at_the_ends_with_none():
    def side(places, keys):
        at = np.array(places)
        return at, at, np.array(keys)

    low = side([10.0, 50.0, 90.0, 130.0], [1, 1, 1, 1])
    high = side([53.0, 93.0, 133.0, 173.0], [1, 1, 1, 1])
    pairs = pairs_of(low, high, 0.5)
    assert [(p.low, p.high, p.step_mm, p.meets) for p in pairs] == [
        (1, 0, 3.0, False), (2, 1, 3.0, False), (3, 2, 3.0, False),
    ]  # fmt: skip
    # the same two species first; what lies in the same place in other colours still goes on
    pairs = pairs_of(side([10.0, 50.0], [1, 2]), side([10.0, 50.2, 80.0], [1, 3, 2]), 0.5)
    assert [(p.low, p.high, p.meets) for p in pairs] == [(0, 0, True), (1, 1, True)]
    assert pairs_of(side([], []), side([1.0], [1]), 0.5) == ()


# ---------------------------------------------------------------- what goes wrong at the bench


def corner_carried(u, sy, a, b, lean=0.0, off=0.0):
    """Where the front line's sawn face comes to lie on the +x face, by carrying the corner of one quarter to the axis.

    The blank's section is a parallelogram whose sides lean by ``off``; the blade leans by ``lean``.
    """
    corner = -a + sy * b * math.tan(off)
    return u + sy * b * math.tan(lean) - corner


@pytest.mark.parametrize("degrees", [0.1, 1.0, 5.0, -2.0])
def test_a_leaning_blade_and_a_blank_out_of_square_step_as_rigid_geometry_has_it(degrees):
    eps, (a, b) = math.radians(degrees), (30.0, 25.0)
    front, side = corner_carried(7.0, -1, a, b, lean=eps), corner_carried(7.0, 1, a, b, lean=eps)
    assert lean_step_mm(b, eps) == pytest.approx(abs(side - front))
    on_x, on_y = out_of_square_steps_mm(a, b, eps)
    assert on_x == pytest.approx(abs(corner_carried(7.0, -1, a, b, off=eps) - corner_carried(7.0, 1, a, b, off=eps)))
    # the side cut is sawn square to the left face: drop the middle of the right face onto it
    along = np.array([math.sin(eps), math.cos(eps)])
    assert on_y == pytest.approx(abs(float(np.array([-2.0 * a, 0.0]) @ along)))
    piece = piece_of(Plain(), CURVED, CURVED)
    assert flush_step_mm(piece, "front", BenchErrors(front_lean_rad=eps)) == lean_step_mm(25.0, eps)
    assert flush_step_mm(piece, "side", BenchErrors(side_lean_rad=eps)) == lean_step_mm(30.0, eps)
    assert flush_step_mm(piece, "side", BenchErrors(front_lean_rad=eps)) == 0.0
    seams = {s.face: s.flush_step_mm for s in line_up(piece, BenchErrors(out_of_square_rad=eps))}
    assert seams == {"+x": on_x, "-x": on_x, "+y": on_y, "-y": on_y}


def test_a_leaning_blade_steps_two_b_tan_on_the_flush_and_by_the_slope_along_the_seam():
    eps = math.radians(0.5)
    seam = seams_of(Stripes("x", alternating(3, 60.0)), ZIGZAG, errors=BenchErrors(front_lean_rad=eps))["+x"]
    assert seam.flush_step_mm == pytest.approx(2.0 * 25.0 * math.tan(eps), abs=1e-12)
    # |u'| is 0.2 where the zigzag first crosses and 0.4 where it crosses back
    assert sorted(p.step_mm for p in seam.pairs) == pytest.approx(
        sorted(seam.flush_step_mm / slope for slope in (0.2, 0.4, 0.4, 0.2)), abs=1e-9
    )
    layers = Checker((60.0,), (50.0,), TWO, (100.0,) * 3)
    assert seams_of(layers, ZIGZAG, errors=BenchErrors(front_lean_rad=eps))["+x"].largest_step_mm < 1e-9


def test_a_slip_steps_by_the_slope_on_the_flush_and_by_itself_along_the_seam():
    errors = BenchErrors(slip_mm=0.8)
    seams = seams_of(Stripes("y", alternating(5, 50.0)), (), ZIGZAG, errors=errors)
    assert seams["+y"].flush_step_mm == pytest.approx(0.8 * 0.4)
    assert seams["+x"].flush_step_mm == 0.0
    assert [p.step_mm for p in seams["+y"].pairs] == pytest.approx([0.8] * len(seams["+y"].pairs))
    assert len(seams["+y"].pairs) > 4
    # the ends are glued level, so what lies level in the wood still does
    layers = Checker((60.0,), (50.0,), TWO, (100.0,) * 3)
    assert seams_of(layers, (), ZIGZAG, errors=errors)["+y"].largest_step_mm < 1e-9


@settings(max_examples=40)
@given(lines(30.0, 300.0))
def test_the_steepest_run_is_that_of_the_samples(nodes):
    line = line_through(nodes) if nodes else line_through((Node((0.0, 0.0), "corner"), Node((0.0, 300.0), "corner")))
    n = len(line.pieces)
    v = line.velocity(np.repeat(np.arange(n), 201), np.tile(np.linspace(0.0, 1.0, 201), n))
    steepest = steepest_run(line)
    if (v[:, 1] <= 0.0).any():
        assert steepest == math.inf
    else:
        seen = float(np.abs(v[:, 0] / v[:, 1]).max())
        assert seen <= steepest * (1.0 + 1e-9)
        assert steepest == math.inf or steepest <= seen * 1.01 + 1e-3


@given(hooks(30.0, 400.0))
def test_where_a_line_climbs_back_a_slip_steps_no_more_than_it_reaches_across(nodes):
    line = line_through(nodes)
    u = sample(line, 0.01).points[:, 0]
    assert slip_step_mm(line, 1.0) == pytest.approx(float(np.ptp(u)), abs=0.02)
    assert slip_step_mm(line, 0.0) == 0.0


@given(st.tuples(*[st.floats(-5.0, 5.0)] * 3))
def test_roots_of_quadratics(c):
    found = quadratic_roots(*(np.array([x]) for x in c))[0]
    for t in found[found > 0.0]:
        assert c[0] + c[1] * t + c[2] * t * t == pytest.approx(0.0, abs=1e-6)
    t = np.linspace(0.0, 1.0, 2001)
    signs = np.sign(c[0] + c[1] * t + c[2] * t * t)
    for k in np.flatnonzero(signs[1:] * signs[:-1] < 0):
        assert ((found >= t[k] - 1e-9) & (found <= t[k + 1] + 1e-9)).any()


# ---------------------------------------------------------------- where it is to be seen


@pytest.mark.parametrize("kerf", [0.0, 0.9, 3.0])
def test_on_wood_the_crossings_lie_where_the_sawn_face_passes_the_border(kerf):
    piece = piece_of(Stripes("x", alternating(5, 60.0)), CURVED, kerf=kerf, chord_mm=0.01)
    for face, toward, region in (("+x", 1.0, piece.front.face.left), ("-x", -1.0, piece.front.face.right)):
        seam = next(s for s in line_up(piece, on_wood=True) if s.face == face)
        assert seam.crossings > 3
        for c in seam.low:
            x, y, z = c.on_piece
            assert y == 0.0
            u = x - toward * 30.0
            assert min(abs(u - border) for border in (-18.0, -6.0, 6.0, 18.0)) < 1e-6
            # on the region's own edge
            assert region.boundary.distance(shapely.Point(u, z)) < 1e-6
        if kerf == 0.0:
            drawn = next(s for s in line_up(piece) if s.face == face)
            assert np.array([c.at for c in seam.low]) == pytest.approx(np.array([c.at for c in drawn.low]), abs=0.2)
            assert [c.species for c in seam.low] == [c.species for c in drawn.low]


def test_the_seams_of_one_cut_are_the_same_line():
    seams = seams_of(Chevron("y", 40.0, 30.0, TWO, 2.0), CURVED, CURVED)
    for a, b in (("+x", "-x"), ("+y", "-y")):
        assert CUT_OF[a] == CUT_OF[b] == seams[a].cut
        assert [c.at for c in seams[a].low] == [c.at for c in seams[b].low]
        assert seams[a].pairs == seams[b].pairs
        first, second = seams[a].high[0].on_piece, seams[b].high[0].on_piece
        axis = 0 if a == "+x" else 1
        assert first[axis] - second[axis] == (60.0, 50.0)[axis]
