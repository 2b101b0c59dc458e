"""Quarters and piece: closed, disjoint, nothing lost; one answer by solids, by areas and by slices."""

import math

import manifold3d
import numpy as np
import pytest
import shapely
from hypothesis import example, given
from hypothesis import strategies as st

from geometry.measures import cavalieri_volume, moments
from geometry.piece import Piece, build
from geometry.prisms import STRAIGHT, prism
from geometry.project import Blank, Cut, Variant
from geometry.sawing import QUARTER_SIGNS, bodies_of, intersect_profiles, to_manifold
from geometry.solids import Solid
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies
from tests.geometry.test_lines import nodes


def volume(solid: Solid) -> float:
    return moments(solid).volume_mm3


def by_manifold(solid: Solid) -> float:
    return to_manifold(solid).volume()


def built(variant: Variant) -> Piece:
    return build(variant, LIVE_CHORD_MM)


@given(strategies.variants())
def test_quarters_are_closed_whole_and_clear_of_one_another(variant):
    piece = built(variant)
    for quarter in piece.quarters:
        assert quarter.is_closed
        assert len(bodies_of(quarter)) == 1
        assert by_manifold(quarter) == pytest.approx(volume(quarter), rel=1e-9)
    solids = [to_manifold(q) for q in piece.quarters]
    for i in range(4):
        for j in range(i):
            assert (solids[i] ^ solids[j]).volume() < 1e-6 * variant.blank.volume_mm3


@given(strategies.variants())
def test_quarters_and_slots_add_up_to_the_blank(variant):
    """The slots are built on their own, from the faces: two slabs of the blank and what both share only once."""
    piece = built(variant)
    a, b, length = variant.blank.width / 2.0, variant.blank.depth / 2.0, variant.blank.length
    blank = manifold3d.Manifold.cube((2 * a, 2 * b, length)).translate((-a, -b, 0.0))
    gone = manifold3d.Manifold()
    for name in ("front", "side"):
        face = piece.cut(name).face
        whole = shapely.box(-face.half, 0.0, face.half, length)
        slot = shapely.difference(whole, shapely.union(face.left, face.right))
        # overlay leaves hairs of rounding along the ideal cut
        slot = shapely.union_all([p for p in shapely.get_parts(slot) if p.area > 1e-9])
        reach = b if name == "front" else a
        gone += prism(slot, STRAIGHT[name], -reach, reach)
    total = math.fsum(volume(q) for q in piece.quarters) + (gone ^ blank).volume()
    assert total == pytest.approx(variant.blank.volume_mm3, rel=1e-7)
    # and nothing lies outside the blank
    for quarter in piece.quarters:
        assert (np.abs(quarter.vertices) <= np.array([a, b, length]) + 1e-9).all()
        assert quarter.vertices[:, 2].min() >= -1e-9


@given(strategies.variants())
def test_each_quarter_is_where_its_number_says(variant):
    # 1 front left, 2 front right, 3 back right, 4 back left
    piece = built(variant)
    a, b = variant.blank.width / 2.0, variant.blank.depth / 2.0
    for (sx, sy), quarter in zip(QUARTER_SIGNS, piece.quarters, strict=True):
        corner = quarter.vertices[:, :2] * (sx, sy)
        for z in (0.0, variant.blank.length):
            at_end = np.abs(quarter.vertices[:, 2] - z) < 1e-9
            assert np.abs(corner[at_end] - (a, b)).sum(axis=1).min() < 1e-9
    assert QUARTER_SIGNS == ((-1, -1), (1, -1), (1, 1), (-1, 1))


@given(strategies.variants(kerfs=st.just(0.0), sanding=st.just(0.0)))
def test_with_the_ideal_cut_the_piece_has_the_volume_of_the_blank(variant):
    piece = built(variant)
    assert volume(piece.glued()) == pytest.approx(variant.blank.volume_mm3, rel=1e-9)
    assert math.fsum(volume(q) for q in piece.quarters) == pytest.approx(variant.blank.volume_mm3, rel=1e-9)


