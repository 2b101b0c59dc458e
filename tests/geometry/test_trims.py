"""Trims: what comes off, what is refused and where, which offcuts go back, and the piece that is left."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.findings import findings_of
from geometry.measures import cavalieri_volume, moments, smallest_section
from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Limits, Node, Trim, Variant
from geometry.sawing import to_manifold
from geometry.slots import widths
from geometry.tolerances import LIVE_CHORD_MM
from geometry.trims import END_OFFCUT_LEFT_OUT_MM, LEAST_HOLD_MM, may_be_left_out, saw_trims
from tests import strategies

BLANK = Blank(80.0, 60.0, 400.0)
STRAIGHT = Cut(0.0)


def trim(*points, kerf=0.0, kind="corner", blade=None):
    return Trim(tuple(Node((float(u), float(z)), kind) for u, z in points), kerf, blade)


def variant(front=(), side=(), blank=BLANK, kerf=0.0, **more):
    lines = {"front": more.pop("front_nodes", ()), "side": more.pop("side_nodes", ())}
    return Variant(
        "A", blank, front=Cut(kerf, nodes=lines["front"], trims=tuple(front)),
        side=Cut(kerf, nodes=lines["side"], trims=tuple(side)), **more,
    )  # fmt: skip


def sawn(*trims, profile=None):
    profile = shapely.box(-40.0, 0.0, 40.0, 400.0) if profile is None else profile
    return saw_trims(trims, profile, 0.01)


def findings(v):
    return findings_of(build(v, LIVE_CHORD_MM))


def only(v, code):
    (found,) = [f for f in findings(v) if f.code == code]
    return found


# a scoop: in at 100, straight along u = 15 and out at 300
SCOOP = trim((50, 100), (15, 150), (15, 250), (50, 300))


# ---------------------------------------------------------------- what comes off


def test_a_scoop_takes_what_lies_outside_it():
    (one,) = sawn(SCOOP)
    assert (one.number, one.side, one.fault, one.turn) == (1, 1, None, 1)
    # by hand: at the edge u = 40 the trim stands at z = 100 + 10 / 35 · 50, and so on
    low = 100.0 + 50.0 * 10.0 / 35.0
    area = ((400.0 - 2 * low) + 100.0) / 2.0 * 25.0
    assert one.offcut.area == pytest.approx(area, rel=1e-12)
    assert one.taken.area == pytest.approx(area, rel=1e-12)
    assert one.reach == pytest.approx((low, 400.0 - low))


def test_the_order_of_its_nodes_does_not_matter_nor_the_side_it_is_on():
    (one,) = sawn(SCOOP)
    (back,) = sawn(trim(*reversed([n.at for n in SCOOP.nodes])))
    (mirrored,) = sawn(trim(*[(-n.at[0], n.at[1]) for n in SCOOP.nodes]))
    assert one.offcut.equals(back.offcut)
    assert mirrored.side == -1
    assert mirrored.offcut.area == pytest.approx(one.offcut.area)
    assert mirrored.offcut.bounds[2] == pytest.approx(-one.offcut.bounds[0])


def test_the_kerf_lies_in_the_waste_and_the_kept_side_is_as_drawn():
    thick, thin = (sawn(replace(SCOOP, kerf=k))[0] for k in (2.0, 0.0))
    assert thick.taken.equals(thin.taken)
    kerf = thick.taken.difference(thick.offcut)
    # a strip two wide along the trim within the wood, less what its corners share (w² tan(θ/2) each) and what its
    # ends, cut off slanting by the outline, lack (w² / 2 · 50 / 35 each)
    path = shapely.LineString([n.at for n in SCOOP.nodes]).intersection(shapely.box(-40, 0, 40, 400))
    corners, ends = 2.0**2 * math.tan(math.atan2(35.0, 50.0) / 2.0), 2.0**2 / 2.0 * 50.0 / 35.0
    assert kerf.area == pytest.approx(2.0 * path.length - 2.0 * (corners + ends), rel=1e-3)
    assert thick.offcut.distance(path) == pytest.approx(2.0, rel=1e-3)


def test_sanding_comes_off_the_kept_side_only():
    with_, without = (build(variant([replace(SCOOP, kerf=1.0)], kerf=0.0, sanding=s)) for s in (0.5, 0.0))
    middle = np.array([200.0])
    # the trimmed face stands half a millimetre further in; the other face is a sawn face, sanded as well
    assert without.front.widths.at(middle)[0] == pytest.approx(40.0 + 15.0)
    assert with_.front.widths.at(middle)[0] == pytest.approx(40.0 - 0.5 + 15.0 - 0.5)
    # square to a slanting stretch
    slanted = trim((50, -10), (10, 410))
    for sanding in (0.0, 0.7):
        piece = build(variant([slanted], sanding=sanding))
        off = sanding * math.hypot(1.0, 40.0 / 420.0)
        edge = 50.0 - 40.0 * (200.0 + 10.0) / 420.0
        assert piece.front.widths.at(middle)[0] == pytest.approx(40.0 - sanding + edge - off, abs=1e-6)


def test_trims_that_overlap_share_the_wood_in_the_order_they_are_sawn():
    deeper = trim((50, 120), (10, 170), (10, 230), (50, 280))
    one, two = sawn(SCOOP, deeper)
    together = sawn(SCOOP)[0].taken.union(sawn(deeper)[0].taken)
    assert one.taken.area + two.taken.area == pytest.approx(together.area)
    assert one.taken.intersection(two.taken).area < 1e-9
    assert [one.turn, two.turn] == [1, 2]


def test_a_trim_may_end_where_another_took_the_wood_whichever_is_drawn_first():
    # the second runs from the sole up into the scoop and ends in it
    toe = trim((25, -5), (28, 60), (28, 150))
    for pair in ((SCOOP, toe), (toe, SCOOP)):
        both = sawn(*pair)
        assert [t.fault for t in both] == [None, None]
        assert sorted(t.turn for t in both) == [1, 2]
        assert [t.turn for t in both if t.trim == SCOOP] == [1]
        taken = sum(t.taken.area for t in both)
        kept = shapely.box(-40, 0, 40, 400)
        for t in both:
            kept = kept.difference(t.waste)
        assert taken == pytest.approx(80.0 * 400.0 - kept.area)
    assert [t.fault for t in sawn(toe)] == ["trim-misses"]


def test_a_trim_that_ends_in_a_notch_leaves_the_wood_beyond_it():
    """A hook in the line leaves a tongue; the trim takes its tip's root but not what hangs above the notch."""
    notch = shapely.Polygon([(40, 150), (20, 150), (20, 170), (40, 170)])
    profile = shapely.box(-40.0, 0.0, 40.0, 400.0).difference(notch)
    # starts in the notch, runs down and out at the foot: level with its start there is only the notch, further out too
    (one,) = sawn(trim((30, 160), (30, -5)), profile=profile)
    assert one.taken.area == pytest.approx(10.0 * 150.0)
    # a pocket: the notch opens upwards behind a tongue that stands outside of it
    pocket = shapely.Polygon([(30, 150), (20, 150), (20, 400), (30, 400)])
    profile = shapely.box(-40.0, 0.0, 40.0, 400.0).difference(pocket)
    (one,) = sawn(trim((25, 300), (25, 100), (45, 100)), profile=profile)
    assert one.fault is None
    # cut through below the pocket, the whole tongue comes off
    assert one.taken.area == pytest.approx(15.0 * 50.0 + 10.0 * 250.0)
    assert not profile.difference(one.waste).intersects(shapely.Point(35, 200))


