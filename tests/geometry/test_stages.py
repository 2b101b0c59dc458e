"""The stages of the work at the bench: rigid moves, closed bodies, no wood lost, nothing through anything else."""

import itertools
import math
import pickle

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.measures import moments
from geometry.offcuts import offcuts_of
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Trim, Variant
from geometry.sawing import to_manifold
from geometry.stage_bodies import trimmed_bodies
from geometry.stages import bench_stages
from geometry.tolerances import LIVE_CHORD_MM
from geometry.turning import TURNED, placements
from tests import strategies

CURVED = (Node((0.0, 0.0)), Node((8.0, 130.0)), Node((-6.0, 260.0)), Node((0.0, 400.0)))


def trim(*points, kerf=0.9):
    return Trim(tuple(Node((float(u), float(z)), "corner") for u, z in points), kerf)


def scoop(side=1, depth=18, low=100, high=300):
    return trim((side * 60, low), (side * depth, low + 40), (side * depth, high - 40), (side * 60, high))


FOOT = trim((20, -5), (20, 70), (55, 90))
FRONT = (scoop(), scoop(-1), FOOT)
SIDE = (scoop(), trim((-16, -5), (-16, 80), (-55, 110)))


def design(front=FRONT, side=SIDE, nodes=CURVED, blank=None, **more):
    blank = blank or Blank(80.0, 70.0, 400.0)
    return Variant("A", blank, front=Cut(0.9, nodes=nodes, trims=front), side=Cut(0.8, trims=side), **more)


DESIGNS = {
    "both ways": design(),
    "front only": design(side=()),
    "side only": design(front=()),
    "no trims": design(front=(), side=()),
    "kerf 0": design(front=(trim((18, -5), (18, 405), kerf=0.0),), side=(trim((18, -5), (18, 405), kerf=0.0),)),
    "tapered": design(front=(), side=(), blank=Blank(80.0, 70.0, 400.0, 50.0, 44.0)),
    "tapered, levelled": design(
        front=(), side=(), blank=Blank(50.0, 70.0, 400.0, 80.0), taper_support="levelled"
    ),
    "trims refused": design(front=(trim((50, 100), (-5, 200), (50, 300)),), side=()),
    "a hook": design(front=(), side=(), nodes=strategies.hooked(40.0, 400.0)),
    "a hook with trims": design(
        front=(trim((18, -5), (18, 90), (60, 100)),), side=(), nodes=strategies.hooked(40.0, 400.0, width=0.5)
    ),
}  # fmt: skip

BEFORE = ("mark", "saw front", "tape", "quarter turn", "saw side", "number quarters")
TRIMMING = ("part", "flats together", "tape flats", "mark trims", "trim", "number offcuts")


def names(stages):
    return [s.name for s in stages]


def volume(bodies):
    return math.fsum(moments(s.body.solid).volume_mm3 for s in bodies)


def placed(stage, t):
    return [to_manifold(s.body.solid.moved(s.motion.at(t))) for s in stage.bodies]


# ---------------------------------------------------------------- which stages there are


def test_without_trims_the_quarters_are_turned_and_glued():
    assert names(bench_stages(DESIGNS["no trims"])) == [*BEFORE, "turn back", "turn quarters", "glue"]
    assert names(bench_stages(DESIGNS["tapered"])) == names(bench_stages(DESIGNS["no trims"]))
    assert names(bench_stages(DESIGNS["trims refused"])) == names(bench_stages(DESIGNS["no trims"]))


def test_with_trims_both_ways_the_whole_work_is_there():
    stages = bench_stages(DESIGNS["both ways"])
    assert names(stages) == [
        *BEFORE, "turn back", *TRIMMING, "square", "quarter turn", *TRIMMING, "drop offcuts", "square",
        "turn quarters", "glue",
    ]  # fmt: skip
    cuts = [s.cut for s in stages if s.name in TRIMMING]
    assert cuts == ["front"] * 6 + ["side"] * 6


