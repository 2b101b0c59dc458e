"""Slots and regions: against shapely's own buffer about a densely evaluated line, and against its slices."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from geometry.lines import Line, line_of, line_through
from geometry.measures import section_at
from geometry.project import Cut
from geometry.slots import profile, saw_face, widths
from tests import strategies
from tests.geometry.test_lines import nodes

gones = st.sampled_from([0.9, 1.7]) | st.floats(0.3, 3.0)


def dense_path(line: Line, count: int = 400) -> np.ndarray:
    """Places along a line, extended straight on past both ends; written out apart from the code under test."""
    t = np.linspace(0.0, 1.0, count)[None, :, None]
    p, s = line.pieces[:, None], 1.0 - t
    places = s**3 * p[:, :, 0] + 3 * s * s * t * p[:, :, 1] + 3 * s * t * t * p[:, :, 2] + t**3 * p[:, :, 3]
    places = places.reshape(-1, 2)
    places = places[np.append(True, np.hypot(*np.diff(places, axis=0).T) > 0.0)]

    def beyond(end, inner):
        return end + 20_000.0 * (end - inner) / np.hypot(*(end - inner))

    return np.vstack([beyond(places[0], places[1]), places, beyond(places[-1], places[-2])])


def buffered(line: Line, gone: float) -> shapely.Geometry:
    return shapely.LineString(dense_path(line)).buffer(gone / 2.0, quad_segs=256, join_style="round")


@st.composite
def faces(draw, of=strategies.lines):
    """A face's sizes and a feasible line on it."""
    half = draw(strategies.lengths(20.0, 70.0))
    length = draw(strategies.lengths(7.0 * half, 900.0))
    return 2.0 * half, length, line_of(Cut(nodes=draw(of(half, length))), length)


@given(faces(), gones | st.floats(3.0, 25.0))  # so wide that the passes of a hook run into one another
def test_what_is_left_is_the_face_less_a_band_about_the_line(face, gone):
    width, length, line = face
    sawn = saw_face(line, width, length, gone, 0.002)
    whole = shapely.box(-width / 2, 0.0, width / 2, length)
    slot = shapely.intersection(buffered(line, gone), whole)
    along = shapely.length(shapely.LineString(dense_path(line)[1:-1]))
    allowed = 2.0 * along * 0.002 + 0.01
    assert abs(whole.area - slot.area - sawn.left.area - sawn.right.area) < allowed
    # not only as large: in the same place
    assert shapely.symmetric_difference(shapely.union(sawn.left, sawn.right), whole - slot).area < allowed


@given(faces(), gones, st.sampled_from([0.05, 0.01]))
def test_the_edges_of_the_slot_are_half_its_width_from_the_line(face, gone, chord):
    width, length, line = face
    sawn = saw_face(line, width, length, gone, chord)
    path = shapely.LineString(dense_path(line))
    shapely.prepare(path)
    for region in (sawn.left, sawn.right):
        corners = shapely.get_coordinates(region)
        inside = (np.abs(corners[:, 0]) < width / 2 - 1e-6) & (corners[:, 1] > 1e-6) & (corners[:, 1] < length - 1e-6)
        away = shapely.distance(shapely.points(corners[inside]), path)
        assert np.abs(away - gone / 2.0).max(initial=0.0) <= chord


@given(faces())
def test_the_ideal_cut_takes_nothing(face):
    width, length, line = face
    sawn = saw_face(line, width, length, 0.0, 0.05)
    assert sawn.left.area + sawn.right.area == pytest.approx(width * length, rel=1e-12)
    assert shapely.intersection(sawn.left, sawn.right).area < 1e-9
    assert profile(sawn).area == pytest.approx(width * length, rel=1e-12)


@given(faces(of=strategies.single_valued))
def test_with_the_ideal_cut_the_profile_is_as_wide_as_the_blank_everywhere(face):
    width, length, line = face
    profile_widths = widths(profile(saw_face(line, width, length, 0.0, 0.05)))
    heights = np.linspace(0.0, length, 101)
    assert profile_widths.at(heights) == pytest.approx(np.full(101, width), rel=1e-9)


