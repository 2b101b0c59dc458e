"""Starting shapes: each can be sawn as it comes, whatever the blank and the blade."""

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.blades import STOCK_BLADES, reach
from geometry.copying import copied_to_other_face
from geometry.curvature import corner_turns, extent, tightest_bend
from geometry.findings import findings_of, has_stop
from geometry.lines import line_of, line_through
from geometry.nearest import passes_of_height
from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Saw, Variant
from geometry.shapes import (
    SHAPES,
    Arc,
    Cyma,
    Hook,
    PostAndCurve,
    Room,
    Serpentine,
    Straight,
    eased_to,
    room_of,
    with_shape,
)
from geometry.shapes.hook import NARROW_RADIUS_MM
from tests.strategies import lengths

blades = st.none() | st.sampled_from([Blade(b.width_mm) for b in STOCK_BLADES]) | st.just(Blade(6.0, 0.5, 0.9))
faces = st.sampled_from(["front", "side"])
shapes = pytest.mark.parametrize("shape", SHAPES, ids=lambda s: s.__name__)


@st.composite
def blanks(draw):
    width = draw(lengths(40.0, 150.0))
    depth = draw(st.just(width) | lengths(40.0, 150.0))
    return Blank(width, depth, draw(lengths(200.0, 1200.0)))


@shapes
@given(blanks(), blades, st.floats(0.0, 1.5), faces)
def test_a_starting_shape_comes_without_a_finding_that_hinders(shape, blank, blade, kerf, face):
    cut = Cut(kerf=kerf, blade=blade)
    # room under the saw's guides is the maker's business; that the grain runs out is in the nature of a swing
    plain = Variant("A", blank, front=cut, side=cut, saw=Saw(200.0))
    variant = with_shape(plain, face, shape.fitted(room_of(plain, face)))
    found = [f for f in findings_of(build(variant)) if f.severity != "advice" and f.code != "short-grain"]
    assert [f.message for f in found] == []


@pytest.mark.parametrize("shape", [s for s in SHAPES if s is not Hook], ids=lambda s: s.__name__)
@given(st.data())
def test_on_both_faces_it_can_be_sawn_too(shape, data):
    size, length = data.draw(lengths(40.0, 150.0)), data.draw(lengths(200.0, 1200.0))
    plain = Variant("A", Blank(size, size, length), front=Cut(blade=Blade(6.35)))
    one = with_shape(plain, "front", shape.fitted(room_of(plain, "front")))
    both = copied_to_other_face(one, "front", data.draw(st.sampled_from(["together", "apart"])))
    assert not has_stop(findings_of(build(both)))


@given(blanks())
def test_a_second_hook_keeps_out_of_the_way_of_the_first(blank):
    plain = Variant("A", blank, saw=Saw(200.0))
    one = with_shape(plain, "front", Hook.fitted(room_of(plain, "front")))
    two = with_shape(one, "side", Hook.fitted(room_of(one, "side")))
    assert not has_stop(findings_of(build(two)))


def test_two_hooks_at_one_height_saw_a_body_loose():
    plain = Variant("A", Blank(60.0, 60.0, 420.0))
    one = with_shape(plain, "front", Hook.fitted(room_of(plain, "front")))
    for sense in ("together", "apart"):
        stops = {f.code for f in findings_of(build(copied_to_other_face(one, "front", sense))) if f.severity == "stop"}
        assert stops == {"quarter-in-pieces"}


@shapes
@given(blanks(), blades)
def test_the_chosen_blade_stays_unless_it_cannot_follow(shape, blank, blade):
    plain = Variant("A", blank, front=Cut(blade=blade))
    cut = with_shape(plain, "front", shape.fitted(room_of(plain, "front"))).front
    bend = tightest_bend(line_of(cut, blank.length))
    if blade is None or shape is not Hook:
        assert cut.blade == blade
    if cut.blade is not None and bend is not None:
        assert bend.radius_mm >= reach(cut.blade).radius_mm


@shapes
@given(st.floats(12.0, 40.0), st.floats(100.0, 400.0))
def test_on_a_face_too_narrow_for_the_walls_the_line_still_stays_on_the_face_and_the_blade(shape, width, length):
    room = Room(width, length)
    line = line_through(shape.fitted(room).nodes(length))
    far, bend = extent(line), tightest_bend(line)
    if width >= 26.0 or shape is not Hook:  # the narrowest blade turns a flat hook in 26 mm, and in no less
        assert max(-far.least_u[0], far.greatest_u[0]) < width / 2.0
    assert bend is None or bend.radius_mm >= NARROW_RADIUS_MM


@shapes
def test_its_parameters_are_its_fields_and_within_their_bounds(shape):
    room = Room(60.0, 420.0)
    fitted = shape.fitted(room)
    parameters = fitted.parameters(room)
    assert {p.field for p in parameters} == {f.name for f in dataclasses.fields(fitted)}
    for p in parameters:
        assert p.label
        assert p.hint.endswith(".")
        value = getattr(fitted, p.field)
        assert isinstance(value, bool) if p.kind == "switch" else p.least <= value <= p.most
    assert shape.label
    assert shape.hint.endswith(".")


