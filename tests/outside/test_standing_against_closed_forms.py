"""Tip angles, stools and wire channels against closed forms worked out apart."""

import math

import numpy as np
import pytest

from geometry.piece import build
from geometry.project import Blank, Cut, Variant
from geometry.standing import standing_of, tip_angle
from geometry.use import Plate, Use
from geometry.wire_channel import chamfer_for, wire_channel
from geometry.wood_volumes import wood_in


def prism(width, depth, length):
    return build(Variant("A", Blank(width, depth, length), front=Cut(0.0), side=Cut(0.0)))


def stands(piece, use):
    wood = wood_in(piece)
    return standing_of(piece, use, wood.mass_kg, wood.centre_mm)


# worked out apart for a walnut prism with a 0.60 kg shade: side, length, height of the shade, plate, angle, verdict
LAMPS = [
    (120.0, 400.0, 520.0, None, 13.7, "steady"),
    (90.0, 400.0, 520.0, None, 9.3, "near"),
    (70.0, 450.0, 570.0, None, 6.04, "tips"),
    (70.0, 450.0, 570.0, Plate(160.0, 160.0, 25.0), 15.0, "steady"),
]


@pytest.mark.parametrize(("side", "length", "shade", "plate", "degrees", "verdict"), LAMPS)
def test_lamps_worked_out_apart(side, length, shade, plate, degrees, verdict):
    found = stands(prism(side, side, length), Use("lamp", top_mass_kg=0.6, top_height_mm=shade, plate=plate))
    assert found.tip_angle_deg == pytest.approx(degrees, abs=0.05)
    assert found.verdict == verdict


def test_centres_worked_out_apart():
    assert stands(prism(120, 120, 400), Use("lamp", top_mass_kg=0.6, top_height_mm=520.0)).centre_mm == pytest.approx(
        (0.0, 0.0, 246.3), abs=0.1
    )
    assert stands(
        prism(70, 70, 450), Use("lamp", top_mass_kg=0.6, top_height_mm=570.0)
    ).centre_mm[2] == pytest.approx(330.7, abs=0.1)  # fmt: skip


# tan φ = d / h, as published with the screening angles: a body is steady up to a height of so many reaches
@pytest.mark.parametrize(("degrees", "times"), [(6, 9.5), (8, 7.1), (10, 5.7), (15, 3.7)])
def test_how_high_a_centre_may_be(degrees, times):
    square = np.array([(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)])
    _, angle, _ = tip_angle((0.0, 0.0, times), square)
    assert math.degrees(angle) == pytest.approx(degrees, abs=0.15)


def test_a_stool_by_hand():
    # 600 N and the seat's edge 60 mm in, arm 150 - 60 - 100 = -10 within the plate; 20 N at 450 + 25 mm
    plate = Plate(200.0, 200.0, 25.0)
    found = stands(prism(80.0, 80.0, 450.0), Use("stool", seat_mm=(300.0, 300.0), plate=plate))
    kilograms = (80.0 * 80.0 * 450.0 + 200.0 * 200.0 * 25.0) * 616e-9
    holding = 9.81 * kilograms * 100.0 + 600.0 * 10.0
    assert found.seat_ratio == pytest.approx(holding / (20.0 * 475.0), rel=1e-9)
    # a seat 60 mm wider all round tips it: arm 50 mm beyond the plate
    tips = stands(prism(80.0, 80.0, 450.0), Use("stool", seat_mm=(420.0, 420.0), plate=plate))
    assert tips.seat_ratio == pytest.approx(9.81 * kilograms * 100.0 / (600.0 * 50.0 + 20.0 * 475.0), rel=1e-9)
    assert tips.verdict == "tips"


def test_the_chamfer_that_leaves_a_bore():
    # worked out apart: for 10.5 mm, legs of 7.4 mm; the four chamfers bound a square whose side is the bore
    assert chamfer_for(10.5) == pytest.approx(7.42, abs=0.01)
    assert math.hypot(chamfer_for(10.5), chamfer_for(10.5)) == pytest.approx(10.5)


def test_the_wall_beside_a_channel_of_a_straight_column():
    channel = wire_channel(prism(60.0, 50.0, 400.0), 10.0)
    assert channel.wall_mm == pytest.approx(25.0 - 10.0 / math.sqrt(2.0))
