"""What the report says of blade, grain, strength, standing, accuracy and movement, as object and as text."""

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Variant
from geometry.report import report_object, report_on, report_text
from geometry.tolerances import LIVE_CHORD_MM
from geometry.use import Plate, Use
from tests import strategies
from tests.geometry.test_lines import nodes

WAVE = nodes((0, 0), (8, 140), (-6, 280), (0, 420))
LAMP = Use("lamp", top_mass_kg=0.6, top_height_mm=540.0, plate=Plate(160.0, 160.0, 25.0), channel_mm=10.5)


def variant(use=None, blade=None, front=WAVE):
    return Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(blade=blade, nodes=front), use=use)


def report(design):
    return report_on(build(design, LIVE_CHORD_MM))


def object_of(design):
    return json.loads(json.dumps(report_object(report(design)), allow_nan=False))


def test_every_subject_has_its_object():
    found = object_of(variant(LAMP, Blade(6.35, teeth_per_inch=4)))
    front = found["blade"]["front"]
    assert (front["follows_mm"], front["comfortable_from_mm"], front["thickness_allowance"]) == (16.0, 20.0, 1.25)
    shares = [front[f"share_{how}"] for how in ("comfortable", "tight", "impossible")]
    assert sum(shares) == pytest.approx(1.0)
    assert front["widest_blade_mm"] == found["front"]["widest_blade_mm"]
    assert front["widest_comfortable_blade_mm"] <= front["widest_blade_mm"]
    assert front["teeth"]["in_work"] == pytest.approx(4 * 60.0 / 25.4)
    assert found["blade"]["side"]["follows_mm"] is None
    assert found["grain"]["steepest_slope"] == pytest.approx(math.tan(math.radians(found["grain"]["steepest_deg"])))
    assert [z for z, _ in found["grain"]["map"]] == sorted(z for z, _ in found["grain"]["map"])
    assert max(angle for _, angle in found["grain"]["map"]) <= found["grain"]["steepest_deg"]
    strength = found["strength"]
    assert (strength["indicative_only"], strength["safety_factor"], strength["species"]) == (True, 4.0, "walnut")
    assert strength["worst"]["used"] == pytest.approx(
        4.0 * strength["worst"]["stress_mpa"] / strength["worst"]["bears_mpa"]
    )
    assert strength["load_line"]["inside"] is True
    standing = found["standing"]
    assert (standing["screening_only"], standing["verdict"]) == (True, "steady")
    assert standing["mass_kg"] == pytest.approx(found["mass_kg"] + 0.6 + 160 * 160 * 25 * 616e-9)
    assert len(standing["support_mm"]) == 4
    assert found["wire_channel"]["chamfer_mm"] == pytest.approx(10.5 / math.sqrt(2.0))
    assert [row["harm"] for row in found["accuracy"]] == sorted((r["harm"] for r in found["accuracy"]), reverse=True)
    movement = found["movement"]
    assert movement["width"]["radial_mm"] < movement["width"]["tangential_mm"]
    assert movement["most_unlike"] is None


def test_without_a_use_there_is_no_word_of_load_or_balance():
    found = object_of(variant())
    assert found["strength"] is found["standing"] is None
    assert "wire_channel" not in found
    text = report_text(report(variant()))
    for label in ("Strength", "Standing", "Wire channel"):
        assert label not in text


def test_the_text_names_screening_and_indication_for_what_they_are():
    text = report_text(report(variant(LAMP, Blade(6.35))))
    assert "screening, not certification" in text
    assert "indicative only" in text
    assert "with comfort all along" in text
    assert "7.42 mm off each long corner" in text


def test_what_is_only_advice_does_not_stand_in_the_way():
    found = report(variant())
    assert {f.severity for f in found.findings} == {"advice"}
    text = report_text(found)
    assert "Nothing stands in the way of sawing it." in text
    assert "ADVICE" in text
    bent = nodes((0, 0), (15, 100), (-15, 145), (0, 420))
    assert "Nothing stands in the way" not in report_text(report(variant(blade=Blade(25.4), front=bent)))


def test_inches_are_spoken_to_who_works_in_inches():
    lines = report_text(report(variant(LAMP, Blade(6.35))), "in").splitlines()
    rows = lines[: lines.index("")]
    ours = rows[next(i for i, row in enumerate(rows) if row.startswith("Front blade")) :]
    assert len(ours) > 8
    assert not [row for row in ours if " mm" in row]


def test_a_line_tight_in_one_place_is_planned_in_two_steps():
    tight = nodes((0, 0), (2, 150), (2, 210), (14, 225), (2, 240), (2, 300), (0, 420))
    assert "Front in two steps" in report_text(report(variant(front=tight)))
    steps = object_of(variant(front=tight))["blade"]["front"]["two_steps"]
    assert steps["wide_blade_mm"] > steps["narrow_blade_mm"]


@settings(max_examples=15)
@given(
    strategies.wild_shaped_variants(), st.sampled_from(["leg", "lamp", "stool", "post"]), st.sampled_from(["mm", "in"])
)
def test_whatever_the_design_and_its_use_the_report_is_whole(design, kind, units):
    used = replace(design, use=replace(LAMP, kind=kind))
    piece = build(used, LIVE_CHORD_MM)
    whole = report_on(piece, units)
    json.dumps(report_object(whole), allow_nan=False)
    text = report_text(whole, units)
    for word in ("None", "nan", "inf "):
        assert word not in text
