"""The report: the keys of the contract, numbers whatever the findings, nulls where there is none, never infinity."""

import json
import math

import pytest
from hypothesis import given

from geometry.blades import STOCK_BLADES
from geometry.layup import Plain
from geometry.measures import moments
from geometry.piece import build
from geometry.project import Blank, Cut, Variant
from geometry.report import report_object, report_on, report_text
from geometry.species import SPECIES
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies
from tests.geometry.test_lines import nodes

# what other programs count on
KEYS = {
    "volume_mm3", "blank_volume_mm3", "quarter_volumes_mm3", "mass_kg", "center_of_mass_mm", "bounds_mm", "watertight",
    "smallest_section_mm", "front", "side", "findings",
}  # fmt: skip
CUT_KEYS = {"length_mm", "tightest_radius_mm", "tightest_at", "widest_blade_mm"}
FINDING_KEYS = {"code", "severity", "message"}


def object_of(variant: Variant, chord: float = LIVE_CHORD_MM) -> dict:
    """The report as a program gets it: through JSON and back."""
    return json.loads(json.dumps(report_object(report_on(build(variant, chord))), allow_nan=False))


def check_keys(found: dict) -> None:
    assert set(found) >= KEYS
    assert set(found["front"]) >= CUT_KEYS
    assert set(found["side"]) >= CUT_KEYS
    assert len(found["quarter_volumes_mm3"]) == 4
    for finding in found["findings"]:
        assert set(finding) >= FINDING_KEYS
        assert finding["severity"] in ("stop", "caution", "advice")
    if found["smallest_section_mm"] is not None:
        assert set(found["smallest_section_mm"]) == {"width", "depth", "z"}


@given(strategies.variants())
def test_a_feasible_design_has_every_number(variant):
    found = object_of(variant)
    check_keys(found)
    whole = variant.blank.volume_mm3
    assert found["blank_volume_mm3"] == pytest.approx(whole)
    assert 0.0 < found["volume_mm3"] <= whole * (1 + 1e-9)
    assert math.fsum(found["quarter_volumes_mm3"]) == pytest.approx(found["volume_mm3"], rel=1e-9)
    assert isinstance(variant.layup, Plain)
    density = SPECIES[variant.layup.species].density_kg_m3
    assert found["mass_kg"] == pytest.approx(found["volume_mm3"] * density * 1e-9, rel=1e-6)
    assert found["watertight"] is True
    low, high = found["bounds_mm"]
    for axis, centre in enumerate(found["center_of_mass_mm"]):
        assert low[axis] < centre < high[axis]
    assert low[2] == pytest.approx(0.0, abs=1e-9)
    assert high[2] == pytest.approx(variant.blank.length)
    assert {f["severity"] for f in found["findings"]} <= {"caution", "advice"}


@given(strategies.wild_variants())
def test_whatever_the_findings_every_number_that_can_be_computed_is_there(variant):
    piece = build(variant, LIVE_CHORD_MM)
    found = object_of(variant)
    check_keys(found)
    has_wood = not piece.glued().is_empty
    assert (found["bounds_mm"] is not None) == has_wood
    assert (found["center_of_mass_mm"] is not None) == has_wood
    assert found["watertight"] is has_wood
    assert found["volume_mm3"] >= 0.0
    assert found["mass_kg"] >= 0.0
    for name in ("front", "side"):
        assert found[name]["length_mm"] > 0.0
        assert (found[name]["tightest_radius_mm"] is None) == (found[name]["tightest_at"] is None)


@given(strategies.wild_variants())
def test_the_text_has_no_machine_words(variant):
    report = report_on(build(variant, LIVE_CHORD_MM))
    for units in ("mm", "in"):
        text = report_text(report, units)
        assert "None" not in text
        assert "nan" not in text
        assert "inf " not in text
        for f in report.findings:
            assert f.code not in text or "-" not in f.code
    if report.has_stop:
        assert "STOP" in report_text(report)


def test_a_line_all_straight_has_no_radius_and_takes_the_widest_blade():
    found = object_of(
        Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(nodes=nodes((0, 0), (5, 100), (0, 420), kinds="ccc")))
    )
    for name in ("front", "side"):
        assert found[name]["tightest_radius_mm"] is None
        assert found[name]["tightest_at"] is None
        assert found[name]["widest_blade_mm"] == 25.4
    assert found["side"]["length_mm"] == pytest.approx(420.0)


def test_a_bend_no_stock_blade_follows_gives_no_blade():
    tight = nodes((0, 0), (0, 90), (4, 100), (-4, 108), (0, 118), (0, 420))
    found = object_of(Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(nodes=tight)))
    assert found["front"]["tightest_radius_mm"] < STOCK_BLADES[0].radius_mm
    assert found["front"]["widest_blade_mm"] is None


def test_numbers_stand_beside_stop_findings():
    off = nodes((0, 0), (45, 200), (0, 420))
    found = object_of(Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(nodes=off)))
    assert "stop" in {f["severity"] for f in found["findings"]}
    assert found["volume_mm3"] > 0.0
    assert found["mass_kg"] > 0.0
    assert None not in (found["bounds_mm"], found["center_of_mass_mm"], found["smallest_section_mm"])
    assert found["front"]["tightest_radius_mm"] > 0.0


def test_loose_bodies_count():
    # the line leaves the face twice: the part cut off between is wood all the same
    off = nodes((0, 0), (0, 100), (40, 200), (0, 300), (0, 420))
    variant = Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(0.0, nodes=off), side=Cut(0.0))
    found = object_of(variant)
    assert "quarter-in-pieces" in {f["code"] for f in found["findings"]}
    assert math.fsum(found["quarter_volumes_mm3"]) == pytest.approx(variant.blank.volume_mm3, rel=1e-9)


def test_without_wood_everything_that_has_none_is_null():
    found = object_of(Variant("A", Blank(6.0, 60.0, 100.0), front=Cut(5.0), sanding=5.0))
    assert found["volume_mm3"] == found["mass_kg"] == 0.0
    assert found["quarter_volumes_mm3"] == [0.0] * 4
    assert found["bounds_mm"] is None
    assert found["center_of_mass_mm"] is None
    assert found["smallest_section_mm"] is None
    assert found["watertight"] is False
    assert found["blank_volume_mm3"] == pytest.approx(36_000.0)


def test_numbers_are_not_rounded():
    wave = nodes((0, 0), (8, 140), (-6, 280), (0, 420))
    variant = Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(nodes=wave))
    piece = build(variant)
    found = object_of(variant, chord=0.01)
    assert found["volume_mm3"] == moments(piece.glued()).volume_mm3
    assert found["quarter_volumes_mm3"] == [moments(q).volume_mm3 for q in piece.quarters]


def test_the_text_speaks_the_units_asked_for():
    report = report_on(build(Variant("A", Blank(63.5, 50.8, 304.8))), "in")
    assert '2 1/2" × 2" × 12"' in report_text(report, "in")
    assert "63.5 mm × 50.8 mm × 304.8 mm" in report_text(report, "mm")
    assert "Nothing stands in the way" in report_text(report)