@given(strategies.trimmed_variants(least=1))
def test_what_is_kept_and_what_is_taken_are_the_profile(v):
    piece = build(v, LIVE_CHORD_MM)
    for cut in (piece.front, piece.side):
        kept = cut.untrimmed
        for t in cut.trims:
            assert t.fault is None
            assert t.offcut.difference(t.taken.buffer(1e-6)).area < 1e-6
            assert kept.intersection(t.waste).area >= t.taken.area - 1e-6 or t.turn > 1
            kept = kept.difference(t.waste)
        taken = sum(t.taken.area for t in cut.trims)
        assert kept.area + taken == pytest.approx(cut.untrimmed.area, rel=1e-9)
        if v.sanding == 0.0:
            assert cut.profile.area == pytest.approx(kept.area, rel=1e-9)
        assert cut.profile.difference(cut.untrimmed.buffer(1e-6)).area < 1e-6
        # nothing is left on the waste side, and its own side only is touched
        for t in cut.trims:
            half = shapely.box(-500.0, -50.0, 0.0, 2000.0) if t.side > 0 else shapely.box(0.0, -50.0, 500.0, 2000.0)
            assert t.taken.intersection(half).area < 1e-6


@given(strategies.trimmed_variants(least=1))
def test_the_piece_is_the_integral_of_its_widths_and_the_sum_of_its_quarters(v):
    # Cavalieri: ∫ |P'(z)| · |Q'(z)| dz
    piece = build(v, LIVE_CHORD_MM)
    glued = piece.glued()
    assert glued.is_closed
    volume = moments(glued).volume_mm3
    assert volume == pytest.approx(cavalieri_volume(piece.front.widths, piece.side.widths), rel=1e-8)
    quarters = [moments(q).volume_mm3 for q in piece.quarters]
    assert math.fsum(quarters) == pytest.approx(volume, rel=1e-8)
    # and by cutting the profiles level at many heights, without the package's own widths
    z = (np.arange(400) + 0.5) / 400.0 * v.blank.length
    across = [
        shapely.length(shapely.intersection(shapely.linestrings([[(-999.0, h), (999.0, h)] for h in z]), p))
        for p in (piece.front.profile, piece.side.profile)
    ]
    assert volume == pytest.approx(float((across[0] * across[1]).mean()) * v.blank.length, rel=5e-3)


