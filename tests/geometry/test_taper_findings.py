"""What is said of tapered blanks: a design that has it and a near miss that has not."""

import math

import pytest

from geometry.findings import findings_of
from geometry.piece import build
from geometry.project import Blank, Cut, Limits, Node, Saw, Variant
from geometry.report import report_object, report_on, report_text
from geometry.tapering import taper_cost
from geometry.tolerances import LIVE_CHORD_MM


def nodes(*points, kinds=None, tangent=()):
    kinds = kinds or "s" * len(points)
    return tuple(
        Node((float(u), float(z)), "corner" if kinds[i] == "c" else "smooth", i in tangent)
        for i, (u, z) in enumerate(points)
    )


CURVED = nodes((0, 0), (8, 140), (-6, 280), (0, 400))
TWO_WAYS = Blank(80.0, 80.0, 400.0, 40.0, 40.0)
ONE_WAY = Blank(80.0, 80.0, 400.0, 40.0)
CONTRARY = Blank(80.0, 40.0, 400.0, 40.0, 80.0)


OF_TAPERS = {"taper-misfit", "ends-out-of-square", "post-on-taper", "seam-not-flush", "taper-too-steep"}


def variant(blank, front=(), side=(), **more):
    return Variant("A", blank, front=Cut(nodes=front), side=Cut(nodes=side), **more)


def findings(v):
    return findings_of(build(v, LIVE_CHORD_MM))


def codes(v):
    return {f.code for f in findings(v)}


def only(v, code):
    (found,) = [f for f in findings(v) if f.code == code]
    return found


def test_a_straight_blank_has_nothing_of_it():
    for blank in (Blank(80.0, 80.0, 400.0), Blank(80.0, 80.0, 400.0, 80.0, 80.0)):
        assert not OF_TAPERS & codes(variant(blank, CURVED))


@pytest.mark.parametrize(
    ("blank", "where"), [(TWO_WAYS, "at the axis, where it is hidden"), (CONTRARY, "outside, where it shows")]
)
def test_misfit_says_how_far_and_where_and_what_to_plane(blank, where):
    found = only(variant(blank, limits=Limits(taper_gap=0.05)), "taper-misfit")
    assert (found.severity, found.cut) == ("caution", None)
    assert where in found.message
    # asin(0.05² / 1.0025) = 0.143°, over 40 mm 0.1 mm
    assert "0.14°" in found.message
    assert "0.07°" in found.remedy


def test_misfit_is_held_to_its_limit():
    gap = taper_cost(TWO_WAYS, build(variant(TWO_WAYS)).quarters).gap_mm
    assert "taper-misfit" in codes(variant(TWO_WAYS, limits=Limits(taper_gap=gap - 1e-6)))
    assert "taper-misfit" not in codes(variant(TWO_WAYS, limits=Limits(taper_gap=gap + 1e-6)))
    assert "taper-misfit" not in codes(variant(ONE_WAY, limits=Limits(taper_gap=0.0)))


def test_ends_are_held_to_theirs():
    trim = taper_cost(ONE_WAY, build(variant(ONE_WAY), LIVE_CHORD_MM).quarters).end_trim_mm
    found = only(variant(ONE_WAY, limits=Limits(end_trim=trim - 1e-6)), "ends-out-of-square")
    assert (found.severity, found.at) == ("caution", None)
    assert "2 mm" in found.message
    assert "ends-out-of-square" not in codes(variant(ONE_WAY, limits=Limits(end_trim=trim + 1e-6)))


def test_a_post_on_a_taper_is_no_post():
    posted = nodes((0, 0), (9, 130), (0, 300), (0, 400), kinds="cscc", tangent=(2,))
    found = only(variant(ONE_WAY, (), posted), "post-on-taper")
    assert (found.severity, found.cut) == ("advice", "side")
    assert found.at == pytest.approx((0.0, 400.0))
    assert "straight blank" in found.remedy
    assert "trims" in found.remedy
    assert "post-on-taper" not in codes(variant(Blank(80.0, 80.0, 400.0), (), posted))
    # all straight, slanting, or all curved: nobody meant a post
    for line in ((), nodes((0, 0), (6, 400), kinds="cc"), CURVED):
        assert "post-on-taper" not in codes(variant(ONE_WAY, (), line))