@given(strategies.variants())
def test_the_piece_is_the_union_of_the_moved_quarters(variant):
    piece = built(variant)
    glued = to_manifold(piece.glued())
    moved = [to_manifold(q) for q in piece.placed_quarters()]
    union = manifold3d.Manifold.batch_boolean(moved, manifold3d.OpType.Add)
    assert union.volume() == pytest.approx(glued.volume(), rel=1e-7)
    # in the same place, not only as much
    assert (union - glued).volume() < 1e-6 * glued.volume()
    assert (glued - union).volume() < 1e-6 * glued.volume()
    assert math.fsum(volume(q) for q in piece.quarters) == pytest.approx(glued.volume(), rel=1e-9)


@given(strategies.variants(), st.lists(st.floats(0.002, 0.998), min_size=3, max_size=3))
def test_solids_agree_with_plane_geometry(variant, where):
    """One answer three ways: the solid's triangles, Cavalieri on the profiles, shapely slices of both."""
    piece = built(variant)
    glued = piece.glued()
    assert glued.is_closed
    assert volume(glued) == pytest.approx(cavalieri_volume(piece.front.widths, piece.side.widths), rel=1e-9)
    for share in where:
        z = share * variant.blank.length
        if min(np.abs(piece.front.widths.z - z).min(), np.abs(piece.side.widths.z - z).min()) < 1e-4:
            continue  # at a level edge of the profile a slice is not defined
        sizes = []
        for cut in (piece.front, piece.side):
            west, _, east, _ = cut.profile.bounds
            level = shapely.LineString([(west - 1, z), (east + 1, z)])
            sizes.append(shapely.intersection(cut.profile, level).length)
        area = to_manifold(glued).slice(z).area()
        assert area == pytest.approx(sizes[0] * sizes[1], rel=1e-6)


@given(strategies.variants())
def test_the_piece_lies_within_both_profiles_and_fills_them(variant):
    piece = built(variant)
    glued = piece.glued()
    for cut, axis in ((piece.front, 0), (piece.side, 1)):
        shadow = shapely.points(glued.vertices[:, [axis, 2]])
        assert shapely.distance(cut.profile, shadow).max() < 1e-6
        # the solid's edges seen from there cover the outline, so that it is no smaller
        edges = glued.vertices[:, [axis, 2]][np.unique(np.sort(_edges(glued), axis=1), axis=0)]
        seen = shapely.union_all(shapely.linestrings(edges[np.hypot(*(edges[:, 0] - edges[:, 1]).T) > 1e-9]))
        outline = shapely.segmentize(shapely.boundary(cut.profile), 5.0)
        assert shapely.distance(shapely.points(shapely.get_coordinates(outline)), seen).max() < 1e-6


def _edges(solid: Solid) -> np.ndarray:
    return solid.triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)


# ---------------------------------------------------------------- wild designs


@given(strategies.wild_variants())
@example(
    Variant(  # touches itself: a hair of wood held together in a point
        "touching",
        Blank(6.38, 25.27, 5.0),
        front=Cut(0.9, nodes=nodes((0.54, 5.0), (-3.19, 0.0), (-0.92, 5.0))),
        side=Cut(0.9, nodes=nodes((0.54, 5.0), (-0.92, 5.0))),
        sanding=0.9,
    )
)
@example(
    Variant(  # a kerf of almost nothing, on a line that runs back on itself
        "hairline",
        Blank(18.04, 67.48, 329.57),
        front=Cut(5e-38, nodes=nodes((9.02, 0.0), (-9.02, 44.32), (0.0, -34.71), (0.0, -5.34), kinds="cscs")),
    )
)
def test_however_wild_no_wood_is_lost_or_made(variant):
    piece = built(variant)
    glued, whole = piece.glued(), variant.blank.volume_mm3
    for quarter in piece.quarters:
        assert quarter.is_empty or quarter.is_closed
    assert glued.is_empty or glued.is_closed
    quarters = math.fsum(volume(q) for q in piece.quarters)
    assert volume(glued) == pytest.approx(quarters, abs=1e-5 * whole)
    assert cavalieri_volume(piece.front.widths, piece.side.widths) == pytest.approx(quarters, abs=1e-5 * whole)
    assert quarters <= whole * (1 + 1e-9)
    if variant.front.kerf == variant.side.kerf == variant.sanding == 0.0:
        assert quarters == pytest.approx(whole, rel=1e-5)