@given(strategies.trimmed_variants(of=strategies.lines, least=1))
@settings(max_examples=20)
def test_quarters_are_what_is_left_of_the_untrimmed_ones(v):
    bare = replace(v, front=replace(v.front, trims=()), side=replace(v.side, trims=()))
    piece, before = build(v, LIVE_CHORD_MM), build(bare, LIVE_CHORD_MM)
    for after, whole in zip(piece.quarters, before.quarters, strict=True):
        assert after.is_empty or after.is_closed
        assert (to_manifold(after) - to_manifold(whole)).volume() < 1e-6 * v.blank.volume_mm3
    # the flats meet the axis untouched: the outside corner of every quarter is still there where it was not trimmed
    assert before.front.profile.equals(piece.front.untrimmed)


@given(strategies.trimmed_variants(least=1, most=2))
def test_a_trim_in_front_leaves_the_side_profile_alone(v):
    bare = replace(v, front=replace(v.front, trims=()))
    assert build(v, LIVE_CHORD_MM).side.profile.equals(build(bare, LIVE_CHORD_MM).side.profile)


def test_a_trim_at_u_above_0_comes_off_the_quarters_left_of_the_line():
    piece = build(variant([SCOOP]))
    whole = 40.0 * 30.0 * 400.0
    taken = piece.front.trims[0].taken.area * 30.0
    assert [moments(q).volume_mm3 for q in piece.quarters] == pytest.approx(
        [whole - taken, whole, whole, whole - taken]
    )
    piece = build(variant((), [SCOOP]))
    # the half in front stands at u > 0 in the side view
    area = piece.side.trims[0].taken.area * 40.0
    assert [moments(q).volume_mm3 for q in piece.quarters] == pytest.approx([whole - area, whole - area, whole, whole])


# ---------------------------------------------------------------- what is refused


