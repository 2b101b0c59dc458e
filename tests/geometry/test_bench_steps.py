"""The steps at the bench: bodies that hold all the wood, marks that lie on it."""

import numpy as np
import pytest
from hypothesis import given, settings
from msgspec.structs import replace

from geometry.bench_steps import bench_steps
from geometry.measures import bounds, moments
from geometry.piece import build
from geometry.project import CUT_NAMES, Blank, Cut, Variant
from tests.geometry.test_set_list import TRIM, WAVE
from tests.geometry.test_templates import TAPERED, TRIMMED
from tests.strategies import variants

PLAIN = Variant("A", Blank(60.0, 50.0, 300.0), front=Cut(nodes=WAVE), side=Cut(nodes=WAVE))


def by_name(variant):
    return {step.name: step for step in bench_steps(variant)}


def volume(step):
    return sum(moments(solid).volume_mm3 for solid, _ in step.bodies)


def points(step):
    return np.concatenate([s.vertices @ m[:3, :3].T + m[:3, 3] for s, m in step.bodies])


def test_the_steps_come_in_the_order_of_the_work():
    names = [step.name for step in bench_steps(PLAIN)]
    assert names == ["mark", "first cut", "tape", "second cut", "numbered", "turned", "halves", "glued"]
    names = [step.name for step in bench_steps(TRIMMED)]
    assert names[4:6] == ["front trims", "side trims"]
    one = replace(TRIMMED, side=replace(TRIMMED.side, trims=()))
    assert "side trims" not in [step.name for step in bench_steps(one)]


@given(variants())
@settings(max_examples=10)
def test_no_wood_goes_missing_but_what_the_saw_takes(variant):
    steps = by_name(variant)
    blank = variant.blank
    assert volume(steps["mark"]) == pytest.approx(blank.volume_mm3, rel=1e-9)
    kerf = variant.front.kerf * build(variant, 0.05).front.length_mm * blank.depth
    assert volume(steps["first cut"]) == pytest.approx(blank.volume_mm3 - kerf, rel=2e-2)
    quarters = sum(moments(q).volume_mm3 for q in build(variant, 0.05).quarters)
    for name in ("second cut", "numbered", "turned", "halves", "glued"):
        assert volume(steps[name]) == pytest.approx(quarters, rel=1e-9)


@pytest.mark.parametrize("variant", [PLAIN, TRIMMED, TAPERED], ids=lambda v: v.name)
def test_every_move_is_rigid(variant):
    for step in bench_steps(variant):
        for _, move in step.bodies:
            assert move[:3, :3] @ move[:3, :3].T == pytest.approx(np.eye(3), abs=1e-12)
            assert np.linalg.det(move[:3, :3]) == pytest.approx(1.0)


@pytest.mark.parametrize("variant", [PLAIN, TAPERED], ids=lambda v: v.name)
def test_the_lines_are_marked_on_the_faces_of_the_blank(variant):
    step = by_name(variant)["mark"]
    front, side = step.lines
    blank = variant.blank
    for line, across, sizes in (
        (front, 1, (blank.depth, blank.depth_at_top)),
        (side, 0, (blank.width, blank.width_at_top)),
    ):
        share = line[:, 2] / blank.length
        half = (sizes[0] * (1.0 - share) + sizes[1] * share) / 2.0
        assert np.abs(np.abs(line[:, across]) - half).max() < 1e-9
    assert (front[:, 1] < 0.0).all()  # the front face is at -y
    assert (side[:, 0] > 0.0).all()  # the right face is at +x


def test_after_the_quarter_turn_the_right_face_is_at_the_front():
    """Quarters 2 and 3, which hold the right face, come to -y; 1 and 2, before the side line, to the left."""
    step = by_name(PLAIN)["second cut"]
    middles = [(s.vertices.mean(axis=0) @ m[:3, :3].T + m[:3, 3])[:2] for s, m in step.bodies]
    one, two, three, four = middles
    assert max(two[1], three[1]) < min(one[1], four[1])
    assert max(one[0], two[0]) < min(three[0], four[0])


@pytest.mark.parametrize("cut", CUT_NAMES)
def test_flats_together_the_halves_meet_in_the_middle(cut):
    variant = replace(PLAIN, **{cut: Cut(nodes=WAVE, trims=(TRIM,))})
    step = by_name(variant)[f"{cut} trims"]
    sawn = build(variant, 0.05).cut(cut)
    left, _, right, _ = sawn.untrimmed.bounds
    box = points(step)
    assert (box[:, 0].min(), box[:, 0].max()) == pytest.approx((left, right), abs=0.1)
    (line,) = step.lines
    assert line[:, 0] == pytest.approx(line[:, 0].clip(0.0))  # this trim is on the right, and the front is towards us
    assert np.abs(line[:, 1] - box[:, 1].min()).max() < 1e-9


def test_numbers_stand_on_the_top_ends():
    for name in ("numbered", "turned", "halves"):
        step = by_name(PLAIN)[name]
        assert [text for text, _ in step.numbers] == ["1", "2", "3", "4"]
        for (_, at), (solid, move) in zip(step.numbers, step.bodies, strict=True):
            low, high = bounds(solid)
            corners = np.array([[x, y, high[2]] for x in (low[0], high[0]) for y in (low[1], high[1])])
            corners = corners @ move[:3, :3].T + move[:3, 3]
            assert at[2] == pytest.approx(PLAIN.blank.length)
            assert (corners.min(axis=0)[:2] <= at[:2]).all()
            assert (at[:2] <= corners.max(axis=0)[:2]).all()


def test_each_half_holds_the_two_quarters_that_are_glued_first():
    step = by_name(PLAIN)["halves"]
    ys = [s.vertices.mean(axis=0)[1] + m[1, 3] for s, m in step.bodies]
    assert min(ys[:2]) > 0.0 > max(ys[2:])
