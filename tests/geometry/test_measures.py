"""Volume, balance, inertia and sections: against known bodies, another library, and brute force."""

import math

import manifold3d
import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from geometry.measures import Moments, bounds, cavalieri_volume, moments, section_at, smallest_section
from geometry.piece import build
from geometry.project import Blank, Cut, Variant
from geometry.sawing import checked
from geometry.slots import Widths
from geometry.solids import NO_WOOD, Solid
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies
from tests.geometry.test_lines import nodes


def box(x: float, y: float, z: float, at=(0.0, 0.0, 0.0)) -> Solid:
    return checked(manifold3d.Manifold.cube((x, y, z), True).translate(at))


def turned(solid: Solid, seed: int) -> tuple[Solid, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    rotation, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    rotation *= np.linalg.det(rotation)
    move = np.eye(4)
    move[:3, :3], move[:3, 3] = rotation, rng.uniform(-5000.0, 5000.0, 3)
    return solid.moved(move), rotation, move[:3, 3]


# ---------------------------------------------------------------- known bodies


@given(st.floats(1.0, 500.0), st.floats(1.0, 500.0), st.floats(1.0, 500.0), st.integers(0, 99))
def test_a_block_anywhere_and_any_way_up(x, y, z, seed):
    block, rotation, where = turned(box(x, y, z), seed)
    m = moments(block)
    assert m.volume_mm3 == pytest.approx(x * y * z, rel=1e-9)
    assert m.centre_mm == pytest.approx(where, abs=1e-6)
    inertia = np.diag([y * y + z * z, x * x + z * z, x * x + y * y]) * x * y * z / 12.0
    assert np.allclose(m.inertia_mm5, rotation @ inertia @ rotation.T, rtol=1e-7, atol=1e-8 * inertia.max())


def test_a_tetrahedron_with_square_corner():
    # textbook: volume abc/6, centre at a quarter of each leg, Ixx about the centre = m (b² + c²) 3/80, Ixy = m ab/80
    a, b, c = 30.0, 40.0, 70.0
    solid = Solid(
        np.array([[0, 0, 0], [a, 0, 0], [0, b, 0], [0, 0, c]], dtype=float),
        np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]),
    )
    m = moments(solid)
    mass = a * b * c / 6.0
    assert m.volume_mm3 == pytest.approx(mass)
    assert m.centre_mm == pytest.approx([a / 4, b / 4, c / 4])
    assert m.inertia_mm5[0, 0] == pytest.approx(mass * (b * b + c * c) * 3.0 / 80.0)
    assert m.inertia_mm5[0, 1] == pytest.approx(mass * a * b / 80.0)


def test_nothing_weighs_nothing():
    m = moments(NO_WOOD)
    assert m.volume_mm3 == 0.0
    assert np.isnan(m.centre_mm).all()
    assert bounds(NO_WOOD) is None
    assert not NO_WOOD.is_closed


@given(strategies.variants())
def test_another_library_measures_the_same(variant):
    piece = build(variant, LIVE_CHORD_MM)
    for solid in (piece.glued(), *piece.quarters):
        mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
        m = moments(solid)
        assert m.volume_mm3 == pytest.approx(mesh.volume, rel=1e-9)
        assert m.centre_mm == pytest.approx(mesh.center_mass, abs=1e-5)
        size = np.abs(m.inertia_mm5).max()
        assert np.allclose(m.inertia_mm5, mesh.moment_inertia, rtol=1e-6, atol=1e-7 * size)
        assert np.allclose(bounds(solid), mesh.bounds, rtol=0, atol=1e-9)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent


@given(strategies.variants())
def test_the_whole_balances_as_its_quarters_together(variant):
    piece = build(variant, LIVE_CHORD_MM)
    whole, parts = moments(piece.glued()), [moments(q) for q in piece.placed_quarters()]
    total = math.fsum(p.volume_mm3 for p in parts)
    centre = sum(p.volume_mm3 * p.centre_mm for p in parts) / total
    assert whole.centre_mm == pytest.approx(centre, abs=1e-5)

    def about_centre(p: Moments) -> np.ndarray:
        d = p.centre_mm - centre
        return p.inertia_mm5 + p.volume_mm3 * (d @ d * np.eye(3) - np.outer(d, d))

    inertia = sum(about_centre(p) for p in parts)
    assert np.allclose(whole.inertia_mm5, inertia, rtol=1e-6, atol=1e-7 * np.abs(inertia).max())


# ---------------------------------------------------------------- sections


