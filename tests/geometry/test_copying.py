"""Mirroring, turning upside down, copying to the other face and to other blanks, and the words for it."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from geometry.copying import (
    copied_to_other_face,
    half_across,
    mirrored,
    stood_on_other_end,
    with_blank,
    with_blank_from,
    with_line_from,
)
from geometry.curvature import extent
from geometry.layup import Checker, Stripes
from geometry.lines import line_of
from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Node, Trim, Variant
from geometry.shapes import Hook, with_shape
from geometry.swings import copy_words, corner_faced, swing_words, swings
from tests.strategies import wild_nodes

LENGTH = 420.0
SWAYING = Cut(
    kerf=1.1,
    blade=Blade(6.35),
    nodes=(Node((0.0, 0.0), "corner"), Node((8.0, 140.0)), Node((-6.0, 280.0)), Node((0.0, LENGTH), "corner")),
    trims=(Trim((Node((20.0, -5.0)), Node((14.0, 90.0)))),),
)

cuts = wild_nodes(45.0, LENGTH).map(lambda nodes: Cut(nodes=nodes))


@given(cuts)
def test_mirroring_twice_is_nothing(cut):
    assert mirrored(mirrored(cut)) == cut


@given(cuts)
def test_standing_on_the_other_end_twice_is_nothing(cut):
    assert stood_on_other_end(stood_on_other_end(cut, LENGTH), LENGTH) == cut


@given(cuts)
def test_a_line_upside_down_is_the_same_line_upside_down(cut):
    up, down = line_of(cut, LENGTH), line_of(stood_on_other_end(cut, LENGTH), LENGTH)
    turned = up.pieces[::-1, ::-1] * [1.0, -1.0] + [0.0, LENGTH]
    np.testing.assert_allclose(down.pieces, turned, atol=1e-6)


def test_trims_go_with_their_line():
    assert mirrored(SWAYING).trims[0].nodes[0].at == (-20.0, -5.0)
    assert [n.at for n in stood_on_other_end(SWAYING, LENGTH).trims[0].nodes] == [(14.0, 330.0), (20.0, 425.0)]


def test_the_straight_centre_line_stays_it():
    assert mirrored(Cut()) == stood_on_other_end(Cut(), LENGTH) == Cut()


# ---------------------------------------------------------------- the other face


def test_a_copy_swings_toward_the_shared_corner_together_or_away_from_it():
    # front: the shared corner is at its right edge, u = +30; side: at its left edge, u = -25
    variant = Variant("A", Blank(60.0, 50.0, LENGTH), front=SWAYING)
    together = copied_to_other_face(variant, "front", "together").side
    assert [n.at[0] for n in together.nodes] == pytest.approx([0.0, -8.0 * 50 / 60, 6.0 * 50 / 60, 0.0])
    apart = copied_to_other_face(variant, "front", "apart").side
    assert [n.at[0] for n in apart.nodes] == pytest.approx([0.0, 8.0 * 50 / 60, -6.0 * 50 / 60, 0.0])
    assert together.blade == apart.blade == Blade(6.35)
    assert together.kerf == 1.1


@given(cuts, st.sampled_from(["together", "apart"]), st.floats(30.0, 120.0), st.floats(30.0, 120.0))
def test_copied_there_and_back_is_the_line_again(cut, sense, top_width, top_depth):
    variant = Variant("A", Blank(60.0, 50.0, LENGTH, top_width, top_depth), front=cut)
    there = copied_to_other_face(variant, "front", sense)
    back = copied_to_other_face(there, "side", sense)
    assert len(back.front.nodes) == len(cut.nodes)
    for a, b in zip(back.front.nodes, cut.nodes, strict=True):
        assert a.at == pytest.approx(b.at, abs=1e-7)


@given(cuts)
def test_walls_keep_in_proportion_to_the_face(cut):
    assume(all(abs(n.at[0]) < 30.0 for n in cut.nodes))
    variant = Variant("A", Blank(60.0, 90.0, LENGTH), front=cut)
    copy = copied_to_other_face(variant, "front", "apart")
    for a, b in zip(copy.front.nodes, copy.side.nodes, strict=True):
        assert (45.0 - abs(b.at[0])) / 45.0 == pytest.approx((30.0 - abs(a.at[0])) / 30.0)


def test_half_sizes_run_straight_from_foot_to_top():
    blank = Blank(60.0, 50.0, 400.0, 40.0)
    assert [half_across(blank, "front", z) for z in (-10.0, 0.0, 200.0, 400.0, 900.0)] == [30, 30, 25, 20, 20]
    assert half_across(blank, "side", 400.0) == 25.0


# ---------------------------------------------------------------- words


@pytest.mark.parametrize(
    ("front", "side", "corner"),
    [
        (10.0, -10.0, "front right corner"),
        (10.0, 10.0, "back right corner"),
        (-10.0, 10.0, "back left corner"),
        (-10.0, -10.0, "front left corner"),
        (10.0, 0.0, "right face"),
        (-10.0, 0.5, "left face"),
        (0.0, 10.0, "back face"),
        (0.0, -10.0, "front face"),
    ],
)
def test_the_words_name_the_corner_the_finished_piece_stands_out_to(front, side, corner):
    """Against the solid itself: where its middle stands at the height of the swing."""

    def bow(u: float) -> Cut:
        return Cut(nodes=(Node((0.0, 0.0), "corner"), Node((u, 100.0)), Node((0.0, 200.0), "corner"))) if u else Cut()

    variant = Variant("A", Blank(60.0, 60.0, 200.0), front=bow(front), side=bow(side))
    assert swing_words(variant).startswith(f"The piece swings toward its {corner}")
    solid = build(variant).glued().vertices
    middle = (solid.min(axis=0) + solid.max(axis=0))[:2] / 2.0  # half the swing: the ends stand on the centre line
    x, y = np.where(np.abs(middle) < 1.0, 0.0, np.sign(middle))
    assert corner == {
        (1, -1): "front right corner", (1, 1): "back right corner", (-1, 1): "back left corner",
        (-1, -1): "front left corner", (1, 0): "right face", (-1, 0): "left face", (0, 1): "back face",
        (0, -1): "front face",
    }[(int(x), int(y))]  # fmt: skip


def test_what_a_copy_would_do_is_said_before_it_is_done():
    variant = Variant("A", Blank(60.0, 60.0, LENGTH), front=SWAYING)
    together = copy_words(variant, "front", "together")
    assert "front right corner (between the two faces drawn on)" in together
    assert "back left corner" in together
    apart = copy_words(variant, "front", "apart")
    assert "back right corner" in apart
    assert "front left corner" in apart
    assert '5/16"' not in together
    assert '"' in copy_words(variant, "front", "apart", "in")


def test_a_straight_piece_stands_straight():
    assert swing_words(Variant("A", Blank(60.0, 60.0, LENGTH))) == "The piece stands straight."


def test_the_swing_is_that_of_both_lines():
    variant = copied_to_other_face(Variant("A", Blank(60.0, 60.0, LENGTH), front=SWAYING), "front", "together")
    most = max(swings(variant), key=lambda s: s.distance_mm)
    widest = extent(line_of(SWAYING, LENGTH)).greatest_u
    assert most.distance_mm == pytest.approx(widest[0] * math.sqrt(2.0), rel=1e-3)
    assert corner_faced(most) == "front right corner"


# ---------------------------------------------------------------- other blanks


def test_a_longer_blank_draws_the_lines_out_and_keeps_the_swing():
    variant = Variant("A", Blank(60.0, 60.0, LENGTH), front=SWAYING)
    longer = with_blank(variant, Blank(80.0, 60.0, 2 * LENGTH))
    assert [n.at for n in longer.front.nodes] == [(0.0, 0.0), (8.0, 280.0), (-6.0, 560.0), (0.0, 840.0)]
    assert longer.side == Cut()


def test_strips_and_blocks_keep_their_shares_of_another_blank():
    strips = Stripes("x", ((20.0, "walnut"), (10.0, "maple"), (30.0, "walnut")))
    variant = Variant("A", Blank(60.0, 60.0, LENGTH), layup=strips)
    assert with_blank(variant, Blank(60.0, 90.0, LENGTH)).layup == strips
    assert [w for w, _ in with_blank(variant, Blank(90.0, 60.0, LENGTH)).layup.strips] == [30.0, 15.0, 45.0]
    blocks = Checker((30.0, 30.0), (20.0, 40.0), ("walnut", "maple"), (210.0, 210.0))
    scaled = with_blank(Variant("A", Blank(60.0, 60.0, LENGTH), layup=blocks), Blank(50.0, 30.0, 400.0)).layup
    assert (scaled.x, scaled.y, scaled.z) == ((25.0, 25.0), (10.0, 20.0), (200.0, 200.0))


def test_a_line_and_a_blank_come_over_from_another_variant():
    a = Variant("A", Blank(60.0, 60.0, LENGTH), layup=Stripes("x", ((60.0, "ash"),)), front=SWAYING)
    b = Variant("B", Blank(90.0, 45.0, 210.0))
    taken = with_line_from(b, a, "front")
    assert [n.at for n in taken.front.nodes] == [(0.0, 0.0), (12.0, 70.0), (-9.0, 140.0), (0.0, 210.0)]
    assert taken.blank == b.blank
    assert with_line_from(a, a, "front") == a
    blank = with_blank_from(taken, a)
    assert (blank.blank, blank.layup, blank.name) == (a.blank, a.layup, "B")
    assert [n.at for n in blank.front.nodes] == [(0.0, 0.0), (12.0, 140.0), (-9.0, 280.0), (0.0, LENGTH)]


def test_a_hook_swings_about_the_middle_of_its_passes():
    variant = with_shape(Variant("A", Blank(60.0, 60.0, LENGTH)), "front", Hook(8.0, 210.0))
    at = {s.z_mm: s for s in swings(variant)}
    assert at[210.0].distance_mm == pytest.approx(0.0, abs=1e-6)  # three passes, the middle one on the centre line
    words = swing_words(variant)
    assert "right face" in words
    assert "left face" in words