@shapes
@given(st.data())
def test_whatever_a_dialog_can_ask_for_is_a_line_from_end_to_end(shape, data):
    room = Room(data.draw(st.floats(20.0, 150.0)), data.draw(st.floats(100.0, 1200.0)))
    asked = {
        p.field: data.draw(st.booleans() if p.kind == "switch" else st.floats(p.least, p.most))
        for p in shape.fitted(room).parameters(room)
    }
    nodes = shape(**asked).nodes(room.length_mm)
    cut = Cut(nodes=nodes)  # the constructor refuses what is no line
    assert nodes[0].at[1] == 0.0
    assert nodes[-1].at[1] == pytest.approx(room.length_mm, abs=1e-9)
    assert math.isfinite(extent(line_of(cut, room.length_mm)).greatest_u[0])


# ---------------------------------------------------------------- each by itself


def test_straight_is_the_centre_line_and_can_lean():
    straight = Straight.fitted(Room(60.0, 420.0))
    assert [n.at for n in straight.nodes(420.0)] == [(0.0, 0.0), (0.0, 420.0)]
    assert tightest_bend(line_through(Straight(-5.0, 5.0).nodes(420.0))) is None


@given(st.floats(0.2, 0.8), st.floats(-20.0, 20.0).filter(lambda u: abs(u) > 0.5))
def test_an_arc_is_one_bow_to_one_side(fullest, swing):
    line = line_through(Arc(swing, fullest).nodes(420.0))
    far = extent(line)
    outer, inner = (far.greatest_u[0], far.least_u[0]) if swing > 0 else (-far.least_u[0], -far.greatest_u[0])
    assert outer >= abs(swing)
    assert inner == pytest.approx(0.0, abs=1e-9)


def test_a_cyma_is_upright_at_both_ends_and_crosses_over_where_it_turns():
    line = line_through(Cyma(10.0, 0.4).nodes(500.0))
    assert (line.start[0], line.end[0]) == (-10.0, 10.0)
    assert [u for _, _, u in passes_of_height(line, 200.0)] == pytest.approx([0.0], abs=1e-9)
    even = line_through(Cyma(10.0).nodes(500.0))
    assert abs(even.start_direction[0]) < 0.005
    assert abs(even.end_direction[0]) < 0.005


@pytest.mark.parametrize("waves", [0.5, 1.0, 1.5, 3.0, 12.0])
def test_a_serpentine_has_as_many_waves_as_asked_for(waves):
    serpentine = Serpentine.fitted(Room(60.0, 600.0), waves)
    line = line_through(serpentine.nodes(600.0))
    crossings = passes_of_height_zero_across(line)
    assert len(crossings) == 2 * waves - 1
    assert serpentine.swing_mm > 0.0


def passes_of_height_zero_across(line) -> list[float]:
    """Heights within the length at which a line crosses the centre line: its own passes, laid on its side."""
    on_its_side = dataclasses.replace(line, pieces=line.pieces[:, :, ::-1])
    return [z for _, _, z in passes_of_height(on_its_side, 0.0) if 1e-6 < z < 600.0 - 1e-6]


def test_more_waves_are_drawn_lower_so_that_the_blade_follows():
    room = Room(60.0, 420.0, radius_mm=36.5)
    swings = [Serpentine.fitted(room, waves).swing_mm for waves in (1.0, 4.0, 8.0, 16.0)]
    assert swings == sorted(swings, reverse=True)
    assert swings[0] > 4 * swings[2]


def test_the_curve_below_a_post_leaves_it_tangent():
    leg = PostAndCurve.fitted(Room(60.0, 500.0))
    assert leg.post_mm == 100.0
    line = line_through(leg.nodes(500.0))
    assert all(angle < 1e-9 for angle, _ in corner_turns(line))
    assert line.is_straight[-1]
    assert {float(u) for u in line.pieces[-1, :, 0]} == {0.0}


@given(blanks(), st.booleans())
def test_a_hook_climbs_back(blank, right_first):
    room = Room(blank.width, blank.length)
    hook = dataclasses.replace(Hook.fitted(room), right_first=right_first)
    line = line_through(hook.nodes(blank.length))
    passes = [u for _, _, u in passes_of_height(line, hook.height_mm)]
    assert len(passes) == 3
    assert passes == sorted(passes, reverse=right_first)


@pytest.mark.parametrize("radius", [4.8, 6.0, 16.0, 20.0])
@pytest.mark.parametrize("hang", [15.0, 45.0, 60.0])
def test_a_hook_bends_as_tightly_as_asked(radius, hang):
    line = line_through(Hook(radius, 300.0, hang).nodes(600.0))
    assert tightest_bend(line).radius_mm == pytest.approx(radius, rel=2e-3)


def test_a_hook_takes_the_chosen_blade_where_the_walls_allow():
    slender, stout = Room(45.0, 420.0), Room(120.0, 900.0)
    assert NARROW_RADIUS_MM <= Hook.fitted(slender).radius_mm < 16.0
    assert Hook.fitted(stout).radius_mm >= 16.0


def test_what_is_asked_for_can_be_eased_into_the_room():
    room = Room(60.0, 420.0)
    wild = Serpentine(60.0, 6.0)
    assert not room.holds(wild.nodes(420.0))
    eased = eased_to(wild, room)
    assert eased.waves == 6.0
    assert room.holds(eased.nodes(420.0))
    assert not room.holds(eased.eased(1.01).nodes(420.0))


def test_tapered_stock_gives_the_room_of_its_narrow_end():
    variant = Variant("A", Blank(80.0, 60.0, 420.0, top_width=50.0), side=Cut(kerf=1.2, blade=Blade(9.5)))
    assert room_of(variant, "front").width_mm == 50.0
    assert room_of(variant, "side") == Room(60.0, 420.0, 1.2, 6.0, 36.5)