def test_one_direction_alone_keeps_no_offcuts():
    assert names(bench_stages(DESIGNS["front only"])) == [
        *BEFORE, "turn back", *TRIMMING, "drop offcuts", "square", "turn quarters", "glue",
    ]  # fmt: skip
    # the right face lies on top already
    assert names(bench_stages(DESIGNS["side only"])) == [
        *BEFORE, *TRIMMING, "drop offcuts", "square", "turn quarters", "glue",
    ]  # fmt: skip


def test_every_stage_says_what_to_do():
    for stage in bench_stages(DESIGNS["both ways"]):
        assert stage.title[0].isupper()
        assert stage.words.endswith(".")
        assert stage.bodies
        assert stage.seconds > 0.0
        assert len({s.body.name for s in stage.bodies}) == len(stage.bodies)


def test_stages_are_plain_values_that_travel_to_another_process():
    stages = pickle.loads(pickle.dumps(bench_stages(DESIGNS["both ways"])))
    assert names(stages) == names(bench_stages(DESIGNS["both ways"]))


# ---------------------------------------------------------------- moves


@pytest.mark.parametrize("which", DESIGNS)
def test_moves_are_rigid_and_bodies_closed(which):
    for stage in bench_stages(DESIGNS[which]):
        for shown in stage.bodies:
            assert shown.body.solid.is_closed
            for t in (-0.5, 0.0, 0.21, 0.5, 0.83, 1.0, 1.5):
                move = shown.motion.at(t)
                assert move[:3, :3] @ move[:3, :3].T == pytest.approx(np.eye(3), abs=1e-12)
                assert np.linalg.det(move[:3, :3]) == pytest.approx(1.0)
                assert move[3].tolist() == [0.0, 0.0, 0.0, 1.0]
            assert np.array_equal(shown.motion.at(-1.0), shown.motion.at(0.0))
            assert np.array_equal(shown.motion.at(2.0), shown.motion.at(1.0))


@pytest.mark.parametrize("which", DESIGNS)
def test_each_stage_begins_where_the_one_before_ended(which):
    """Body for body where names go on; and all the wood of a stage lies in the wood of the one before."""
    stages = bench_stages(DESIGNS[which])
    for before, after in itertools.pairwise(stages):
        ended = {s.body.name: s for s in before.bodies}
        for shown in after.bodies:
            if shown.body.name in ended:
                there = ended[shown.body.name].motion.at(1.0)
                assert shown.motion.at(0.0) == pytest.approx(there, abs=1e-9)
        whole = to_manifold(before.bodies[0].body.solid.moved(before.bodies[0].motion.at(1.0)))
        for body in placed(before, 1.0)[1:]:
            whole += body
        for body in placed(after, 0.0):
            assert (body - whole).volume() < 1e-6 * DESIGNS[which].blank.volume_mm3


@pytest.mark.parametrize("which", DESIGNS)
def test_without_a_jump(which):
    for stage in bench_stages(DESIGNS[which]):
        for shown in stage.bodies:
            moves = np.array([shown.motion.at(t) for t in np.linspace(0.0, 1.0, 41)])
            assert np.abs(np.diff(moves, axis=0)).max() < 60.0


@pytest.mark.parametrize("which", [w for w in DESIGNS if w != "a hook"])
def test_nothing_goes_through_anything_else(which):
    """Up to the turning, which has its own test; there hooks pass into one another while they open."""
    for stage in bench_stages(DESIGNS[which]):
        if stage.name in ("turn quarters", "glue"):
            continue
        for t in (0.0, 0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 0.9, 1.0):
            bodies = placed(stage, t)
            for one, other in itertools.combinations(bodies, 2):
                assert (one ^ other).volume() < 1e-6 * DESIGNS[which].blank.volume_mm3, (stage.name, t)


def test_a_hook_is_drawn_out_along_its_cut():
    stages = {s.name: s for s in bench_stages(DESIGNS["a hook"])}
    high = stages["saw front"].bodies[1].motion.at(1.0)
    assert high[:3, 3] == pytest.approx([0.0, high[1, 3], 0.0])
    assert high[1, 3] < -70.0
    bodies = placed(stages["saw front"], 0.5)
    assert (bodies[0] ^ bodies[1]).volume() < 1e-3


