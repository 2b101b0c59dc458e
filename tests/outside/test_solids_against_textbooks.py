"""Volumes of sawn and intersected solids against closed forms.

Sources: Cavalieri's principle and the volumes it gives are textbook; the figures beside the cases were worked out from
the closed forms there. The figures of a sawn sine are our own, by hand from arc length and kerf.
"""

import math

import numpy as np
import pytest
import shapely
import trimesh

from geometry.measures import moments
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.sawing import intersect_profiles

W, H = 70.0, 700.0
FINE = 4096


def volume(front, side) -> float:
    return moments(intersect_profiles(front, side, 100.0, 100.0)).volume_mm3


def under(width, count: int = 1024) -> shapely.Polygon:
    """The region of given width at each height, middle on the axis; its slanted edges are chords."""
    z = np.linspace(0.0, H, count + 1)
    half = np.array([width(v) for v in z]) / 2.0
    return shapely.Polygon(np.vstack([np.stack([half, z], axis=1), np.stack([-half, z], axis=1)[::-1]])).buffer(0.0)


def disc(r: float, count: int = FINE) -> shapely.Polygon:
    angle = 2 * math.pi * (np.arange(count) + 0.5) / count
    return shapely.Polygon(np.stack([r * np.cos(angle), r * np.sin(angle)], axis=1))


def test_two_cylinders_share_sixteen_thirds_of_the_radius_cubed():
    # Steinmetz, textbook: V = 16 r³ / 3, surface 16 r²
    r = 50.0
    solid = intersect_profiles(disc(r), disc(r), 100.0, 100.0)
    assert moments(solid).volume_mm3 == pytest.approx(666_666.67, rel=1e-5)
    assert trimesh.Trimesh(solid.vertices, solid.triangles, process=False).area == pytest.approx(40_000.0, rel=1e-5)


def test_they_converge_as_their_outlines_do():
    # the area of an inscribed polygon misses the disc's by about 2 (π / n)² / 3, and so does the volume twice over
    errors = [1.0 - volume(disc(50.0, n), disc(50.0, n)) / (16 * 50.0**3 / 3) for n in (32, 64, 128, 256)]
    assert min(errors) > 0.0
    assert [a / b for a, b in zip(errors, errors[1:], strict=False)] == pytest.approx([4.0, 4.0, 4.0], rel=0.05)


SQUARE = shapely.box(-W / 2, 0.0, W / 2, H)


TRIANGLE = under(lambda z: W * (1 - z / H))
TRAPEZIUM = under(lambda z: 70 - 30 * z / H)
PARABOLA = under(lambda z: W * (1 - (z / H) ** 2))
HALF_SINE = under(lambda z: W * math.sin(math.pi * z / H))


@pytest.mark.parametrize(
    ("front", "side", "closed_form", "figure"),
    [
        (disc(50.0), shapely.box(-50.0, -50.0, 50.0, 50.0), 2 * math.pi * 50.0**3, 785_398.16),
        (TRIANGLE, TRIANGLE, W**2 * H / 3, 1_143_333.33),
        (TRIANGLE, SQUARE, W**2 * H / 2, 1_715_000.0),
        (TRIANGLE, under(lambda z: W * z / H), W**2 * H / 6, 571_666.67),
        (TRAPEZIUM, TRAPEZIUM, H / 3 * (70**2 + 70 * 40 + 40**2), 2_170_000.0),
        (PARABOLA, PARABOLA, 8 / 15 * W**2 * H, 1_829_333.33),
        (HALF_SINE, HALF_SINE, W**2 * H / 2, 1_715_000.0),
    ],
    ids=["disc and square", "pyramid", "wedge", "tetrahedron", "frustum", "parabolas", "half sines"],
)  # fmt: skip
def test_two_extrusions_share_the_integral_of_their_widths(front, side, closed_form, figure):
    # Cavalieri, textbook: V = ∫ a(z) b(z) dz
    assert closed_form == pytest.approx(figure, abs=0.01)
    assert volume(front, side) == pytest.approx(closed_form, rel=5e-6)