def test_across_the_axis_is_refused_with_the_place():
    v = variant([trim((50, 100), (-2.5, 200), (50, 300))])
    piece = build(v)
    (one,) = piece.front.trims
    assert (one.fault, one.fault_at) == ("trim-crosses-axis", (-2.5, 200.0))
    assert piece.front.profile.equals(piece.front.untrimmed)
    found = only(v, "trim-crosses-axis")
    assert (found.severity, found.cut, found.at) == ("stop", "front", (-2.5, 200.0))
    assert "2.5 mm" in found.message
    # up to the axis is a cut, if a foolish one
    touching = variant([trim((50, 100), (0, 200), (50, 300))])
    assert not {"trim-crosses-axis", "trim-misses"} & {f.code for f in findings(touching)}
    assert only(touching, "wall-too-thin").at == pytest.approx((0.0, 200.0))


def test_where_it_crosses_only_between_its_nodes_the_curve_counts():
    swung = trim((50, 100), (2, 140), (2, 200), (50, 240), kind="smooth")
    (one,) = build(variant([swung])).front.trims
    assert one.fault == "trim-crosses-axis"
    assert one.fault_at[0] < -0.5
    assert one.fault_at[1] == pytest.approx(170.0, abs=0.5)


@pytest.mark.parametrize(
    ("points", "at"),
    [
        (((50, 100), (20, 150), (30, 200)), (30.0, 200.0)),
        (((30, 100), (20, 150), (50, 200)), (30.0, 100.0)),
        (((30, 399.99), (20, 150), (50, 100)), (30.0, 399.99)),
    ],
)
def test_an_end_within_the_wood_is_refused_with_the_place(points, at):
    v = variant([trim(*points)])
    found = only(v, "trim-misses")
    assert (found.severity, found.cut) == ("stop", "front")
    assert found.at == pytest.approx(at)
    assert build(v).front.profile.equals(build(v).front.untrimmed)


def test_on_the_outline_it_has_come_out():
    for points in (((40, 100), (20, 200), (40, 300)), ((30, 0), (20, 200), (30, 400))):
        assert build(variant([trim(*points)])).front.trims[0].fault is None


def test_clear_of_the_wood_it_is_refused():
    for points in (((50, 100), (45, 200), (50, 300)), ((10, 410), (20, 450)), ((40, 100), (40, 300))):
        v = variant([trim(*points)])
        assert only(v, "trim-misses").severity == "stop"
        assert build(v).front.trims[0].offcut.is_empty


def test_on_a_tapered_blank_trims_are_refused():
    v = variant((), [SCOOP], Blank(80.0, 60.0, 400.0, 60.0))
    found = only(v, "trim-on-taper")
    assert (found.severity, found.cut) == ("stop", "side")
    assert found.at == SCOOP.nodes[0].at
    assert build(v).side.trims == ()
    assert "straight blank" in found.remedy
    assert "trim-on-taper" not in {f.code for f in findings(variant((), [SCOOP]))}
    # a top that only repeats the foot is no taper
    assert "trim-on-taper" not in {f.code for f in findings(variant((), [SCOOP], Blank(80, 60, 400, 80, 60)))}


# ---------------------------------------------------------------- checked like any other cut


def test_radius_corner_and_self_contact_are_checked():
    scooped = trim((55, 100), (20, 160), (20, 240), (55, 300), kind="smooth")
    v = variant([replace(scooped, blade=Blade(25.4))])
    found = only(v, "radius-too-tight")
    assert (found.severity, found.cut) == ("stop", "front")
    assert "trim 1" in found.message.lower()
    assert "radius-too-tight" not in {f.code for f in findings(variant([replace(scooped, blade=Blade(3.2))]))}
    assert "sharp-corner" in {f.code for f in findings(variant([SCOOP]))}
    looped = trim((50, 100), (20, 200), (30, 250), (45, 200), (20, 150), (50, 300))
    assert only(variant([looped]), "line-touches-itself").severity == "stop"


