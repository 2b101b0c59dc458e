"""Tapered blanks: slopes, sawing planes, how quarters stand and what that costs, against constructions by hand."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.lines import line_of, line_through
from geometry.piece import build
from geometry.project import CUT_NAMES, Blank, Cut, Node, Variant
from geometry.sampling import sample
from geometry.sawing import QUARTER_SIGNS, to_manifold
from geometry.tapering import (
    STEEPEST_FACE_DOWN,
    blank_corners,
    dihedral_error,
    frustum,
    glue_moves,
    half_depth,
    half_width,
    is_too_steep,
    sawing_plane,
    seam_step,
    slopes,
    stood,
    taper_cost,
    true_size,
)
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies
from tests.strategies import straight_moves

BOTH = Blank(80.0, 60.0, 400.0, 40.0, 36.0)  # k = 0.05, m = 0.03
ONE_WAY = Blank(80.0, 60.0, 400.0, 40.0)
WIDENING = Blank(40.0, 36.0, 400.0, 80.0, 60.0)
CONTRARY = Blank(80.0, 36.0, 400.0, 40.0, 60.0)
CURVED = (Node((0.0, 0.0)), Node((9.0, 130.0)), Node((-7.0, 260.0)), Node((2.0, 400.0)))

blanks = strategies.tapered_blanks()


def unit(v):
    return np.asarray(v, dtype=float) / np.linalg.norm(v)


def faces(blank):
    """Outward unit normals of the four long faces, from the blank's corners: +x, +y, -x, -y."""
    c = blank_corners(blank)
    # corners 0 to 3 are front left, front right, back right, back left; 4 to 7 above them
    quads = {"+x": (1, 2, 5), "+y": (2, 3, 6), "-x": (3, 0, 7), "-y": (0, 1, 4)}
    return {name: unit(np.cross(c[b] - c[a], c[up] - c[a])) for name, (a, b, up) in quads.items()}


def test_slopes_and_half_sizes():
    assert (slopes(BOTH).k, slopes(BOTH).m) == pytest.approx((0.05, 0.03))
    assert (slopes(WIDENING).k, slopes(WIDENING).m) == pytest.approx((-0.05, -0.03))
    z = np.array([0.0, 100.0, 400.0])
    assert half_width(BOTH, z) == pytest.approx([40.0, 35.0, 20.0])
    assert half_depth(BOTH, z) == pytest.approx([30.0, 27.0, 18.0])
    assert slopes(Blank(50.0, 50.0, 300.0)) == slopes(Blank(50.0, 50.0, 300.0, 50.0, 50.0))


@given(blanks)
def test_the_frustum_is_closed_and_holds_what_a_frustum_holds(blank):
    body = frustum(blank)
    assert body.is_closed
    assert to_manifold(body).volume() == pytest.approx(blank.volume_mm3, rel=1e-12)


# ---------------------------------------------------------------- sawing planes


@given(blanks, st.sampled_from(CUT_NAMES))
def test_face_down_the_blade_is_square_to_the_face_on_the_table(blank, cut):
    plane = sawing_plane(blank, cut, "face down")
    far = faces(blank)["+y" if cut == "front" else "-x"]
    assert plane.frame.blade == pytest.approx(far, abs=1e-12)


@given(blanks, st.sampled_from(CUT_NAMES), st.sampled_from(["face down", "levelled"]), st.data())
def test_the_sawing_plane_is_the_drawn_curve_in_space_seen_along_the_blade(blank, cut, support, data):
    u, z = data.draw(st.floats(-30.0, 30.0)), data.draw(st.floats(0.0, blank.length))
    plane = sawing_plane(blank, cut, support)
    frame = np.stack([plane.frame.across, plane.frame.up, plane.frame.blade])
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
    place = np.array([u, -half_depth(blank, z), z] if cut == "front" else [half_width(blank, z), u, z])
    s, t = place @ plane.frame.across, place @ plane.frame.up
    on_plane = plane.line(line_through((Node((u, z), "corner"), Node((u + 1.0, z + 50.0), "corner")))).start
    assert on_plane == pytest.approx((s, t), abs=1e-9)
    assert plane.drawn((s, t)) == pytest.approx((u, z), abs=1e-9)
    # along the blade from there the slot meets the face on the table
    k, m = slopes(blank).k, slopes(blank).m
    if support == "face down":
        higher = 2 * m * half_depth(blank, z) / (1 + m * m) if cut == "front" else (
            2 * k * half_width(blank, z) / (1 + k * k)
        )  # fmt: skip
    else:
        higher = 0.0
    top = z + higher
    there = np.array([u, half_depth(blank, top), top] if cut == "front" else [-half_width(blank, top), u, top])
    assert np.cross(there - place, plane.frame.blade) == pytest.approx(np.zeros(3), abs=1e-8)