# ---------------------------------------------------------------- the same thing seen otherwise


def mirrored(cut: Cut) -> Cut:
    return Cut(cut.kerf, cut.blade, tuple(type(n)((-n.at[0], n.at[1]), n.kind, n.tangent) for n in cut.nodes))


def scaled(variant: Variant, factor: float) -> Variant:
    def cut(c: Cut) -> Cut:
        moved = tuple(type(n)((factor * n.at[0], factor * n.at[1]), n.kind, n.tangent) for n in c.nodes)
        return Cut(factor * c.kerf, c.blade, moved)

    blank = Blank(*(factor * s for s in (variant.blank.width, variant.blank.depth, variant.blank.length)))
    return Variant("scaled", blank, front=cut(variant.front), side=cut(variant.side), sanding=factor * variant.sanding)


def measures(solid: Solid):
    m = moments(solid)
    return m.volume_mm3, m.centre_mm, m.inertia_mm5


@given(strategies.variants())
def test_mirrored_left_and_right_change_places(variant):
    piece = built(variant)
    other = built(
        Variant("m", variant.blank, front=mirrored(variant.front), side=variant.side, sanding=variant.sanding)
    )
    for mine, its in ((0, 1), (1, 0), (2, 3), (3, 2)):
        assert volume(piece.quarters[mine]) == pytest.approx(volume(other.quarters[its]), rel=1e-6)
    (v0, c0, i0), (v1, c1, i1) = measures(piece.glued()), measures(other.glued())
    assert v1 == pytest.approx(v0, rel=1e-6)
    assert c1 == pytest.approx(c0 * (-1, 1, 1), abs=1e-3)
    flip = np.diag([-1.0, 1.0, 1.0])
    assert np.allclose(i1, flip @ i0 @ flip, rtol=1e-4, atol=1e-5 * np.abs(i0).max())


@given(strategies.variants())
def test_with_the_faces_changed_x_and_y_change_places(variant):
    block = variant.blank
    swapped = Variant(
        "s", Blank(block.depth, block.width, block.length), front=variant.side, side=variant.front,
        sanding=variant.sanding,
    )  # fmt: skip
    piece, other = built(variant), built(swapped)
    for mine, its in ((0, 0), (1, 3), (2, 2), (3, 1)):
        assert volume(piece.quarters[mine]) == pytest.approx(volume(other.quarters[its]), rel=1e-9)
    (v0, c0, i0), (v1, c1, i1) = measures(piece.glued()), measures(other.glued())
    assert v1 == pytest.approx(v0, rel=1e-9)
    assert c1 == pytest.approx(c0[[1, 0, 2]], abs=1e-6)
    assert np.allclose(i1, i0[np.ix_([1, 0, 2], [1, 0, 2])], rtol=1e-7, atol=1e-7 * np.abs(i0).max())


@given(strategies.variants(blank=strategies.blanks(most=100.0)), st.sampled_from([0.5, 1.5, 2.0]))
def test_scaled_everything_scales(variant, factor):
    if factor * min(variant.blank.width, variant.blank.depth) < 5.0:
        return
    piece, other = build(variant, LIVE_CHORD_MM), build(scaled(variant, factor), factor * LIVE_CHORD_MM)
    (v0, c0, i0), (v1, c1, i1) = measures(piece.glued()), measures(other.glued())
    assert v1 == pytest.approx(factor**3 * v0, rel=1e-5)
    assert c1 == pytest.approx(factor * c0, abs=2e-3 * factor)
    assert np.allclose(i1, factor**5 * i0, rtol=1e-4, atol=1e-5 * factor**5 * np.abs(i0).max())