def test_a_frustum_is_neither_mean_area_nor_middle_area():
    # Textbook: (2a² + 2b²)/4 · H is 4.8 % too much and the middle section 2.4 % too little
    frustum = volume(TRAPEZIUM, TRAPEZIUM)
    assert (70**2 + 40**2) / 2 * H / frustum == pytest.approx(1.0484, abs=1e-4)
    assert 55**2 * H / frustum == pytest.approx(0.9758, abs=1e-4)


# ---------------------------------------------------------------- the technique


def sine(amplitude: float, count: int = 57) -> tuple[Node, ...]:
    z = np.linspace(0.0, H, count)
    return tuple(Node((float(amplitude * math.sin(2 * math.pi * v / H)), float(v))) for v in z)


def glued(front: Cut, side: Cut):
    return moments(build(Variant("A", Blank(W, W, H), front=front, side=side), 0.003).glued())


def test_a_sheared_prism_keeps_its_volume():
    # Textbook (Cavalieri): sliding the sections of a prism over one another does not change its volume
    for front, side in ((sine(15.0), sine(-9.0)), (sine(25.0), ())):
        piece = glued(Cut(0.0, nodes=front), Cut(0.0, nodes=side))
        assert piece.volume_mm3 == pytest.approx(W * W * H, rel=1e-9)


def test_a_straight_slant_is_the_sheared_prism_itself():
    # Textbook: the inertia of a prism sheared by s has m s² / 12 more about the axes square to the shear
    slant = Cut(0.0, nodes=(Node((-10.0, 0.0), "corner"), Node((10.0, H), "corner")))
    piece, upright = glued(slant, Cut(0.0)), glued(Cut(0.0), Cut(0.0))
    assert piece.centre_mm == pytest.approx([0.0, 0.0, H / 2], abs=1e-6)
    more = piece.volume_mm3 * 20.0**2 / 12.0
    assert piece.inertia_mm5[1, 1] - upright.inertia_mm5[1, 1] == pytest.approx(more, rel=1e-6)
    assert piece.inertia_mm5[0, 0] == pytest.approx(upright.inertia_mm5[0, 0], rel=1e-9)
    assert piece.inertia_mm5[0, 2] == pytest.approx(-piece.volume_mm3 * 20.0 * H / 12.0, rel=1e-6)


def test_what_the_saw_takes_is_kerf_times_length_of_line():
    # By hand: loss = 2B k S_f + 2A k S_g - ∫ k_x k_y dz with S the arc length; sine of 15 mm in 700, kerf 1.1 in a
    # 70 mm blank: S = 703.16, loss 107,432 mm³, left 3,322,568; straight cuts take 106,953.
    piece = glued(Cut(1.1, nodes=sine(15.0)), Cut(1.1, nodes=sine(15.0)))
    assert piece.volume_mm3 == pytest.approx(3_322_568.0, abs=40.0)
    straight = glued(Cut(1.1), Cut(1.1))
    assert W * W * H - straight.volume_mm3 == pytest.approx(106_953.0, abs=0.5)
    assert straight.volume_mm3 == pytest.approx((W - 1.1) ** 2 * H, rel=1e-12)


def test_equal_lines_give_a_piece_that_is_alike_across_its_diagonal():
    # By symmetry: with the same line on both faces x and y may be exchanged
    piece = glued(Cut(0.9, nodes=sine(15.0)), Cut(0.9, nodes=sine(15.0)))
    assert piece.centre_mm[0] == pytest.approx(piece.centre_mm[1], abs=1e-6)
    assert piece.inertia_mm5[0, 0] == pytest.approx(piece.inertia_mm5[1, 1], rel=1e-9)


def test_the_balance_point_lies_at_the_mean_of_the_lines():
    # Textbook: the centroid of a sheared prism is the mean of its centre line. Half a sine has a mean of 2 A / π.
    z = np.linspace(0.0, H, 41)
    bow = tuple(Node((float(20.0 * math.sin(math.pi * v / H)), float(v))) for v in z)
    piece = glued(Cut(0.0, nodes=bow), Cut(0.0))
    assert piece.centre_mm == pytest.approx([2 * 20.0 / math.pi, 0.0, H / 2], abs=2e-3)