def test_levelled_the_blade_is_square_to_the_axis_and_the_drawing_is_true():
    line = line_through(CURVED)
    for cut, blade in (("front", (0.0, 1.0, 0.0)), ("side", (-1.0, 0.0, 0.0))):
        plane = sawing_plane(BOTH, cut, "levelled")
        assert plane.frame.blade == pytest.approx(blade, abs=1e-15)
        assert np.array_equal(plane.line(line).pieces, line.pieces)


def test_a_face_that_does_not_lean_is_sawn_the_same_either_way():
    # the depth does not change, so the back face is upright
    down, level = (sawing_plane(ONE_WAY, "front", s) for s in ("face down", "levelled"))
    assert down.frame.blade == pytest.approx(level.frame.blade, abs=1e-15)
    assert (down.start, down.stretch) == (level.start, level.stretch) == (0.0, 1.0)


@given(blanks, st.sampled_from(CUT_NAMES))
def test_the_face_true_to_size_is_what_a_ruler_on_it_measures(blank, cut):
    line = line_through((Node((-3.0, 20.0), "corner"), Node((4.0, 150.0), "corner")))
    flat = true_size(line, blank, cut)
    (u0, z0), (u1, z1) = line.start, line.end
    a, b = (
        np.array([u, -half_depth(blank, z), z] if cut == "front" else [half_width(blank, z), u, z])
        for u, z in ((u0, z0), (u1, z1))
    )
    assert np.hypot(*(flat.end - flat.start)) == pytest.approx(np.linalg.norm(b - a), rel=1e-12)


@pytest.mark.parametrize("support", ["face down", "levelled"])
def test_radius_and_length_are_of_the_cut_as_sawn_and_the_face_as_it_is(support):
    variant = Variant("A", BOTH, front=Cut(0.0, nodes=CURVED), taper_support=support)
    piece = build(variant)
    drawn = line_of(variant.front, 400.0)
    # an independent length: the drawn curve in space, in many short steps
    points = sample(drawn, 1e-4).points
    space = np.stack([points[:, 0], -half_depth(BOTH, points[:, 1]), points[:, 1]], axis=1)
    assert piece.front.length_mm == pytest.approx(np.linalg.norm(np.diff(space, axis=0), axis=1).sum(), rel=1e-5)
    # an independent radius: three near points of the curve seen along the blade
    plane = sawing_plane(BOTH, "front", support)
    near = np.argmin(np.hypot(*(points - piece.front.bend.at).T))
    rows = space[[near - 4, near, near + 4]]
    flat = np.stack([rows @ plane.frame.across, rows @ plane.frame.up], axis=1)
    a, b, c = np.linalg.norm(np.roll(flat, 1, axis=0) - flat, axis=1)
    area = np.linalg.det(np.column_stack([flat, np.ones(3)])) / 2.0
    assert piece.front.bend.radius_mm == pytest.approx(a * b * c / (4.0 * abs(area)), rel=2e-2)


def test_too_steep_for_its_face_it_is_sawn_levelled_and_said_so():
    steep = Blank(100.0, 60.0, 40.0, 20.0)
    assert slopes(steep).k == 1.0 > STEEPEST_FACE_DOWN
    assert (is_too_steep(steep, "front"), is_too_steep(steep, "side")) == (False, True)
    down, level = (sawing_plane(steep, "side", s) for s in ("face down", "levelled"))
    assert np.array_equal(down.frame.blade, level.frame.blade)
    assert seam_step(line_through(CURVED), steep, "side", "face down")[0] == 0.0


# ---------------------------------------------------------------- how quarters stand