@given(strategies.variants())
def test_upside_down_the_piece_stands_on_its_head(variant):
    length = variant.blank.length

    def turned(cut: Cut) -> Cut:
        # turned over about the y axis: x and z change sign, so that front stays front
        return Cut(
            cut.kerf, None, tuple(type(n)((-n.at[0], length - n.at[1]), n.kind, n.tangent) for n in cut.nodes[::-1])
        )

    def flipped(cut: Cut) -> Cut:
        return Cut(
            cut.kerf, None, tuple(type(n)((n.at[0], length - n.at[1]), n.kind, n.tangent) for n in cut.nodes[::-1])
        )

    other = built(
        Variant("u", variant.blank, front=turned(variant.front), side=flipped(variant.side), sanding=variant.sanding)
    )
    (v0, c0, _), (v1, c1, _) = measures(built(variant).glued()), measures(other.glued())
    assert v1 == pytest.approx(v0, rel=2e-4)
    assert c1 == pytest.approx(np.array([-c0[0], c0[1], length - c0[2]]), abs=0.1)


# ---------------------------------------------------------------- known figures


def test_straight_cuts_leave_four_plain_posts():
    piece = built(Variant("A", Blank(60.0, 50.0, 400.0), front=Cut(1.0), side=Cut(2.0), sanding=0.25))
    # 1.5 is gone of the width and 2.5 of the depth
    for quarter in piece.quarters:
        assert volume(quarter) == pytest.approx(29.25 * 23.75 * 400.0, rel=1e-12)
        assert len(quarter.vertices) == 8
    assert volume(piece.glued()) == pytest.approx(58.5 * 47.5 * 400.0, rel=1e-12)


def test_a_slanting_cut_gives_wedges_of_known_size():
    # the front line runs from -10 to +10: quarters are right prisms over trapezia
    piece = built(
        Variant("A", Blank(60.0, 50.0, 400.0), front=Cut(0.0, nodes=nodes((-10, 0), (10, 400))), side=Cut(0.0))
    )
    for quarter in piece.quarters:
        assert volume(quarter) == pytest.approx(30.0 * 25.0 * 400.0, rel=1e-12)
    foot = piece.quarters[0].vertices[piece.quarters[0].vertices[:, 2] == 0.0]
    assert foot[:, 0].max() == pytest.approx(-10.0)


def test_hooks_at_one_height_of_both_faces_part_a_quarter():
    """Where a tongue of one face and a tongue of the other cross, wood is left that nothing holds."""

    def hook(higher):
        places = ((-10, 0), (-10, 220 + higher), (0, 220 + higher), (0, 180 + higher), (10, 180 + higher), (10, 400))
        return Cut(0.0, nodes=nodes(*places, kinds="cccccc"))

    piece = built(Variant("A", Blank(80.0, 80.0, 400.0), front=hook(0), side=hook(20)))
    assert [len(bodies_of(q)) for q in piece.quarters] == [1, 2, 1, 1]
    whole, loose = bodies_of(piece.quarters[1])
    # both tongues are 10 wide; they share the heights from 200 to 220
    assert volume(loose) == pytest.approx(10.0 * 10.0 * 20.0, rel=1e-9)
    assert volume(whole) == pytest.approx(588_000.0, rel=1e-9)
    assert volume(piece.glued()) == pytest.approx(80.0 * 80.0 * 400.0, rel=1e-9)


def test_a_face_without_wood_gives_an_empty_piece():
    # a kerf and sanding wider than the blank
    piece = built(Variant("A", Blank(6.0, 60.0, 100.0), front=Cut(5.0), sanding=5.0))
    assert all(q.is_empty for q in piece.quarters)
    assert piece.glued().is_empty


def test_profiles_that_miss_one_another_have_no_common_part():
    low, high = shapely.box(-5, 0, 5, 10), shapely.box(-5, 20, 5, 30)
    assert intersect_profiles(low, high, 20.0, 20.0).is_empty
