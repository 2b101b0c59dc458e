"""Volumes common to two perpendicular extrusions, sawn as trims out of a blank, against closed forms.

Sources: Steinmetz, 16 r³ / 3 with a surface of 16 r², and the volumes by Cavalieri's principle are textbook; the
figures beside the cases were worked out from the closed forms there. The frustum of a tapered blank is textbook too
(prismatoid); the dihedral angle is vector algebra, its table worked out by hand from the closed form.
"""

import math

import numpy as np
import pytest
import trimesh

from geometry.measures import moments
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Trim, Variant
from geometry.tapering import dihedral_error

W, H = 70.0, 700.0


def trim(points, kind="smooth") -> Trim:
    return Trim(tuple(Node((float(u), float(z)), kind) for u, z in points), 0.0)


def mirrored(points):
    return [(-u, z) for u, z in points]


def both_sides(points, kind="smooth") -> tuple[Trim, ...]:
    return trim(points, kind), trim(mirrored(points), kind)


def piece_of(blank: Blank, front: tuple[Trim, ...] = (), side: tuple[Trim, ...] = ()):
    # straight cuts up the middle at kerf 0: the profile before trimming is the blank's own face
    piece = build(Variant("A", blank, front=Cut(0.0, trims=front), side=Cut(0.0, trims=side)), 0.002)
    assert all(t.fault is None for cut in (piece.front, piece.side) for t in cut.trims)
    return piece


def round_trims(r: float, count: int = 160) -> tuple[Trim, ...]:
    angle = math.pi * np.arange(count + 1) / count
    points = np.stack([r * np.sin(angle), r - r * np.cos(angle)], axis=1)
    points[[0, -1], 0] = 0.0
    return both_sides([tuple(p) for p in points])


@pytest.mark.parametrize("r", [20.0, 50.0])
def test_two_round_trims_on_a_cube_leave_what_two_cylinders_share(r):
    # Steinmetz, textbook: 16 r³ / 3, of surface 16 r²; at r = 50: 666,666.67 mm³ and 40,000 mm²
    piece = piece_of(Blank(2 * r, 2 * r, 2 * r), round_trims(r), round_trims(r))
    solid = piece.glued()
    assert moments(solid).volume_mm3 == pytest.approx(16.0 * r**3 / 3.0, rel=2e-4)
    quarters = [moments(q).volume_mm3 for q in piece.quarters]
    assert quarters == pytest.approx([4.0 * r**3 / 3.0] * 4, rel=2e-4)
    area = trimesh.Trimesh(solid.vertices, solid.triangles, process=False).area
    assert area == pytest.approx(16.0 * r**2, rel=2e-3)
    assert moments(solid).centre_mm == pytest.approx([0.0, 0.0, r], abs=1e-3)


def test_a_round_trim_one_way_leaves_a_cylinder():
    # textbook: π r² · 2r
    r = 50.0
    piece = piece_of(Blank(2 * r, 2 * r, 2 * r), round_trims(r))
    assert moments(piece.glued()).volume_mm3 == pytest.approx(2.0 * math.pi * r**3, rel=2e-4)


def along(width, count: int = 140):
    """Half of a width along the height, as the places of a trim that stays on or beside the axis."""
    return [(max(width(z) / 2.0, 0.0), z) for z in np.linspace(0.0, H, count + 1)]


TRIANGLE = both_sides([(W / 2, 0.0), (0.0, H)], "corner")
UPSIDE_DOWN = both_sides([(0.0, 0.0), (W / 2, H)], "corner")
TRAPEZIUM = both_sides([(35.0, 0.0), (20.0, H)], "corner")
PARABOLA = both_sides(along(lambda z: W * (1 - (z / H) ** 2)))
HALF_SINE = both_sides(along(lambda z: W * math.sin(math.pi * z / H)))