@given(blanks)
def test_the_moves_are_rigid_and_bring_the_corner_edges_upright_onto_the_axis(blank):
    corners = blank_corners(blank)
    for i, (move, (sx, sy)) in enumerate(zip(glue_moves(blank), QUARTER_SIGNS, strict=True)):
        turn = move[:3, :3]
        assert turn @ turn.T == pytest.approx(np.eye(3), abs=1e-12)
        assert np.linalg.det(turn) == pytest.approx(1.0)
        foot, top = (move[:3, :3] @ corners[j] + move[:3, 3] for j in (i, i + 4))
        assert foot == pytest.approx(np.zeros(3), abs=1e-9)
        assert top == pytest.approx([0.0, 0.0, np.linalg.norm(corners[i + 4] - corners[i])], abs=1e-9)
        # its two flats lean by the same angle away from square, one to either side of the bisector
        normals = faces(blank)
        a, b = turn @ normals["+x" if sx > 0 else "-x"], turn @ normals["+y" if sy > 0 else "-y"]
        assert (a[2], b[2]) == pytest.approx((0.0, 0.0), abs=1e-12)
        inward = np.array([-sx, -sy, 0.0]) / math.sqrt(2.0)
        assert a @ inward == pytest.approx(b @ inward, abs=1e-12)
        # seen from outside its own quadrant: nothing was turned over
        assert a @ (sx, 0.0, 0.0) > 0.5
        assert b @ (0.0, sy, 0.0) > 0.5


def test_straight_stock_moves_exactly_as_before():
    for blank in (Blank(60.0, 44.0, 300.0), Blank(60.0, 44.0, 300.0, 60.0, 44.0)):
        assert all(map(np.array_equal, glue_moves(blank), straight_moves(60.0, 44.0)))


@given(blanks)
def test_the_dihedral_error_is_that_of_the_faces_themselves(blank):
    normals = faces(blank)
    for one, other in (("+x", "+y"), ("+y", "-x"), ("-x", "-y"), ("-y", "+x")):
        interior = math.pi - math.acos(float(normals[one] @ normals[other]))
        assert interior - math.pi / 2.0 == pytest.approx(dihedral_error(blank), abs=1e-9)
    k, m = slopes(blank).k, slopes(blank).m
    closed = math.asin(k * m / math.sqrt((1 + k * k) * (1 + m * m)))
    assert dihedral_error(blank) == pytest.approx(closed, abs=1e-12)
    assert math.copysign(1.0, dihedral_error(blank)) == math.copysign(1.0, k * m)


@pytest.mark.parametrize(("blank", "sign"), [(BOTH, 1), (WIDENING, 1), (CONTRARY, -1), (ONE_WAY, 0)])
def test_positive_when_both_narrow_or_widen_negative_when_contrary_none_one_way(blank, sign):
    assert np.sign(dihedral_error(blank)) == sign


@given(strategies.tapered_variants(ways=st.sampled_from(["width", "depth"])))
def test_a_one_way_taper_closes_exactly(variant):
    piece = build(variant, LIVE_CHORD_MM)
    cost = taper_cost(variant.blank, piece.quarters)
    assert (cost.dihedral_error_deg, cost.gap_mm) == (0.0, 0.0)
    solids = [to_manifold(q) for q in piece.placed_quarters()]
    for i, one in enumerate(solids):
        for other in solids[i + 1 :]:
            assert (one ^ other).volume() < 1e-9 * variant.blank.volume_mm3
    # every flat lies on a glue plane: the blank's flats do, wherever they were sawn through
    corners = blank_corners(variant.blank)
    for i, move in enumerate(piece.glue_moves()):
        here = corners @ move[:3, :3].T + move[:3, 3]
        for face in ((0, 1, 4, 5), (1, 2, 5, 6), (2, 3, 6, 7), (3, 0, 7, 4)):
            if i in face:
                away = np.abs(here[list(face)])
                assert min(away[:, 0].max(), away[:, 1].max()) < 1e-9


@given(strategies.tapered_variants(ways=st.just("both")))
def test_the_gap_is_the_error_across_the_widest_flat(variant):
    """By hand: the two flats of a joint, moved, at the furthest place from the axis a flat of the blank reaches."""
    blank = variant.blank
    cost = taper_cost(blank, build(variant, LIVE_CHORD_MM).quarters)
    widest = max(blank.width, blank.depth, blank.width_at_top, blank.depth_at_top) / 2.0
    # quarters 1 and 2 meet in the plane x = 0 with their flats x = -a and x = +a
    normals, moves = faces(blank), glue_moves(blank)
    one, two = moves[0][:3, :3] @ normals["-x"], moves[1][:3, :3] @ normals["+x"]
    opens = math.asin(float(np.linalg.norm(np.cross(one, two))))
    assert cost.gap_mm == pytest.approx(widest * math.tan(opens), rel=1e-6, abs=1e-7)


