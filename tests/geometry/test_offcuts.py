"""Offcuts: whose they are, which go back; and what the report says of trims and of the bevel."""

import json
import math

import numpy as np
import pytest

from geometry.layup import Stripes
from geometry.offcuts import offcuts_of, sentences, trimmed_directions
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Trim, Variant
from geometry.report import report_object, report_on, report_text
from geometry.tapering import bevel, dihedral_error, glue_moves

BLANK = Blank(80.0, 60.0, 400.0)


def trim(*points, kerf=0.9, kind="corner"):
    return Trim(tuple(Node((float(u), float(z)), kind) for u, z in points), kerf)


def at(low, high, side=1):
    return trim((side * 50, low), (side * 20, low), (side * 20, high), (side * 50, high))


def piece_of(front=(), side=(), blank=BLANK, **more):
    return build(Variant("A", blank, front=Cut(trims=tuple(front)), side=Cut(trims=tuple(side)), **more))


def test_the_front_comes_first_and_the_last_direction_needs_nothing_back():
    both = piece_of([at(-5, 200)], [at(-5, 200)])
    assert trimmed_directions(both) == ("front", "side")
    assert [(o.cut, o.number, o.is_needed) for o in offcuts_of(both)] == [("front", 1, True), ("side", 1, False)]
    for alone in (piece_of([at(-5, 200)]), piece_of((), [at(-5, 200)])):
        assert [o.is_needed for o in offcuts_of(alone)] == [False]
    assert offcuts_of(piece_of()) == ()


def test_each_comes_off_the_two_quarters_that_stand_there():
    piece = piece_of([at(100, 200), at(100, 200, -1)], [at(100, 200), at(100, 200, -1)])
    assert [o.quarters for o in offcuts_of(piece)] == [(1, 4), (2, 3), (1, 2), (3, 4)]
    whole = piece_of()
    for offcut in offcuts_of(piece):
        one = piece_of(*([[offcut.sawn.trim], ()] if offcut.cut == "front" else [(), [offcut.sawn.trim]]))
        smaller = {i + 1 for i in range(4) if len(one.quarters[i].vertices) != len(whole.quarters[i].vertices)}
        assert smaller == set(offcut.quarters)


def test_the_sentences_say_what_to_do_with_each():
    piece = piece_of([at(-5, 200), at(260, 330), at(370, 405)], [at(-5, 200)])
    first, middle, end, last = sentences(offcuts_of(piece))
    assert "quarters 1 and 4" in first
    assert "tape it back with a 0.9 mm shim" in first
    assert "may be left out" in middle
    assert "may be left out" in end
    assert "not needed again" in last
    assert sentences(offcuts_of(piece), "in")[0] != first
    ideal = piece_of([trim((20, -5), (20, 200), (50, 200), kerf=0.0)], [at(-5, 200)])
    assert "shim" not in sentences(offcuts_of(ideal))[0]


def test_refused_trims_and_those_that_take_nothing_have_none():
    piece = piece_of([trim((50, 100), (-3, 200), (50, 300)), at(100, 200), trim((50, 150), (30, 160), (50, 170))])
    assert [o.number for o in offcuts_of(piece)] == [2]


# ---------------------------------------------------------------- the report