@given(faces(), gones)
def test_left_is_left_and_right_is_right(face, gone):
    width, length, line = face
    sawn = saw_face(line, width, length, gone, 0.05)
    assert shapely.intersection(sawn.left, sawn.right).area == 0.0
    assert shapely.distance(sawn.left, sawn.right) == pytest.approx(gone, abs=0.11)
    assert sawn.left.distance(shapely.Point(-width / 2, length / 2)) == 0.0
    assert sawn.right.distance(shapely.Point(width / 2, length / 2)) == 0.0
    for k in range(len(line.pieces)):
        middle, along = (f(np.array([k]), np.array([0.5]))[0] for f in (line.at, line.velocity))
        left = np.array([-along[1], along[0]]) / np.hypot(*along)
        just_left, just_right = (shapely.Point(*(middle + side * (gone / 2.0 + 0.1) * left)) for side in (1.0, -1.0))
        assert sawn.right.distance(just_left) > 0.0
        assert sawn.left.distance(just_right) > 0.0


@given(faces(), gones)
def test_mirrored_it_is_the_same_with_the_sides_changed(face, gone):
    width, length, line = face
    flip = np.array([-1.0, 1.0])
    sawn = saw_face(line, width, length, gone, 0.01)
    other = saw_face(Line(line.pieces * flip, line.is_straight, line.kinks), width, length, gone, 0.01)
    for mine, its in ((sawn.left, other.right), (sawn.right, other.left)):
        back = shapely.transform(its, lambda p: p * flip)
        assert shapely.symmetric_difference(mine, back).area < 1e-6


@given(faces(), gones)
def test_upside_down_it_is_the_same_with_the_sides_changed(face, gone):
    width, length, line = face
    sawn = saw_face(line, width, length, gone, 0.01)
    flipped = np.array([0.0, length]) + line.pieces[::-1, ::-1] * np.array([1.0, -1.0])
    kinks = tuple(len(line.pieces) - k for k in reversed(line.kinks))
    other = saw_face(Line(flipped, line.is_straight[::-1], kinks), width, length, gone, 0.01)
    for mine, its in ((sawn.left, other.left), (sawn.right, other.right)):
        back = shapely.transform(its, lambda p: np.array([0.0, length]) + p * np.array([1.0, -1.0]))
        # the points along the line may fall elsewhere within the tolerance
        assert shapely.symmetric_difference(mine, back).area < 0.02 * length * 4


@given(faces(), st.floats(0.0, 3.0))
def test_cutters_are_the_regions_reaching_past_the_face(face, gone):
    width, length, line = face
    sawn = saw_face(line, width, length, gone, 0.05)
    whole = shapely.box(-width / 2, 0.0, width / 2, length)
    for region, cutter in ((sawn.left, sawn.left_cutter), (sawn.right, sawn.right_cutter)):
        assert region.is_valid
        assert cutter.is_valid
        assert whole.buffer(1e-9).covers(region)
        assert shapely.symmetric_difference(shapely.intersection(cutter, whole), region).area < 1e-6
        assert cutter.bounds[1] < 0.0
        assert cutter.bounds[3] > length


# ---------------------------------------------------------------- wild lines


@st.composite
def wild_faces(draw):
    width, length = draw(strategies.lengths(5.0, 150.0)), draw(strategies.lengths(5.0, 400.0))
    drawn = draw(strategies.wild_nodes(width / 2.0, length))
    return width, length, line_of(Cut(nodes=drawn), length)


@given(wild_faces(), st.sampled_from([0.0, 0.9]) | st.floats(0.1, 10.0))
@example(
    # runs back along itself: no overlay of plane regions likes that
    (200.0, 842.5, line_through(nodes((0, 842.5), (-100, 24.31), (0, 842.5), (100, 24.31), kinds="sscc"))),
    10.0,
)
@example((60.0, 100.0, line_through(nodes((0, 20), (0, 80), (0, 40)))), 10.0)
@example((60.0, 5.0, line_through(nodes((-13.75, 2.61), (-3.25, 0.0), (-13.75, 2.61)))), 0.0)
def test_however_wild_the_regions_are_sound_and_lose_nothing_but_the_slot(face, gone):
    width, length, line = face
    sawn = saw_face(line, width, length, gone, 0.05)
    assert sawn.left.is_valid
    assert sawn.right.is_valid
    assert shapely.intersection(sawn.left, sawn.right).area < 1e-6 * width * length
    whole = shapely.box(-width / 2, 0.0, width / 2, length)
    left_over = whole.area - sawn.left.area - sawn.right.area
    if gone == 0.0:
        assert left_over == pytest.approx(0.0, abs=1e-6 * whole.area)
    else:
        slot = shapely.intersection(buffered(line, gone), whole)
        reach = slot.length + shapely.intersection(shapely.LineString(dense_path(line)), whole).length
        assert abs(left_over - slot.area) < 0.1 * reach + 0.01