def test_the_gap_where_the_error_is_in_the_table():
    # facts of the trade, worked out there: 1 in 20 both ways at 35 mm from the axis, 0.143° and 0.087 mm per joint
    blank = Blank(70.0, 70.0, 350.0, 35.0, 35.0)
    cost = taper_cost(blank, build(Variant("A", blank)).quarters)
    assert cost.dihedral_error_deg == pytest.approx(0.143, abs=5e-4)
    assert cost.gap_mm == pytest.approx(0.087, abs=5e-4)


def test_the_ends_are_out_of_square_by_the_lean_of_the_quarters():
    # by hand: uncut quarters at kerf 0. The foot's end is square to the axis, and its quarter is turned by the lean
    # of its corner edge, so that across the diagonal of a quarter it rises by the diagonal's share of that lean.
    blank = Blank(80.0, 80.0, 400.0, 40.0, 40.0)
    piece = build(Variant("A", blank, front=Cut(0.0), side=Cut(0.0)))
    lean = math.atan(math.hypot(0.05, 0.05))
    assert taper_cost(blank, piece.quarters).end_trim_mm == pytest.approx(math.hypot(40.0, 40.0) * math.sin(lean))
    one_way = build(Variant("A", ONE_WAY, front=Cut(0.0), side=Cut(0.0)))
    assert taper_cost(ONE_WAY, one_way.quarters).end_trim_mm == pytest.approx(40.0 * math.sin(math.atan(0.05)))
    straight = build(Variant("A", Blank(80.0, 80.0, 400.0)))
    assert taper_cost(straight.variant.blank, straight.quarters).end_trim_mm == 0.0


@given(blanks)
def test_stood_quarters_share_their_glue_faces_but_keep_their_shape(blank):
    body = frustum(blank)
    edges = body.vertices[body.triangles][:, [0, 1, 2]] - body.vertices[body.triangles][:, [1, 2, 0]]
    for move in glue_moves(blank):
        placed = stood(body, move)
        now = placed.vertices[placed.triangles][:, [0, 1, 2]] - placed.vertices[placed.triangles][:, [1, 2, 0]]
        assert np.linalg.norm(now, axis=2) == pytest.approx(np.linalg.norm(edges, axis=2), abs=1e-7)


# ---------------------------------------------------------------- the step at the seams, face down


def test_the_seams_step_by_twice_the_lean_times_the_slope_of_the_line():
    # by hand: a straight slant of 20 in 400 on the front face; at the foot 2 m b / (1 + m²) higher
    slant = line_through((Node((-10.0, 0.0), "corner"), Node((10.0, 400.0), "corner")))
    step, at = seam_step(slant, BOTH, "front", "face down")
    assert step == pytest.approx(20.0 / 400.0 * 2.0 * 0.03 * 30.0 / (1.0 + 0.03**2))
    assert at == pytest.approx((-10.0, 0.0))
    assert seam_step(slant, BOTH, "side", "face down")[0] == pytest.approx(0.05 * 2 * 0.05 * 40.0 / (1 + 0.05**2))
    assert seam_step(slant, BOTH, "front", "levelled")[0] == 0.0
    assert seam_step(slant, ONE_WAY, "front", "face down")[0] == 0.0
    upright = line_through((Node((3.0, 0.0), "corner"), Node((3.0, 400.0), "corner")))
    assert seam_step(upright, BOTH, "front", "face down")[0] == 0.0


def test_the_step_is_there_in_the_glued_solid():
    """The outermost places of the two quarters of a +x seam, just above and below the glue plane, at one height."""
    slant = (Node((-10.0, 0.0), "corner"), Node((10.0, 400.0), "corner"))
    for blank, wanted in ((BOTH, 0.05 * 2 * 0.03 / (1 + 0.03**2)), (ONE_WAY, 0.0)):
        piece = build(Variant("A", blank, front=Cut(0.0, nodes=slant), side=Cut(0.0)))
        quarters = [to_manifold(q) for q in piece.placed_quarters()]
        z = 150.0
        reach = []
        for number, y in ((0, 1e-4), (3, -1e-4)):  # quarters 1 and 4 carry the left region to +x
            away = 0.05  # clear of the wedge in which flats that are not square overlap
            section = quarters[number].rotate((0.0, 0.0, 0.0)).slice(z).to_polygons()
            points = np.concatenate(section)
            near = points[np.abs(points[:, 1] - y) < away]
            reach.append(near[:, 0].max())
        half = float(half_depth(blank, z))
        assert abs(reach[0] - reach[1]) == pytest.approx(wanted * half, abs=0.02)
