"""Turning: rigid moves, the stops, no quarter through another while they turn, and the glued piece at the end."""

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.sawing import QUARTER_SIGNS, to_manifold
from geometry.tolerances import LIVE_CHORD_MM
from geometry.turning import GLUED, OPENED, STOPS, TURNED, placements
from tests import strategies
from tests.strategies import straight_moves

turns = st.floats(0.0, 1.0)
CLOSED = (TURNED + GLUED) / 2.0
PLAIN = Variant("A", Blank(60.0, 40.0, 300.0))


def placed(piece, turn):
    block = piece.variant.blank
    return placements(block, piece.quarters, turn)


def outlines(piece, turn):
    """The quarters' shadows on the table: hulls, which hold all of each at every height."""
    hulls = []
    for quarter, move in zip(piece.quarters, placed(piece, turn), strict=True):
        corners = quarter.moved(move).vertices[:, :2]
        hulls.append(shapely.convex_hull(shapely.multipoints(corners)))
    return hulls


@st.composite
def pieces(draw):
    return build(draw(strategies.variants()), LIVE_CHORD_MM)


@given(pieces(), turns | st.sampled_from([t for _, t in STOPS]))
def test_every_move_is_rigid_and_upright(piece, turn):
    for move in placed(piece, turn):
        assert move.shape == (4, 4)
        assert move[:3, :3].T @ move[:3, :3] == pytest.approx(np.eye(3), abs=1e-12)
        assert np.linalg.det(move[:3, :3]) == pytest.approx(1.0)
        assert move[2].tolist() == [0.0, 0.0, 1.0, 0.0]
        assert move[3].tolist() == [0.0, 0.0, 0.0, 1.0]


@given(pieces())
def test_it_starts_as_the_sawn_block(piece):
    for move in placed(piece, 0.0):
        assert move == pytest.approx(np.eye(4), abs=1e-12)


@given(pieces())
def test_it_ends_exactly_glued_standing_as_drawn(piece):
    # the quarter with outside corner (sx a, sy b) moves by (-sx a, -sy b, 0)
    block = piece.variant.blank
    for move, (sx, sy) in zip(placed(piece, 1.0), QUARTER_SIGNS, strict=True):
        wanted = np.eye(4)
        wanted[:2, 3] = -sx * block.width / 2.0, -sy * block.depth / 2.0
        assert np.array_equal(move, wanted)
    assert all(map(np.array_equal, placed(piece, 1.0), straight_moves(block.width, block.depth)))
    assert (STOPS[0][1], OPENED, TURNED, GLUED) == (0.0, 1 / 3, 2 / 3, 1.0)


@given(pieces(), turns)
def test_the_quarters_go_without_a_jump(piece, turn):
    step = 1e-5
    reach = max(piece.variant.blank.width, piece.variant.blank.depth)
    for before, after in zip(placed(piece, turn), placed(piece, min(turn + step, 1.0)), strict=True):
        assert np.abs(after - before).max() < 40.0 * step * reach
    for before, after in zip(placed(piece, 1.0 - 1e-9), placed(piece, 1.0), strict=True):
        assert after == pytest.approx(before, abs=1e-6)


@given(pieces(), st.floats(OPENED, TURNED))
def test_opened_quarters_turn_clear_of_one_another(piece, turn):
    for one, other in itertools.combinations(outlines(piece, turn), 2):
        assert one.distance(other) > 0.0


@given(pieces(), st.floats(0.0, 0.999) | st.sampled_from([OPENED, TURNED]))
def test_between_opening_and_closing_each_quarter_turns_about_its_own_length(piece, share):
    """Opened they stand as sawn, only apart; turned each is half a turn on, in the same place."""
    opened, turned = placed(piece, OPENED), placed(piece, TURNED)
    now = placed(piece, OPENED + share * (TURNED - OPENED))
    block = piece.variant.blank
    for (sx, sy), a, b, c in zip(QUARTER_SIGNS, opened, now, turned, strict=True):
        assert a[:3, :3] == pytest.approx(np.eye(3), abs=1e-12)
        assert c[:3, :3] == pytest.approx(np.diag([-1.0, -1.0, 1.0]), abs=1e-9)
        middle = np.array([sx * block.width / 4.0, sy * block.depth / 4.0, 0.0, 1.0])
        assert a @ middle == pytest.approx(b @ middle, abs=1e-9)
        assert b @ middle == pytest.approx(c @ middle, abs=1e-9)
        assert sx * (a @ middle)[0] > block.width / 4.0
        assert sy * (a @ middle)[1] > block.depth / 4.0


@given(pieces())
def test_opening_moves_straight_out_and_closing_straight_in(piece):
    paths = np.array([[m[:2, 3] for m in placed(piece, t)] for t in np.linspace(0.0, OPENED, 9)])
    for quarter, (sx, sy) in enumerate(QUARTER_SIGNS):
        outward = paths[:, quarter] * (sx, sy)
        assert (np.diff(outward, axis=0) > 0.0).all()


@given(pieces())
def test_closed_but_not_yet_turned_round_it_is_the_glued_piece_from_behind(piece):
    """Half a turn of each quarter at the bench gives the same solid, seen from behind."""
    block = piece.variant.blank
    about = np.diag([-1.0, -1.0, 1.0, 1.0])
    for move, glued in zip(placed(piece, CLOSED), straight_moves(block.width, block.depth), strict=True):
        assert about @ move == pytest.approx(glued, abs=1e-9)


@given(pieces(), st.floats(CLOSED, 1.0))
def test_once_closed_it_stays_closed(piece, turn):
    first = [np.linalg.inv(placed(piece, CLOSED)[0]) @ m for m in placed(piece, CLOSED)]
    now = [np.linalg.inv(placed(piece, turn)[0]) @ m for m in placed(piece, turn)]
    for a, b in zip(first, now, strict=True):
        assert b == pytest.approx(a, abs=1e-9)


@given(pieces())
def test_glued_the_quarters_do_not_share_wood(piece):
    solids = [to_manifold(q) for q in piece.placed_quarters()]
    for one, other in itertools.combinations(solids, 2):
        assert (one ^ other).volume() < 1e-6 * piece.variant.blank.volume_mm3


@given(pieces())
def test_glued_the_outside_corners_meet_at_the_axis(piece):
    for quarter in piece.placed_quarters():
        away = np.hypot(quarter.vertices[:, 0], quarter.vertices[:, 1])
        for z in (0.0, piece.variant.blank.length):
            assert away[np.abs(quarter.vertices[:, 2] - z) < 1e-9].min() < 1e-9


@pytest.mark.parametrize(("asked", "given_"), [(-1.0, 0.0), (2.0, 1.0)])
def test_beyond_its_ends_the_parameter_is_held(asked, given_):
    piece = build(PLAIN, LIVE_CHORD_MM)
    assert all(map(np.array_equal, placed(piece, asked), placed(piece, given_)))


def test_a_missing_quarter_takes_no_room():
    """A line along the edge leaves two quarters without wood; the others still turn."""
    edge = Cut(nodes=(Node((-30.0, 0.0), "corner"), Node((-30.0, 300.0), "corner")))
    piece = build(Variant("A", Blank(60.0, 60.0, 300.0), front=edge), LIVE_CHORD_MM)
    assert [q.is_empty for q in piece.quarters] == [True, False, False, True]
    for turn in (0.0, 0.2, 0.5, 0.9, 1.0):
        assert np.isfinite(placed(piece, turn)).all()