# ---------------------------------------------------------------- widths


def slice_width(region, z: float) -> float:
    west, _, east, _ = region.bounds
    return shapely.intersection(region, shapely.LineString([(west - 1, z), (east + 1, z)])).length


@given(faces(), gones, st.lists(st.floats(0.001, 0.999), min_size=5, max_size=5))
def test_widths_are_those_of_slices(face, gone, where):
    width, length, line = face
    sawn = saw_face(line, width, length, gone, 0.05)
    for region in (sawn.left, sawn.right, profile(sawn)):
        mine = widths(region)
        for z in np.array(where) * length:
            if np.abs(mine.z - z).min() > 1e-6:
                assert mine.at(np.array([z]))[0] == pytest.approx(slice_width(region, z), abs=1e-6)


@given(wild_faces(), st.floats(0.0, 5.0))
def test_widths_add_up_to_the_area(face, gone):
    width, length, line = face
    region = profile(saw_face(line, width, length, gone, 0.05))
    mine = widths(region)
    if len(mine.above):
        trapezia = (np.diff(mine.z) * (mine.above + mine.below)).sum() / 2.0
        assert trapezia == pytest.approx(region.area, rel=1e-9, abs=1e-9)
        assert min(mine.above.min(), mine.below.min()) > -1e-9
    else:
        assert region.area == 0.0


def test_widths_of_a_staircase_with_a_hole():
    stair = shapely.Polygon([(0, 0), (10, 0), (10, 5), (4, 5), (4, 9), (0, 9)], [[(1, 1), (1, 2), (3, 2), (3, 1)]])
    mine = widths(stair)
    assert mine.z.tolist() == [0, 1, 2, 5, 9]
    assert mine.above.tolist() == [10, 8, 10, 4]
    assert mine.below.tolist() == [10, 8, 10, 4]
    # at a jump the lesser of the two
    assert mine.at(np.array([-1.0, 0.0, 1.0, 1.5, 2.0, 5.0, 9.0, 9.5])).tolist() == [0, 10, 8, 8, 8, 4, 4, 0]


def test_widths_of_nothing():
    nothing = widths(shapely.Polygon())
    assert nothing.at(np.array([0.0, 1.0])).tolist() == [0.0, 0.0]
    assert section_at(nothing, nothing, 5.0).width == 0.0


@pytest.mark.parametrize("slope", [0.0, 0.2, -1.0])
def test_across_a_slanting_line_the_slot_is_wider(slope):
    # 2a - kerf · sqrt(1 + u'²)
    length, width, gone = 300.0, 400.0, 1.2
    line = line_through(nodes((-slope * 150.0, 0.0), (slope * 150.0, length), kinds="cc"))
    mine = widths(profile(saw_face(line, width, length, gone, 0.05)))
    wanted = width - gone * math.sqrt(1.0 + slope**2)
    assert mine.at(np.linspace(0.0, length, 50)) == pytest.approx(np.full(50, wanted), rel=1e-12)


def test_a_corner_is_sawn_with_a_round_join():
    # at a right-angled corner the outer edge is a quarter disc of radius h, the inner a sharp corner
    line = line_through(nodes((0.0, 0.0), (0.0, 100.0), (100.0, 100.0), kinds="ccc"))
    gone, h = 8.0, 4.0
    sawn = saw_face(line, 200.0, 200.0, gone, 0.0005)
    # two arms; at the corner they share the inner square h², and the quarter disc rounds the outside
    slot = (100.0 * gone) * 2 - h * h + math.pi * h * h / 4
    assert 200.0 * 200.0 - sawn.left.area - sawn.right.area == pytest.approx(slot, abs=0.01)
