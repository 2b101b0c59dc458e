"""Adding, moving, deleting and bending nodes, and straightening a stretch into a post."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.copying import with_order_reversed
from geometry.curvature import corner_turns
from geometry.editing import (
    CLOSEST_NODES_MM,
    nodes_of,
    nudge_step,
    through_places,
    tidy,
    with_kind,
    with_node_added,
    with_node_at,
    with_nodes_moved,
    with_tangent,
    without_nodes,
)
from geometry.lines import line_of
from geometry.nearest import nearest_place, passes_of_height
from geometry.posts import with_post
from geometry.project import Blank, Cut, Node, Variant
from geometry.sampling import sample
from geometry.snapping import Snapping, heights_of_other_face, snapped
from tests.strategies import wild_nodes

LENGTH = 420.0

SWAYING = Cut(
    nodes=(Node((0.0, 0.0), "corner"), Node((8.0, 140.0)), Node((-6.0, 280.0)), Node((0.0, LENGTH), "corner"))
)
HOOKED = Cut(
    nodes=(
        Node((0.0, 0.0), "corner"), Node((15.0, 180.0)), Node((8.0, 200.0)), Node((0.0, 190.0)), Node((-8.0, 180.0)),
        Node((-15.0, 200.0)), Node((0.0, LENGTH), "corner"),
    )
)  # fmt: skip

places = st.tuples(st.floats(-60.0, 60.0), st.floats(-50.0, LENGTH + 50.0))
shifts = st.floats(-500.0, 500.0)
kinds = st.sampled_from(["smooth", "corner"])
cuts = wild_nodes(45.0, LENGTH).filter(bool).map(lambda nodes: Cut(nodes=nodes))
edits = st.one_of(
    st.tuples(st.just("add"), places, st.floats(1.0, 6.0)),
    st.tuples(st.just("move"), st.sets(st.integers(0, 8)), shifts, shifts, st.booleans()),
    st.tuples(st.just("place"), st.integers(0, 8), places),
    st.tuples(st.just("delete"), st.sets(st.integers(0, 8), max_size=3)),
    st.tuples(st.just("kind"), st.sets(st.integers(0, 8)), kinds),
    st.tuples(st.just("tangent"), st.sets(st.integers(0, 8)), st.booleans()),
    st.tuples(st.just("post"), st.floats(-50.0, 500.0), st.floats(-50.0, 500.0), st.floats(-20.0, 20.0)),
)


def edited(cut: Cut, edit: tuple) -> Cut:
    match edit:
        case "add", point, stretch:
            return with_node_added(cut, LENGTH, point, across_stretch=stretch)[0]
        case "move", numbers, across, up, hold:
            return with_nodes_moved(cut, LENGTH, numbers, across, up, hold)
        case "place", number, at:
            return with_node_at(cut, LENGTH, number, at)
        case "delete", numbers:
            return without_nodes(cut, LENGTH, numbers)
        case "kind", numbers, kind:
            return with_kind(cut, LENGTH, numbers, kind)
        case "tangent", numbers, tangent:
            return with_tangent(cut, LENGTH, numbers, tangent)
        case "post", low, high, across:
            return with_post(cut, LENGTH, low, high, across)
    raise AssertionError(edit)


@given(st.one_of(st.just(Cut()), cuts), st.lists(edits, max_size=12))
def test_whatever_is_pointed_at_leaves_a_line_that_can_be_drawn(cut, steps):
    for edit in steps:
        cut = edited(cut, edit)  # the constructor of a cut refuses what is no line
        assert np.isfinite(line_of(cut, LENGTH).pieces).all()


# ---------------------------------------------------------------- nearest


@given(cuts, places)
def test_no_place_of_the_line_is_nearer_than_the_nearest(cut, point):
    line = line_of(cut, LENGTH)
    near = nearest_place(line, point)
    assert near.distance_mm == pytest.approx(math.dist(near.at, point), abs=1e-9)
    assert near.distance_mm <= np.hypot(*(sample(line, 0.01).points - point).T).min() + 0.01
    on_line = line.at(np.array([near.piece]), np.array([near.t]))[0]
    assert tuple(on_line) == pytest.approx(near.at)


def test_on_a_stretched_face_the_nearest_place_is_the_one_that_looks_nearest():
    slope = line_of(Cut(nodes=(Node((0.0, 0.0), "corner"), Node((100.0, 100.0), "corner"))), 100.0)
    assert nearest_place(slope, (60.0, 40.0)).at == pytest.approx((50.0, 50.0))
    # across counts three times: the foot of the shortest way minimises 9 (u - 60)² + (u - 40)²
    stretched = nearest_place(slope, (60.0, 40.0), across_stretch=3.0)
    assert stretched.at == pytest.approx((58.0, 58.0))
    assert stretched.distance_mm == pytest.approx(math.hypot(6.0, 18.0))


def test_a_hook_passes_a_height_three_times():
    line = line_of(HOOKED, LENGTH)
    passes = passes_of_height(line, 190.0)
    assert len(passes) == 3
    assert [u for _, _, u in passes] == sorted((u for _, _, u in passes), reverse=True)
    for piece, t, u in passes:
        assert tuple(line.at(np.array([piece]), np.array([t]))[0]) == pytest.approx((u, 190.0))


def test_a_height_at_a_node_counts_once_and_heights_beyond_the_line_not_at_all():
    line = line_of(SWAYING, LENGTH)
    assert [u for _, _, u in passes_of_height(line, 140.0)] == pytest.approx([8.0])
    assert [u for _, _, u in passes_of_height(line, 0.0)] == pytest.approx([0.0])
    assert [u for _, _, u in passes_of_height(line, LENGTH)] == pytest.approx([0.0])
    assert passes_of_height(line, -1.0) == passes_of_height(line, LENGTH + 1.0) == []


# ---------------------------------------------------------------- adding


def test_clicking_the_straight_centre_line_gives_it_a_smooth_node_to_pull():
    cut, number = with_node_added(Cut(), LENGTH, (3.0, 200.0))
    assert number == 1
    assert cut.nodes == (Node((0.0, 0.0), "corner"), Node((0.0, 200.0), "smooth"), Node((0.0, LENGTH), "corner"))


@given(cuts, places)
def test_a_node_added_is_on_the_line_or_was_there_or_grows_it(cut, point):
    line = line_of(cut, LENGTH)
    after, number = with_node_added(cut, LENGTH, point)
    added = len(after.nodes) - len(cut.nodes)
    assert added in (0, 1)
    if not added:
        assert after == cut
        # the node meant is within a pencil line of the place, or is an end that is not grown
        at = nearest_place(line, point).at
        assert math.dist(cut.nodes[number].at, at) < CLOSEST_NODES_MM or number in (0, len(cut.nodes) - 1)
    elif 0 < number < len(cut.nodes):
        assert nearest_place(line, after.nodes[number].at).distance_mm < 1e-6
        assert after.nodes[:number] + after.nodes[number + 1 :] == cut.nodes


def test_a_node_added_to_a_spline_leaves_the_line_where_it_was():
    before = line_of(SWAYING, LENGTH)
    after, _ = with_node_added(SWAYING, LENGTH, (8.0, 60.0))
    moved = max(nearest_place(before, tuple(p)).distance_mm for p in sample(line_of(after, LENGTH), 0.01).points)
    assert moved < 0.2


def test_a_post_clicked_stays_a_post():
    leg = Cut(
        nodes=(
            Node((5.0, 0.0)), Node((-8.0, 150.0)), Node((0.0, 300.0), "corner", True), Node((0.0, LENGTH), "corner"),
        )
    )  # fmt: skip
    after, number = with_node_added(leg, LENGTH, (1.0, 350.0))
    assert after.nodes[number] == Node((0.0, 350.0), "corner")
    before, now = line_of(leg, LENGTH), line_of(after, LENGTH)
    assert np.array_equal(before.pieces[:2], now.pieces[:2])
    smooth, number = with_node_added(leg, LENGTH, (1.0, 350.0), kind="smooth")
    assert smooth.nodes[number].kind == "smooth"


def test_the_line_grows_beyond_an_end_that_is_short_of_the_face():
    short = Cut(nodes=(Node((0.0, 0.0), "corner"), Node((6.0, 100.0)), Node((0.0, 200.0), "corner")))
    grown, number = with_node_added(short, LENGTH, (-5.0, 300.0))
    assert number == 3
    assert grown.nodes[2:] == (Node((0.0, 200.0), "smooth"), Node((-5.0, 300.0), "smooth"))
    whole, number = with_node_added(grown, LENGTH, (0.0, 900.0))
    assert whole.nodes[number].at == (0.0, LENGTH)
    unchanged, number = with_node_added(whole, LENGTH, (0.0, 900.0))
    assert (unchanged, number) == (whole, 4)


def test_the_line_grows_at_the_foot_too():
    hanging = Cut(nodes=(Node((0.0, 150.0), "corner"), Node((6.0, 250.0)), Node((0.0, LENGTH), "corner")))
    grown, number = with_node_added(hanging, LENGTH, (3.0, -40.0))
    assert number == 0
    assert grown.nodes[0].at == (3.0, 0.0)
    assert grown.nodes[1] == Node((0.0, 150.0), "smooth")


def test_beyond_a_straight_stretch_the_curve_leaves_tangent():
    post = Cut(nodes=(Node((0.0, 0.0), "corner"), Node((0.0, 150.0), "corner")))
    grown, _ = with_node_added(post, LENGTH, (20.0, 300.0))
    assert grown.nodes[1] == Node((0.0, 150.0), "corner", True)
    assert [angle for angle, _ in corner_turns(line_of(grown, LENGTH))] == pytest.approx([0.0], abs=1e-12)


def test_the_pen_draws_from_the_foot_whichever_way_the_hand_went():
    up = through_places(Cut(kerf=1.2), [(0.0, 0.0), (5.0, 100.0), (0.0, LENGTH)])
    down = through_places(Cut(kerf=1.2), [(0.0, LENGTH), (5.0, 100.0), (0.0, 0.0)])
    assert up == down
    assert up.kerf == 1.2
    assert through_places(SWAYING, [(1.0, 1.0)]) is SWAYING
    assert through_places(SWAYING, [(1.0, 1.0), (1.0, 1.0)]) is SWAYING


# ---------------------------------------------------------------- moving


def test_ends_on_the_end_of_the_face_slide_along_it_unless_let_go():
    moved = with_nodes_moved(SWAYING, LENGTH, (0, 1, 3), 2.0, 5.0)
    assert [n.at for n in moved.nodes] == [(2.0, 0.0), (10.0, 145.0), (-6.0, 280.0), (2.0, LENGTH)]
    free = with_nodes_moved(SWAYING, LENGTH, (0, 3), 2.0, 5.0, hold_ends=False)
    assert [n.at for n in free.nodes] == [(2.0, 5.0), (8.0, 140.0), (-6.0, 280.0), (2.0, LENGTH + 5.0)]


def test_an_end_short_of_the_face_moves_freely_and_is_held_once_it_is_there():
    short = with_nodes_moved(SWAYING, LENGTH, (3,), 0.0, -20.0, hold_ends=False)
    there = with_node_at(short, LENGTH, 3, (0.0, LENGTH))
    assert there == SWAYING
    assert with_node_at(there, LENGTH, 3, (1.0, 300.0)).nodes[3].at == (1.0, LENGTH)


def test_a_node_does_not_fall_onto_its_neighbour():
    assert with_node_at(SWAYING, LENGTH, 1, (-6.0, 280.0)) is SWAYING
    assert with_node_at(SWAYING, LENGTH, 9, (1.0, 1.0)) is SWAYING


def test_moving_the_end_of_the_straight_centre_line_gives_it_nodes():
    moved = with_nodes_moved(Cut(), LENGTH, (1,), 4.0, 0.0)
    assert [n.at for n in moved.nodes] == [(0.0, 0.0), (4.0, LENGTH)]


def test_places_stay_tidy_and_within_ten_metres():
    cut = SWAYING
    for _ in range(3):
        cut = with_nodes_moved(cut, LENGTH, (1,), 0.1, 0.1)
    assert cut.nodes[1].at == (8.3, 140.3)
    assert with_nodes_moved(SWAYING, LENGTH, (1,), 1e9, -1e9).nodes[1].at == (10000.0, -10000.0)
    assert str(with_node_at(SWAYING, LENGTH, 1, (-1e-12, 10.0)).nodes[1].at[0]) == "0.0"


def test_an_arrow_key_moves_a_millimetre_or_a_sixteenth():
    assert nudge_step("mm") == 1.0
    assert nudge_step("mm", fine=True) == 0.1
    assert nudge_step("in") == 1.5875
    assert nudge_step("in", fine=True) == pytest.approx(0.15875)


# ---------------------------------------------------------------- deleting, kinds


def test_deleting_all_but_one_node_leaves_the_straight_centre_line():
    assert [n.at[1] for n in without_nodes(SWAYING, LENGTH, (1,)).nodes] == [0.0, 280.0, LENGTH]
    assert without_nodes(SWAYING, LENGTH, (0, 1, 2)).nodes == ()
    assert without_nodes(SWAYING, LENGTH, (7,)) is SWAYING


def test_deleting_between_two_equal_nodes_leaves_one_of_them():
    there_and_back = Cut(nodes=(Node((0.0, 0.0)), Node((5.0, 50.0)), Node((0.0, 0.0)), Node((0.0, 100.0))))
    assert [n.at for n in without_nodes(there_and_back, LENGTH, (1,)).nodes] == [(0.0, 0.0), (0.0, 100.0)]


def test_only_corners_are_tangent():
    tangent = with_tangent(SWAYING, LENGTH, (1,), True)
    assert tangent.nodes[1] == Node((8.0, 140.0), "corner", True)
    assert with_kind(tangent, LENGTH, (1,), "smooth").nodes[1] == Node((8.0, 140.0), "smooth", False)
    assert with_kind(tangent, LENGTH, (1,), "corner") == tangent
    assert with_tangent(tangent, LENGTH, (1,), False).nodes[1] == Node((8.0, 140.0), "corner", False)


def test_nodes_of_the_straight_centre_line_are_its_ends():
    assert [n.at for n in nodes_of(Cut(), LENGTH)] == [(0.0, 0.0), (0.0, LENGTH)]


# ---------------------------------------------------------------- posts


@given(cuts, st.floats(0.0, LENGTH), st.floats(0.0, LENGTH), st.floats(-20.0, 20.0))
def test_a_post_is_straight_upright_and_where_it_was_asked_for(cut, one, other, across):
    low, high = sorted((one, other))
    after = with_post(cut, LENGTH, one, other, across)
    if high - low < CLOSEST_NODES_MM - 1e-6:
        assert after is cut
        return
    ends = [i for i, n in enumerate(after.nodes) if n.at == (tidy(across), tidy(low)) and n.kind == "corner"]
    assert any(
        after.nodes[i + 1].at == (tidy(across), tidy(high)) and after.nodes[i + 1].kind == "corner"
        for i in ends
        if i + 1 < len(after.nodes)
    )


def test_the_curve_arrives_at_a_post_without_a_corner():
    leg = with_post(SWAYING, LENGTH, 330.0, LENGTH)
    assert [n.at for n in leg.nodes] == [(0.0, 0.0), (8.0, 140.0), (-6.0, 280.0), (0.0, 330.0), (0.0, LENGTH)]
    line = line_of(leg, LENGTH)
    assert all(angle < 1e-9 for angle, _ in corner_turns(line))
    assert {u for _, _, u in passes_of_height(line, 360.0)} == {0.0}


def test_a_post_in_the_middle_of_a_hook_takes_the_hook_away():
    post = with_post(HOOKED, LENGTH, 170.0, 210.0, 2.0)
    line = line_of(post, LENGTH)
    assert all(len(passes_of_height(line, z)) == 1 for z in np.linspace(1.0, LENGTH - 1.0, 50))
    assert all(angle < 1e-9 for angle, _ in corner_turns(line))


def test_a_post_beside_the_straight_centre_line_is_led_to_in_curves():
    post = with_post(Cut(), LENGTH, 150.0, 250.0, 10.0)
    assert [n.kind for n in post.nodes] == ["smooth", "corner", "corner", "smooth"]
    assert all(angle < 1e-9 for angle, _ in corner_turns(line_of(post, LENGTH)))
    # and a second one above it leaves the first as it is
    two = with_post(post, LENGTH, 320.0, LENGTH, 0.0)
    assert two.nodes[:3] == post.nodes[:3]
    assert all(angle < 1e-9 for angle, _ in corner_turns(line_of(two, LENGTH)))


def test_a_post_all_the_way_is_a_straight_line():
    assert [n.at for n in with_post(HOOKED, LENGTH, -5.0, 900.0, 3.0).nodes] == [(3.0, 0.0), (3.0, LENGTH)]


# ---------------------------------------------------------------- snapping


def test_a_place_is_caught_by_what_is_near_and_else_by_the_grid():
    snapping = Snapping(grid_mm=5.0, heights_mm=(142.0,), reach_across_mm=1.0, reach_up_mm=3.0)
    caught = snapped((0.8, 140.1), LENGTH, snapping)
    assert (caught.at, caught.across, caught.up) == ((0.0, 142.0), "centre line", "other face")
    caught = snapped((7.6, 133.0), LENGTH, snapping)
    assert (caught.at, caught.across, caught.up) == ((10.0, 135.0), "grid", "grid")
    caught = snapped((3.3, 418.0), LENGTH, Snapping())
    assert (caught.at, caught.across, caught.up) == ((3.3, LENGTH), None, "end")
    free = Snapping(to_centre=False, to_ends=False)
    assert snapped((0.1, 0.2), LENGTH, free).at == (0.1, 0.2)


def test_of_two_heights_within_reach_the_nearer_catches():
    assert snapped((9.0, 101.4), LENGTH, Snapping(heights_mm=(100.0, 102.0))).at == (9.0, 102.0)


def test_the_other_face_offers_the_heights_of_its_nodes():
    variant = Variant("A", Blank(60, 60, LENGTH), front=SWAYING)
    assert heights_of_other_face(variant, "side") == (0.0, 140.0, 280.0, LENGTH)
    assert heights_of_other_face(variant, "front") == (0.0, LENGTH)


def test_reversing_the_order_turns_a_line_drawn_from_the_top():
    down = Cut(nodes=SWAYING.nodes[::-1])
    assert with_order_reversed(down) == SWAYING
