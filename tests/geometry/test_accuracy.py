"""What small faults at the bench do, against the rigid geometry of the steps, worst first."""

import math

import pytest
from hypothesis import given
from msgspec.structs import replace

from geometry.accuracy import sensitivities
from geometry.lineup_errors import BenchErrors, flush_step_mm
from geometry.measures import smallest_section
from geometry.piece import build
from geometry.project import Blank, Cut, Limits, Variant
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies
from tests.geometry.test_lines import nodes


def rows(variant, units="mm"):
    return {row.fault: row for row in sensitivities(build(variant, LIVE_CHORD_MM), units)}


@given(strategies.variants())
def test_worst_first_and_all_are_numbers(variant):
    found = sensitivities(build(variant, LIVE_CHORD_MM))
    assert [r.harm for r in found] == sorted((r.harm for r in found), reverse=True)
    assert len({r.fault for r in found}) == len(found) == 5
    assert all(math.isfinite(r.harm) and r.effect_mm >= 0.0 for r in found)


def test_a_tilted_table_works_through_the_thicker_way():
    # 70 mm at half a degree: 0.61 mm (worked out apart: T · tan)
    row = rows(Variant("A", Blank(50.0, 70.0, 400.0)))["table-tilt"]
    assert row.effect_mm == pytest.approx(0.61, abs=0.005)
    assert row.cut == "front"
    assert row.harm == pytest.approx(row.effect_mm / 0.5)


def test_each_step_is_that_of_the_line_up():
    wave = Variant("A", Blank(60.0, 50.0, 400.0), side=Cut(nodes=nodes((0, 0), (8, 140), (-6, 280), (0, 400))))
    piece, found = build(wave), rows(wave)
    lean = BenchErrors(front_lean_rad=math.radians(0.5), side_lean_rad=math.radians(0.5))
    assert found["table-tilt"].effect_mm == pytest.approx(max(flush_step_mm(piece, c, lean) for c in ("front", "side")))
    slip = BenchErrors(slip_mm=1.0)
    assert found["slipped-tape"].effect_mm == pytest.approx(flush_step_mm(piece, "side", slip))
    off = BenchErrors(out_of_square_rad=math.atan(0.2 / 50.0))
    assert found["out-of-square"].effect_mm == pytest.approx(
        max(flush_step_mm(piece, c, off) for c in ("front", "side"))
    )


def test_a_wider_kerf_harms_where_little_is_left():
    stout, slim = (rows(Variant("A", Blank(s, s, 400.0)))["wide-kerf"] for s in (80.0, 19.1))
    assert stout.harm < 0.01
    assert slim.harm == pytest.approx(1.0)  # 18.2 mm thick, 0.2 over the limit
    thinner = build(replace(Variant("A", Blank(80.0, 80.0, 400.0)), front=Cut(kerf=1.1), side=Cut(kerf=1.1)))
    assert smallest_section(thinner.front.widths, thinner.side.widths).width == pytest.approx(80.0 - 0.9 - 0.2)


def test_beside_the_line_harms_where_the_wall_is_thin():
    near = Variant("A", Blank(60.0, 60.0, 400.0), front=Cut(nodes=nodes((0, 0), (23.0, 200), (0, 400))))
    row = rows(near)["off-the-line"]
    assert row.cut == "front"
    assert row.allowed_mm == pytest.approx(30.0 - 23.0 - 0.45 - 6.0)


def test_what_the_maker_allows_counts():
    strict = rows(Variant("A", Blank(60.0, 60.0, 400.0), limits=Limits(pattern_step=0.25)))["table-tilt"]
    assert strict.allowed_mm == 0.25


def test_inches_for_who_works_in_inches():
    for row in rows(Variant("A", Blank(60.0, 60.0, 400.0)), "in").values():
        assert "mm" not in row.cause + row.effect + row.care
