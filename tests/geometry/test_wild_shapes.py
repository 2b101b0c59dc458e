"""Anything a file may say of tapers and trims: it is built, measured and judged without falling over."""

import json
import math

import pytest
from hypothesis import given

from geometry.measures import cavalieri_volume, moments
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.report import report_object, report_on, report_text
from geometry.stages import bench_stages
from geometry.tolerances import LIVE_CHORD_MM
from tests import strategies

CURVED = (Node((0.0, 0.0)), Node((3.0, 120.0)), Node((-4.0, 270.0)), Node((1.0, 400.0)))


def checked(variant):
    piece = build(variant, LIVE_CHORD_MM)
    report = report_on(piece)
    json.dumps(report_object(report), allow_nan=False)
    assert report_text(report)
    glued = piece.glued()
    for solid in (*piece.quarters, glued):
        assert solid.is_empty or solid.is_closed
    whole = variant.blank.volume_mm3
    quarters = math.fsum(report.quarter_volumes_mm3)
    assert quarters <= whole * (1.0 + 1e-9)
    volume = moments(glued).volume_mm3
    if variant.blank.is_tapered:
        assert volume <= quarters + 1e-6 * whole
    else:
        assert volume == pytest.approx(quarters, rel=1e-6, abs=1e-6 * whole)
        assert volume == pytest.approx(cavalieri_volume(piece.front.widths, piece.side.widths), abs=1e-6 * whole)
    return piece, report


@given(strategies.wild_shaped_variants())
def test_whatever_a_file_says_is_built_and_judged(variant):
    checked(variant)
    for stage in bench_stages(variant):
        for shown in stage.bodies:
            assert shown.body.solid.is_closed
            assert shown.motion.at(0.4).shape == (4, 4)


@given(strategies.trimmed_variants(of=strategies.lines, most=4))
def test_trims_on_any_line(variant):
    checked(variant)


@pytest.mark.parametrize("less", [1e-9, 1e-7, 1e-5, 1e-3, 0.01, 0.1, 1.0])
@pytest.mark.parametrize("support", ["face down", "levelled"])
def test_a_blank_that_hardly_tapers_gives_the_piece_of_a_straight_one(less, support):
    """Glue faces that all but coincide are where booleans fail first."""
    cuts = {"front": Cut(0.9, nodes=CURVED), "side": Cut(0.9, nodes=CURVED)}
    straight = report_on(build(Variant("A", Blank(60.0, 50.0, 400.0), **cuts), LIVE_CHORD_MM))
    for top in ((60.0 - less, 50.0 - less), (60.0 + less, 50.0 - less), (60.0 - less, 50.0)):
        blank = Blank(60.0, 50.0, 400.0, *top)
        _, report = checked(Variant("A", blank, **cuts, taper_support=support))
        assert report.is_watertight
        assert report.volume.volume_mm3 == pytest.approx(straight.volume.volume_mm3, rel=0.03 * less + 1e-6)
        assert report.wood.centre_mm == pytest.approx(straight.wood.centre_mm, abs=3.0 * less + 1e-3)