def test_the_last_stages_are_the_turning_of_the_piece():
    for which in ("both ways", "tapered"):
        variant = DESIGNS[which]
        piece = build(variant, LIVE_CHORD_MM)
        *_, turn, glue = bench_stages(variant)
        for stage, stop in ((turn, TURNED), (glue, 1.0)):
            wanted = placements(variant.blank, piece.quarters, stop)
            assert all(np.array_equal(s.motion.at(1.0), w) for s, w in zip(stage.bodies, wanted, strict=True))
        for shown, quarter in zip(glue.bodies, piece.quarters, strict=True):
            assert np.array_equal(shown.body.solid.vertices, quarter.vertices)


# ---------------------------------------------------------------- wood


def test_no_wood_is_lost_but_to_the_saw():
    """Quarters after the trims, offcuts and the trims' kerfs are the quarters before, both directions crossed."""
    variant = DESIGNS["both ways"]
    sawn = build(variant, LIVE_CHORD_MM)
    bare = replace(variant, front=replace(variant.front, trims=()), side=replace(variant.side, trims=()))
    before = build(bare, LIVE_CHORD_MM)
    whole = math.fsum(moments(q).volume_mm3 for q in before.quarters)
    front = trimmed_bodies(before, sawn, "front")
    # the kerfs of the front trims, carried through both quarters of their half: plane areas by the side's widths
    lost = 0.0
    for t in sawn.front.trims:
        kerf = t.taken.difference(t.offcut)
        for sy, region in ((-1, before.side.face.left), (1, before.side.face.right)):
            del sy
            lost += crossed_volume(kerf, region)
    kept = math.fsum(moments(b.solid).volume_mm3 for b in front)
    assert kept + lost == pytest.approx(whole, rel=1e-7)
    # after the second direction the quarters are those of the piece
    both = trimmed_bodies(before, sawn, "side")
    for body in both:
        if body.kind == "quarter":
            wanted = moments(sawn.quarters[body.number - 1]).volume_mm3
            assert moments(body.solid).volume_mm3 == pytest.approx(wanted, rel=1e-9)


def crossed_volume(one, two):
    """∫ |one(z)| |two(z)| dz by level cuts at the middle of 4,000 slices, without the package's own widths."""
    low, high = one.bounds[1], one.bounds[3]
    z = low + (np.arange(4000) + 0.5) / 4000.0 * (high - low)
    rows = shapely.linestrings([[(-999.0, h), (999.0, h)] for h in z])
    across = [shapely.length(shapely.intersection(rows, region)) for region in (one, two)]
    return float((across[0] * across[1]).mean()) * (high - low)


def test_at_kerf_0_nothing_is_lost_at_all():
    variant = DESIGNS["kerf 0"]
    variant = replace(variant, front=replace(variant.front, kerf=0.0), side=replace(variant.side, kerf=0.0))
    for stage in bench_stages(variant):
        kept = volume(stage.bodies)
        if stage.name in ("turn quarters", "glue") or (stage.name == "square" and stage.cut == "side"):
            assert kept < variant.blank.volume_mm3
        else:
            assert kept == pytest.approx(variant.blank.volume_mm3, rel=1e-9), stage.name


@given(strategies.trimmed_variants(least=1, most=2, sanding=st.just(0.0), kerfs=st.sampled_from([0.0, 0.9])))
@settings(max_examples=12)
def test_offcuts_and_quarters_do_not_share_wood_and_fit_the_stock(variant):
    sawn = build(variant, LIVE_CHORD_MM)
    bare = replace(variant, front=replace(variant.front, trims=()), side=replace(variant.side, trims=()))
    before = build(bare, LIVE_CHORD_MM)
    stock = [to_manifold(q) for q in before.quarters]
    for cut in ("front", "side"):
        bodies = trimmed_bodies(before, sawn, cut)
        for body in bodies:
            solid = to_manifold(body.solid)
            assert body.solid.is_closed
            assert (solid - stock[body.quarter - 1]).volume() < 1e-6 * variant.blank.volume_mm3
        for one, other in itertools.combinations(bodies, 2):
            if one.quarter == other.quarter:
                shared = to_manifold(one.solid) ^ to_manifold(other.solid)
                assert shared.volume() < 1e-6 * variant.blank.volume_mm3
    assert all(b.kind == "quarter" or b.cut in ("front", "side") for b in bodies)