@given(strategies.variants(of=strategies.single_valued))
def test_the_section_of_a_plain_line_is_the_blank_less_a_slanting_kerf(variant):
    # 2a - kerf · sqrt(1 + u'²)
    piece = build(variant, 0.002)
    for z in np.linspace(0.1, 0.9, 5) * variant.blank.length:
        section = section_at(piece.front.widths, piece.side.widths, float(z))
        for size, full, cut in (
            (section.width, variant.blank.width, piece.front),
            (section.depth, variant.blank.depth, piece.side),
        ):
            gone = 2.0 * cut.face.half_slot
            if len(cut.line.kinks):
                assert full - 3.0 * gone - 0.01 <= size <= full - gone + 0.01
                continue
            samples = cut.face.samples
            slopes = samples.directions[:, 0] / samples.directions[:, 1]
            slope = np.interp(z, samples.points[:, 1], slopes)
            assert size == pytest.approx(full - gone * math.sqrt(1.0 + slope**2), abs=0.02 + 0.02 * gone)
        assert section.z == z


def brute_smallest(front: Widths, side: Widths) -> float:
    """The least of both sizes, looked at just beside every corner of either profile."""
    heights = np.unique(np.concatenate([front.z, side.z]))
    beside = np.concatenate([heights, *(heights[:-1] + s * np.diff(heights) for s in (1e-7, 0.5, 1 - 1e-7))])
    beside = beside[(beside >= heights[0]) & (beside <= heights[-1])]
    return float(np.minimum(front.at(beside), side.at(beside)).min())


@given(strategies.variants())
def test_the_smallest_section_is_that_of_brute_force_and_at_its_place(variant):
    piece = build(variant, LIVE_CHORD_MM)
    front, side = piece.front.widths, piece.side.widths
    smallest = smallest_section(front, side)
    least = min(smallest.width, smallest.depth)
    assert least == pytest.approx(brute_smallest(front, side), abs=1e-4)
    there = section_at(front, side, smallest.z)
    assert min(there.width, there.depth) == pytest.approx(least, abs=1e-6)
    assert (there.width, there.depth) == pytest.approx((smallest.width, smallest.depth), abs=1e-6)


def test_the_smallest_section_of_a_piece_sawn_straight_is_everywhere_so_it_is_at_the_foot():
    piece = build(Variant("A", Blank(60.0, 50.0, 400.0), front=Cut(1.0), side=Cut(2.0)))
    smallest = smallest_section(piece.front.widths, piece.side.widths)
    assert (smallest.width, smallest.depth, smallest.z) == pytest.approx((59.0, 48.0, 0.0))


def test_the_smallest_section_is_where_the_line_slants_most():
    line = nodes((-20, 0), (-20, 100), (20, 140), (20, 400), kinds="cccc")
    piece = build(Variant("A", Blank(100.0, 100.0, 400.0), front=Cut(3.0, nodes=line)))
    smallest = smallest_section(piece.front.widths, piece.side.widths)
    assert smallest.width == pytest.approx(100.0 - 3.0 * math.sqrt(2.0), abs=1e-6)
    assert 100.0 < smallest.z < 140.0
    assert smallest.depth == pytest.approx(99.1)


def test_no_profile_no_section():
    nothing = Widths(np.zeros(0), np.zeros(0), np.zeros(0))
    some = Widths(np.array([0.0, 1.0]), np.array([2.0]), np.array([3.0]))
    assert smallest_section(nothing, some) is None
    assert cavalieri_volume(nothing, some) == 0.0


# ---------------------------------------------------------------- Cavalieri


@given(st.floats(1.0, 90.0), st.floats(1.0, 90.0), st.floats(1.0, 90.0), st.floats(1.0, 90.0), st.floats(1.0, 900.0))
def test_cavalieri_of_two_slanted_profiles(p0, p1, q0, q1, length):
    z = np.array([0.0, length])
    front = Widths(z, np.array([p0]), np.array([p1]))
    side = Widths(z, np.array([q0]), np.array([q1]))
    # ∫ of a product of straight lines, worked out by hand
    wanted = length * (p0 * q0 / 3 + p1 * q1 / 3 + (p0 * q1 + p1 * q0) / 6)
    assert cavalieri_volume(front, side) == pytest.approx(wanted)
    # cut at other heights it is the same
    middle = np.array([0.0, 0.3 * length, length])
    p = p0 + 0.3 * (p1 - p0)
    cut = Widths(middle, np.array([p0, p]), np.array([p, p1]))
    assert cavalieri_volume(cut, side) == pytest.approx(wanted)


def test_cavalieri_counts_only_common_heights():
    low = Widths(np.array([0.0, 10.0]), np.array([2.0]), np.array([2.0]))
    high = Widths(np.array([5.0, 20.0]), np.array([3.0]), np.array([3.0]))
    assert cavalieri_volume(low, high) == pytest.approx(2.0 * 3.0 * 5.0)
    apart = Widths(np.array([11.0, 20.0]), np.array([3.0]), np.array([3.0]))
    assert cavalieri_volume(low, apart) == 0.0