@pytest.mark.parametrize(
    ("front", "side", "closed_form", "figure"),
    [
        (TRIANGLE, TRIANGLE, W**2 * H / 3, 1_143_333.33),
        (TRIANGLE, (), W**2 * H / 2, 1_715_000.0),
        ((), TRIANGLE, W**2 * H / 2, 1_715_000.0),
        (TRIANGLE, UPSIDE_DOWN, W**2 * H / 6, 571_666.67),
        (TRAPEZIUM, TRAPEZIUM, H / 3 * (70**2 + 70 * 40 + 40**2), 2_170_000.0),
        (PARABOLA, PARABOLA, 8 / 15 * W**2 * H, 1_829_333.33),
        (HALF_SINE, HALF_SINE, W**2 * H / 2, 1_715_000.0),
    ],
    ids=["pyramid", "wedge", "wedge from the side", "tetrahedron", "frustum", "parabolas", "half sines"],
)  # fmt: skip
def test_trims_leave_the_integral_of_the_widths(front, side, closed_form, figure):
    # Cavalieri, textbook: V = ∫ a(z) b(z) dz
    assert closed_form == pytest.approx(figure, abs=0.01)
    piece = piece_of(Blank(W, W, H), front, side)
    assert moments(piece.glued()).volume_mm3 == pytest.approx(closed_form, rel=5e-5)
    assert sum(moments(q).volume_mm3 for q in piece.quarters) == pytest.approx(closed_form, rel=5e-5)


def test_straight_trims_are_exact():
    for front, side, closed_form in (
        (TRIANGLE, (), W**2 * H / 2),
        (TRAPEZIUM, TRAPEZIUM, H / 3 * (70**2 + 70 * 40 + 40**2)),
    ):
        assert moments(piece_of(Blank(W, W, H), front, side).glued()).volume_mm3 == pytest.approx(
            closed_form, rel=1e-12
        )


def test_the_line_of_the_first_cuts_moves_the_sections_but_not_their_sizes():
    # Cavalieri, textbook. A slanting line and trims parallel to it on both sides: a sheared prism narrower than P
    slant = (Node((-5.0, 0.0), "corner"), Node((5.0, H), "corner"))
    right, left = [(20.0, -7.0), (30.2, H + 7.0)], [(-30.2, -7.0), (-20.0, H + 7.0)]
    cut = Cut(0.0, nodes=slant, trims=(trim(right, "corner"), trim(left, "corner")))
    piece = build(Variant("A", Blank(W, W, H), front=cut, side=Cut(0.0)))
    assert moments(piece.glued()).volume_mm3 == pytest.approx(50.2 * W * H, rel=1e-12)


# ---------------------------------------------------------------- tapered stock


@pytest.mark.parametrize("support", ["face down", "levelled"])
@pytest.mark.parametrize(
    ("blank", "figure"),
    [
        # textbook: h / 3 (a² + ab + b²) for square ends, h / 6 (A₀ + 4 Aₘ + A₁) in general
        (Blank(70.0, 70.0, H, 40.0, 40.0), 2_170_000.0),
        (Blank(40.0, 40.0, H, 70.0, 70.0), 2_170_000.0),
        (Blank(70.0, 70.0, H, 40.0), H * 70.0 * 55.0),
        (Blank(70.0, 70.0, H, None, 90.0), H * 70.0 * 80.0),
    ],
    ids=["narrows both ways", "widens both ways", "narrows one way", "widens one way"],
)
def test_four_tapered_quarters_hold_the_frustum(blank, figure, support):
    z = np.linspace(0.0, H, 9)
    wave = tuple(Node((float(6.0 * math.sin(2 * math.pi * v / H)), float(v))) for v in z)
    piece = build(Variant("A", blank, front=Cut(0.0, nodes=wave), side=Cut(0.0, nodes=wave), taper_support=support))
    assert sum(moments(q).volume_mm3 for q in piece.quarters) == pytest.approx(figure, rel=1e-12)


@pytest.mark.parametrize(
    ("k", "m", "excess_deg"),
    [
        # vector algebra: asin(km / sqrt((1 + k²)(1 + m²))), worked out for common tapers
        (1 / 50, 1 / 50, 0.023), (1 / 30, 1 / 30, 0.064), (1 / 20, 1 / 20, 0.143), (1 / 15, 1 / 15, 0.254),
        (1 / 10, 1 / 10, 0.567), (0.1, 0.05, 0.285), (0.2, 0.2, 2.204), (0.1, -0.05, -0.285), (0.1, 0.0, 0.0),
    ],
)  # fmt: skip
def test_the_corners_are_off_square_as_the_table_says(k, m, excess_deg):
    blank = Blank(200.0, 200.0, 300.0, 200.0 - 600.0 * k, 200.0 - 600.0 * m)
    assert math.degrees(dihedral_error(blank)) == pytest.approx(excess_deg, abs=5e-4)