# ---------------------------------------------------------------- offcuts


def test_the_offcuts_that_are_needed_go_back_and_the_others_do_not():
    variant = design(front=(FOOT, scoop(low=180, high=320)))
    needed = {o.number: o.is_needed for o in offcuts_of(build(variant)) if o.cut == "front"}
    assert needed == {1: True, 2: False}
    stages = bench_stages(variant)
    square = next(s for s in stages if s.name == "square" and s.cut == "front")
    for shown in square.bodies:
        home = np.array_equal(shown.motion.at(1.0), square.bodies[0].motion.at(1.0))
        assert home == (shown.body.kind == "quarter" or shown.body.number == 1)
    second = next(s for s in stages if s.name == "part" and s.cut == "side")
    assert {s.body.number for s in second.bodies if s.body.kind == "offcut"} == {1}
    # back square they are where they were in the blank
    assert all(s.motion.at(1.0)[:3, 3] == pytest.approx([0.0, 0.0, 0.0]) for s in square.bodies if home)


def test_the_second_direction_saws_through_the_first_offcuts():
    stages = bench_stages(DESIGNS["both ways"])
    trimming = next(s for s in stages if s.name == "trim" and s.cut == "side")
    chips = [s.body for s in trimming.bodies if "through" in s.body.name]
    assert chips
    assert all(b.cut == "side" for b in chips)
    first = next(s for s in stages if s.name == "trim" and s.cut == "front")
    assert not any("through" in s.body.name for s in first.bodies)


# ---------------------------------------------------------------- marks


@pytest.mark.parametrize("which", DESIGNS)
def test_marks_lie_on_the_bodies_they_move_with(which):
    for stage in bench_stages(DESIGNS[which]):
        bodies = {s.body.name: s.body.solid for s in stage.bodies}
        for mark in stage.marks:
            assert mark.body in bodies, (stage.name, mark.kind)
            if mark.kind == "number":
                assert mark.points.shape == (1, 3)
                assert mark.text
            if mark.kind in ("number", "line"):
                solid = bodies[mark.body]
                low, high = solid.vertices.min(axis=0) - 1.0, solid.vertices.max(axis=0) + 1.0
                assert ((mark.points > low) & (mark.points < high)).all(), (stage.name, mark.kind)


def test_trims_are_marked_where_the_halves_lie_flats_together():
    variant = DESIGNS["both ways"]
    stages = bench_stages(variant)
    for cut, axis in (("front", 0), ("side", 0)):
        stage = next(s for s in stages if s.name == "mark trims" and s.cut == cut)
        motions = {s.body.name: s.motion for s in stage.bodies}
        drawn = [m for m in stage.marks if m.kind == "trim"]
        assert {m.text for m in drawn} == {str(i + 1) for i in range(len(variant.cut(cut).trims))}
        for mark in drawn:
            move = motions[mark.body].at(1.0)
            seen = mark.points @ move[:3, :3].T + move[:3, 3]
            # seen from the front, across is u of the flats-together view and y is the near face
            path = build(variant, LIVE_CHORD_MM).cut(cut).trims[int(mark.text) - 1].path
            line = shapely.LineString(path)
            away = shapely.distance(line, shapely.points(seen[:, [axis, 2]]))
            assert away.max() < 1e-5
            near = -variant.blank.depth / 2.0 if cut == "front" else -variant.blank.width / 2.0
            assert seen[:, 1] == pytest.approx(np.full(len(seen), near))