def test_the_wall_left_is_measured_where_there_is_wood():
    limits = Limits(wall=12.0)
    thin = variant([trim((50, 100), (11, 200), (50, 300))], limits=limits)
    found = only(thin, "wall-too-thin")
    assert found.at == pytest.approx((11.0, 200.0))
    assert "1 mm" in found.remedy
    fine = variant([trim((50, 100), (12, 200), (50, 300))], limits=limits)
    assert "wall-too-thin" not in {f.code for f in findings(fine)}
    # sanding takes its share of the wall
    assert "wall-too-thin" in {f.code for f in findings(replace(fine, sanding=0.1))}
    # past the end of the wood it may come as near as it likes
    beyond = variant([trim((50, 300), (20, 400), (2, 430))], limits=limits)
    assert "wall-too-thin" not in {f.code for f in findings(beyond)}


def test_the_smallest_section_is_that_after_trimming():
    piece = build(variant([SCOOP, trim(*[(-n.at[0], n.at[1]) for n in SCOOP.nodes])], [SCOOP]))
    smallest = smallest_section(piece.front.widths, piece.side.widths)
    assert (smallest.width, smallest.depth) == pytest.approx((30.0, 45.0))
    assert 150.0 - 1e-9 <= smallest.z <= 250.0 + 1e-9
    assert "section-too-thin" in {f.code for f in findings(replace(piece.variant, limits=Limits(section=31.0)))}


# ---------------------------------------------------------------- which offcuts go back


def at(low, high, side=1):
    return trim((side * 50, low), (side * 20, low), (side * 20, high), (side * 50, high))


def left_out(*trims, length=400.0):
    done = sawn(*trims)
    return [may_be_left_out(t, done, length) for t in done]


def test_between_two_held_stretches_an_offcut_may_be_left_out():
    assert left_out(at(100, 300)) == [True]
    assert left_out(at(100, 300), at(100, 300, -1)) == [True, True]


def test_at_an_end_only_a_short_one_may():
    assert left_out(at(-5, END_OFFCUT_LEFT_OUT_MM - 0.5)) == [True]
    assert left_out(at(-5, END_OFFCUT_LEFT_OUT_MM + 0.5)) == [False]
    assert left_out(at(400 - END_OFFCUT_LEFT_OUT_MM + 0.5, 405)) == [True]
    assert left_out(at(350, 405)) == [False]
    assert left_out(at(-5, 405)) == [False]


def test_offcuts_that_meet_are_one_and_so_are_those_across_from_each_other():
    assert left_out(at(-5, 60), at(60, 250)) == [False, False]
    assert left_out(at(-5, 60), at(90, 250)) == [False, True]
    assert left_out(at(-5, 60), at(60 + LEAST_HOLD_MM - 1, 250)) == [False, False]
    # where one half is trimmed the other cannot hold it at full spacing
    assert left_out(at(-5, 60), at(60, 250, -1)) == [False, False]


def test_a_stub_at_the_end_holds_nothing():
    assert left_out(at(LEAST_HOLD_MM - 1, 200)) == [False]
    assert left_out(at(LEAST_HOLD_MM + 1, 200)) == [True]


def test_what_nothing_comes_off_of_need_not_go_back():
    deeper, within = at(100, 300), trim((50, 150), (30, 150), (30, 250), (50, 250))
    one, two = sawn(deeper, within)
    assert two.reach is None
    assert may_be_left_out(two, (one, two), 400.0)


@given(st.lists(strategies.one_trim(40.0, 400.0), min_size=1, max_size=4))
def test_widths_of_what_is_left_add_up(trims):
    box = shapely.box(-40.0, 0.0, 40.0, 400.0)
    kept = box
    for t in saw_trims(trims, box, LIVE_CHORD_MM):
        kept = kept.difference(t.waste)
    w = widths(kept)
    area = float(((w.above + w.below) / 2.0 * np.diff(w.z)).sum())
    assert area == pytest.approx(kept.area, rel=1e-9)