def test_the_report_lists_trims():
    # an arc of radius 80 about (100, 200), with the ends of a free spline past the wood
    turns = np.radians(np.linspace(-60.0, 60.0, 25))
    scoop = trim(*zip(100.0 - 80.0 * np.cos(turns), 200.0 + 80.0 * np.sin(turns), strict=True), kind="smooth")
    crossing = trim((50, 320), (-2, 350), (50, 380))
    report = report_on(piece_of([scoop, crossing, at(-5, 80, -1)], [at(-5, 90)]))
    told = json.loads(json.dumps(report_object(report), allow_nan=False))
    one, two, three = told["front"]["trims"]
    assert [t["number"] for t in (one, two, three)] == [1, 2, 3]
    assert [t["side"] for t in (one, two, three)] == ["right", "right", "left"]
    assert [t["fault"] for t in (one, two, three)] == [None, "trim-crosses-axis", None]
    assert [t["may_be_left_out"] for t in (one, two, three)] == [True, None, False]
    # next to a free end a spline bends 3 - sqrt(3) times as much as further in (textbook: its decay is 2 - sqrt(3))
    assert one["tightest_radius_mm"] == pytest.approx(80.0 / (3.0 - math.sqrt(3.0)), rel=2e-3)
    assert 100.0 < one["tightest_at"][1] < 300.0
    assert one["widest_blade_mm"] == 9.5  # 36.5; the next follows 63.5
    assert one["length_mm"] == pytest.approx(80.0 * math.radians(120.0), rel=1e-4)
    assert one["shim_mm"] == 0.9
    assert three["tightest_radius_mm"] is None
    assert three["length_mm"] == pytest.approx(30.0 + 85.0 + 30.0)
    assert [t["may_be_left_out"] for t in told["side"]["trims"]] == [True]
    text = report_text(report)
    assert "Front trim 1" in text
    assert "cannot be sawn as drawn" in text
    assert "Offcut 3 of the front view, off quarters 2 and 3: tape it back" in text
    assert report_object(report_on(piece_of()))["side"]["trims"] == []


def test_seams_that_differ_have_a_row_each():
    layers = Stripes("x", ((25.0, "walnut"), (30.0, "maple"), (25.0, "walnut")))
    alike, unlike = report_text(report_on(piece_of(layup=layers))), report_text(
        report_on(piece_of([at(100, 200)], layup=layers))
    )  # fmt: skip
    assert "Left and right seam" in alike
    assert "Left and right seam" not in unlike
    assert "Right seam" in unlike
    assert "Left seam" in unlike
    assert "Front and back seam" in unlike


# ---------------------------------------------------------------- the bevel


@pytest.mark.parametrize(
    ("blank", "edge"),
    [(Blank(80.0, 60.0, 400.0, 40.0, 36.0), "sawn"), (Blank(80.0, 36.0, 400.0, 40.0, 60.0), "corner")],
)
def test_planed_so_the_joints_close(blank, edge):
    planing = bevel(blank)
    assert planing.edge == edge
    assert planing.angle_deg == pytest.approx(abs(math.degrees(dihedral_error(blank))) / 2.0)
    # by hand: the flat y = -b of quarter 1, moved, stands off the glue plane y = 0 by that angle …
    move = glue_moves(blank)[0]
    normal = move[:3, :3] @ (np.array([0.0, -1.0, (blank.depth - blank.depth_at_top) / (2.0 * blank.length)]))
    off = math.degrees(math.atan2(abs(normal[0]), abs(normal[1])))
    assert off == pytest.approx(planing.angle_deg, rel=1e-9)
    # … and quarter 1, which stands at y > 0, reaches past it where there is wood to plane off
    corner = np.array([-blank.width / 2.0, -blank.depth / 2.0, 0.0])
    sawn = move[:3, :3] @ (corner + np.array([blank.width / 2.0, 0.0, 0.0])) + move[:3, 3]
    assert (sawn[1] < 0.0) == (edge == "sawn")
    widest = max(blank.width, blank.depth, blank.width_at_top, blank.depth_at_top) / 2.0
    assert planing.most_mm == pytest.approx(widest * math.tan(math.radians(planing.angle_deg)))


def test_where_they_close_as_sawn_there_is_none():
    assert bevel(BLANK) is None
    assert bevel(Blank(80.0, 60.0, 400.0, 40.0)) is None
    told = report_object(report_on(piece_of(blank=Blank(80.0, 60.0, 400.0, 40.0))))["taper"]
    assert (told["bevel_deg"], told["bevel_mm"], told["bevel_edge"]) == (0.0, 0.0, None)
    leaning = report_on(piece_of(blank=Blank(80.0, 60.0, 400.0, 40.0, 36.0)))
    assert report_object(leaning)["taper"]["bevel_edge"] == "sawn"
    assert "plane each flat off by 0.04°" in report_text(leaning)