def test_face_down_a_steep_line_steps_at_the_seam_and_levelling_is_the_cure():
    steep = nodes((-12, 0), (12, 130), (-12, 270), (12, 400))
    found = only(variant(TWO_WAYS, steep), "seam-not-flush")
    assert (found.severity, found.cut) == ("caution", "front")
    assert "wedge" in found.remedy
    assert 0.0 <= found.at[1] <= 400.0
    assert "seam-not-flush" not in codes(variant(TWO_WAYS, steep, taper_support="levelled"))
    assert "seam-not-flush" not in codes(variant(ONE_WAY, steep))
    assert "seam-not-flush" not in codes(variant(TWO_WAYS, steep, limits=Limits(pattern_step=50.0)))


def test_too_steep_to_lie_on_its_face():
    steep = Blank(100.0, 60.0, 40.0, 20.0)
    assert only(variant(steep), "taper-too-steep").cut == "side"
    assert "taper-too-steep" not in codes(variant(steep, taper_support="levelled"))
    assert "taper-too-steep" not in codes(variant(Blank(91.0, 60.0, 40.0, 20.0)))


# ---------------------------------------------------------------- edges that slant


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_walls_are_measured_to_the_slanting_edge(side):
    # at z = 400 · s the edge of the front face stands at 40 - 20 s; the line comes near it at the top
    near = nodes((0, 0), (0, 200), (side * 15.0, 400), kinds="ccc")
    found = [f for f in findings(variant(ONE_WAY, near)) if f.code == "wall-too-thin"]
    assert len(found) == 1
    # by hand at the top end: 20 - 15 - half a kerf across the slanting line
    wall = 20.0 - 15.0 - 0.45 * math.hypot(1.0, 15.0 / 200.0)
    assert f"{wall:.1f}" in found[0].message
    assert found[0].at == pytest.approx((side * 15.0, 400.0))
    # the same line in the foot's full width is clear of everything
    assert "wall-too-thin" not in codes(variant(Blank(80.0, 80.0, 400.0), near))


def test_the_nearest_place_to_a_slanting_edge_is_found_between_nodes():
    # upright at u = 25: the edge comes to meet it at z = 300, where 40 - 300 / 20 = 25
    upright = nodes((25, 0), (25, 400), kinds="cc")
    found = only(variant(ONE_WAY, upright), "line-leaves-face")
    assert (found.severity, found.at) == ("stop", pytest.approx((25.0, 400.0)))
    assert "5 mm" in found.message
    bulge = nodes((0, 0), (26, 200), (0, 400))
    v = variant(ONE_WAY, bulge)
    wall = only(v, "wall-too-thin")
    line = build(v, LIVE_CHORD_MM).front.face.samples.points
    distance = 40.0 - line[:, 1] / 20.0 - line[:, 0]
    assert wall.at == pytest.approx(tuple(line[distance.argmin()]), abs=2.0)
    assert f"{distance.min() - 0.45:.1f}" in wall.message


def test_the_thick_end_has_to_pass_under_the_guides():
    wide = Blank(60.0, 100.0, 400.0, 90.0, 160.0)
    found = [f.cut for f in findings(variant(wide, saw=Saw(150.0))) if f.code == "blank-too-tall-for-saw"]
    assert found == ["front"]


# ---------------------------------------------------------------- the report


def test_the_report_says_what_the_taper_costs():
    report = report_on(build(variant(TWO_WAYS, CURVED)))
    cost = report_object(report)["taper"]
    assert cost["dihedral_error_deg"] == pytest.approx(0.1429, abs=1e-4)
    assert cost["gap_mm"] == pytest.approx(40.0 * math.tan(math.radians(cost["dihedral_error_deg"])))
    assert cost["end_trim_mm"] > 1.0
    text = report_text(report)
    assert "40 mm × 40 mm" in text
    assert "face down" in text
    flat = report_object(report_on(build(variant(Blank(80.0, 80.0, 400.0), CURVED))))["taper"]
    assert [flat["dihedral_error_deg"], flat["gap_mm"], flat["end_trim_mm"]] == [0.0, 0.0, 0.0]
