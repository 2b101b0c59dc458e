"""Sawing, gluing and turning tapered blanks: volumes, closed solids, rigid moves, faces where they belong."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.measures import moments
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.report import report_object, report_on
from geometry.sawing import QUARTER_SIGNS, to_manifold
from geometry.tapering import frustum, half_depth, half_width, sawing_plane
from geometry.tolerances import LIVE_CHORD_MM
from geometry.turning import GLUED, OPENED, STOPS, TURNED, placements
from tests import strategies

tapered = strategies.tapered_variants()
ideal = strategies.tapered_variants(kerfs=st.just(0.0), sanding=st.just(0.0))
turns = st.floats(0.0, 1.0) | st.sampled_from([t for _, t in STOPS])
CURVED = (Node((0.0, 0.0)), Node((9.0, 130.0)), Node((-7.0, 260.0)), Node((2.0, 400.0)))
OTHER = (Node((-2.0, 0.0)), Node((-6.0, 150.0)), Node((5.0, 290.0)), Node((0.0, 400.0)))
SHAPES = {
    "both narrow": Blank(80.0, 60.0, 400.0, 40.0, 36.0),
    "both widen": Blank(40.0, 36.0, 400.0, 80.0, 60.0),
    "contrary": Blank(80.0, 36.0, 400.0, 40.0, 60.0),
    "only the width": Blank(80.0, 60.0, 400.0, 40.0),
    "only the depth, widening": Blank(60.0, 40.0, 400.0, None, 80.0),
}


def volumes(piece):
    return [moments(q).volume_mm3 for q in piece.quarters]


@pytest.mark.parametrize("support", ["face down", "levelled"])
@pytest.mark.parametrize("shape", SHAPES)
def test_at_kerf_0_the_quarters_hold_exactly_the_frustum(shape, support):
    blank = SHAPES[shape]
    front, side = Cut(0.0, nodes=CURVED), Cut(0.0, nodes=OTHER)
    piece = build(Variant("A", blank, front=front, side=side, taper_support=support))
    w0, d0, w1, d1 = blank.width, blank.depth, blank.width_at_top, blank.depth_at_top
    # textbook: prismatoid, L/6 (A0 + 4 Am + A1)
    prismatoid = 400.0 / 6.0 * (w0 * d0 + (w0 + w1) * (d0 + d1) + w1 * d1)
    assert math.fsum(volumes(piece)) == pytest.approx(prismatoid, rel=1e-12)


@given(ideal)
def test_so_they_do_whatever_the_lines(variant):
    piece = build(variant, LIVE_CHORD_MM)
    assert math.fsum(volumes(piece)) == pytest.approx(variant.blank.volume_mm3, rel=1e-10)
    for one, other in itertools.combinations([to_manifold(q) for q in piece.quarters], 2):
        assert (one ^ other).volume() < 1e-9 * variant.blank.volume_mm3


@given(tapered)
def test_quarters_are_closed_whole_and_lie_within_the_blank(variant):
    piece = build(variant, LIVE_CHORD_MM)
    blank = to_manifold(frustum(variant.blank))
    for quarter in piece.quarters:
        assert quarter.is_closed
        assert (to_manifold(quarter) - blank).volume() < 1e-9 * variant.blank.volume_mm3
    assert piece.glued().is_closed


@given(tapered, turns)
@settings(max_examples=15)
def test_at_every_stage_they_are_closed_solids_of_the_same_volume_and_edges(variant, turn):
    piece = build(variant, LIVE_CHORD_MM)
    for quarter, move in zip(piece.quarters, placements(variant.blank, piece.quarters, turn), strict=True):
        here = quarter.moved(move)
        assert here.is_closed
        assert moments(here).volume_mm3 == pytest.approx(moments(quarter).volume_mm3, rel=1e-9)
        ends = quarter.triangles[:, [0, 1, 2]], quarter.triangles[:, [1, 2, 0]]
        before, after = (
            np.linalg.norm(body.vertices[ends[0]] - body.vertices[ends[1]], axis=2) for body in (quarter, here)
        )
        assert after == pytest.approx(before, abs=1e-9)


@given(tapered)
def test_the_ends_of_the_turning_are_the_sawn_block_and_the_glued_piece(variant):
    piece = build(variant, LIVE_CHORD_MM)
    for move in placements(variant.blank, piece.quarters, 0.0):
        assert move == pytest.approx(np.eye(4), abs=1e-12)
    assert all(map(np.array_equal, placements(variant.blank, piece.quarters, GLUED), piece.glue_moves()))


@given(tapered, turns)
def test_the_moves_are_rigid_and_go_without_a_jump(variant, turn):
    piece = build(variant, LIVE_CHORD_MM)
    blank, step = variant.blank, 1e-5
    reach = max(blank.width, blank.depth, blank.width_at_top, blank.depth_at_top, blank.length)
    now, soon = (placements(blank, piece.quarters, min(t, 1.0)) for t in (turn, turn + step))
    for a, b in zip(now, soon, strict=True):
        assert a[:3, :3] @ a[:3, :3].T == pytest.approx(np.eye(3), abs=1e-12)
        assert np.linalg.det(a[:3, :3]) == pytest.approx(1.0)
        assert np.abs(b - a).max() < 60.0 * step * reach
    for a, b in zip(placements(blank, piece.quarters, 1.0 - 1e-9), piece.glue_moves(), strict=True):
        assert a == pytest.approx(b, abs=1e-6)


@given(tapered, st.floats(OPENED, TURNED))
def test_opened_quarters_turn_clear_of_one_another(variant, turn):
    piece = build(variant, LIVE_CHORD_MM)
    moved = zip(piece.quarters, placements(variant.blank, piece.quarters, turn), strict=True)
    bodies = [to_manifold(q.moved(m)) for q, m in moved]
    for one, other in itertools.combinations(bodies, 2):
        assert one.min_gap(other, 1.0) > 0.0


@given(tapered)
@settings(max_examples=20)
def test_the_glued_piece_loses_only_what_overlaps(variant):
    """Where the corners are wider than square the quarters run into one another by a thin wedge, no more."""
    piece = build(variant, LIVE_CHORD_MM)
    blank = variant.blank
    report = report_object(report_on(piece))
    lost = math.fsum(volumes(piece)) - report["volume_mm3"]
    gap = report["taper"]["gap_mm"]
    widest = max(blank.width, blank.depth, blank.width_at_top, blank.depth_at_top)
    # eight flats, each at most as wide as the blank: half the gap at its far edge, nothing at the axis
    assert -1e-6 * blank.volume_mm3 <= lost <= 4.0 * widest * gap * blank.length * 1.02 + 1e-6 * blank.volume_mm3
    if report["taper"]["dihedral_error_deg"] <= 0.0:
        assert lost == pytest.approx(0.0, abs=1e-7 * blank.volume_mm3)
    assert report["watertight"]


@given(ideal)
@settings(max_examples=20)
def test_the_sawn_faces_hold_the_drawn_line_and_lie_along_the_blade(variant):
    """Every vertex of a sawn face, seen along the blade, lies on the line as it was projected."""
    piece = build(variant, LIVE_CHORD_MM)
    plane = sawing_plane(variant.blank, "front", variant.taper_support)
    path = plane.line(piece.front.line)
    from shapely import LineString, points  # only to measure with

    from geometry.sampling import sample

    fine = sample(path, 0.005).points
    start = fine[0] - 2000.0 * path.start_direction
    end = fine[-1] + 2000.0 * path.end_direction
    seen = LineString(np.vstack([start, fine, end]))
    one, two = piece.quarters[0], piece.quarters[1]
    # what quarters 1 and 2 share is the front cut between them
    shared = one.vertices[(np.abs(one.vertices[:, None] - two.vertices[None]).max(axis=2) < 1e-7).any(axis=1)]
    away = LineString.distance
    assert len(shared) > 3
    for place in shared:
        at = (float(place @ plane.frame.across), float(place @ plane.frame.up))
        assert away(seen, points([at])[0]) < LIVE_CHORD_MM + 0.01


def test_with_a_kerf_the_slot_is_as_wide_square_to_the_blade():
    blank = SHAPES["both narrow"]
    for support in ("face down", "levelled"):
        piece = build(Variant("A", blank, front=Cut(1.2), side=Cut(0.8), sanding=0.25, taper_support=support))
        # straight cuts up the middle: the slot is kerf and both allowances wide everywhere
        for number, other, axis, width in ((0, 1, 0, 1.7), (0, 3, 1, 1.3)):
            sx = QUARTER_SIGNS[number]
            assert sx == (-1, -1)
            near = piece.quarters[number].vertices[:, axis].max()
            far = piece.quarters[other].vertices[:, axis].min()
            assert far - near == pytest.approx(width, abs=1e-9)


@given(tapered)
@settings(max_examples=15)
def test_both_ways_of_lying_on_the_table_agree_where_no_face_leans(variant):
    blank = replace(variant.blank, top_depth=None)
    down, level = (build(replace(variant, blank=blank, taper_support=s), 0.05) for s in ("face down", "levelled"))
    # the front cut is the same, the side cut is not
    for pair in ((0, 3), (1, 2)):
        sums = [sum(moments(p.quarters[i]).volume_mm3 for i in pair) for p in (down, level)]
        assert sums[0] == pytest.approx(sums[1], rel=2e-2)
    assert down.front.bend == level.front.bend


def test_a_node_on_the_face_is_where_the_blade_goes_in():
    """At kerf 0 the quarters part on the drawn face exactly at the drawn places."""
    blank = SHAPES["both narrow"]
    piece = build(Variant("A", blank, front=Cut(0.0, nodes=CURVED), side=Cut(0.0, nodes=OTHER)))
    vertices = piece.quarters[0].vertices
    on_front = vertices[np.abs(vertices[:, 1] + half_depth(blank, vertices[:, 2])) < 1e-9]
    for u, z in ((9.0, 130.0), (-7.0, 260.0)):
        assert np.linalg.norm(on_front - (u, -half_depth(blank, z), z), axis=1).min() < 1e-7
    vertices = piece.quarters[1].vertices
    on_right = vertices[np.abs(vertices[:, 0] - half_width(blank, vertices[:, 2])) < 1e-9]
    for u, z in ((-6.0, 150.0), (5.0, 290.0)):
        assert np.linalg.norm(on_right - (half_width(blank, z), u, z), axis=1).min() < 1e-7
