"""Making lay-ups and editing them strip by strip: whatever is done, the blank stays filled."""

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.layup import Checker, Chevron, Plain, Stripes, check_fills
from geometry.layup_editing import (
    centred,
    is_centred,
    made_alike,
    mirrored,
    total_mm,
    widths_that_meet,
    with_border_moved,
    with_count,
    with_equal_widths,
    with_half_outer_strips,
    with_like_neighbours_joined,
    with_strip_moved,
    with_strip_removed,
    with_strip_species,
    with_strip_split,
    with_strip_width,
    with_strips_joined,
    with_widths_that_meet,
)
from geometry.layup_making import (
    LayupKind,
    checker_all_through,
    chevron,
    end_checker,
    equal_strips,
    filled,
    fitted,
    kind_of,
    level_layers,
    species_in,
    turned_into,
)
from geometry.lineup import line_up
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from tests.strategies import blanks, layups, lengths, species

BLANK = Blank(60.0, 50.0, 400.0)
ABC = Stripes("x", ((10.0, "walnut"), (20.0, "maple"), (30.0, "cherry")))
KINDS = get_args(LayupKind)


def fills(layup, blank):
    check_fills(layup, blank.width, blank.depth, blank.length)
    return layup


# ---------------------------------------------------------------- makers


@given(blanks(), st.integers(1, 12), st.integers(1, 9), st.integers(1, 30), st.lists(species, min_size=1, max_size=4))
def test_every_maker_fills_its_blank_evenly(blank, nx, ny, nz, names):
    for across, size in (("x", blank.width), ("y", blank.depth)):
        strips = fills(equal_strips(blank, across, nx, names), blank)
        assert [s for _, s in strips.strips] == [names[i % len(names)] for i in range(nx)]
        assert [w for w, _ in strips.strips] == pytest.approx([size / nx] * nx, abs=1e-8)
        assert fills(chevron(blank, across, species=names), blank).peak == 0.0
    assert fills(end_checker(blank, nx, ny, names), blank).z is None
    through = fills(checker_all_through(blank, nx, ny, nz, names), blank)
    assert (len(through.x), len(through.y), len(through.z)) == (nx, ny, nz)
    layers = fills(level_layers(blank, nz, names), blank)
    assert (len(layers.x), len(layers.y), len(layers.z)) == (1, 1, nz)
    assert kind_of(layers) == "level layers"


@given(st.lists(st.integers(1, 50), min_size=1, max_size=15), lengths(5.0, 900.0))
def test_filled_keeps_proportions_and_mirror_images(weights, total):
    sizes = filled(weights, total)
    assert math.fsum(sizes) == pytest.approx(total, abs=1e-9)
    scale = total / sum(weights)
    assert sizes == pytest.approx([w * scale for w in weights], abs=1e-7)
    alike = filled([*weights, *weights[-2::-1]], total)
    assert alike == alike[::-1]


def test_heights_of_layers_are_stretched_to_the_blank():
    layers = level_layers(BLANK, (10.0, 30.0, 10.0), ("ash", "teak"))
    assert layers.z == (80.0, 240.0, 80.0)


@settings(max_examples=60)
@given(blanks().flatmap(lambda b: st.tuples(st.just(b), layups(b))), st.sampled_from(KINDS), blanks())
def test_every_kind_turns_into_every_other_and_fits_another_blank(both, kind, other):
    blank, layup = both
    turned = fills(turned_into(layup, kind, blank), blank)
    assert kind_of(turned) == kind
    assert species_in(layup)[0] in species_in(turned)
    kept = kind == kind_of(layup) or isinstance(layup, Stripes)
    assert kept or kind == "plain" or len(species_in(turned)) > 1
    assert turned_into(turned, kind, blank) is turned
    assert fitted(layup, blank) == layup
    assert kind_of(fills(fitted(turned, other), other)) == kind


def test_what_is_kept_when_the_kind_changes():
    deep = turned_into(ABC, "stripes across the depth", BLANK)
    assert deep.along == "y"
    assert [w for w, _ in deep.strips] == pytest.approx([50 / 6, 50 / 3, 25.0])
    assert species_in(deep) == species_in(ABC)
    block = checker_all_through(BLANK, 3, 5, 9)
    assert turned_into(block, "end checker", BLANK) == end_checker(BLANK, 3, 5)
    assert turned_into(block, "level layers", BLANK).z == block.z
    v = Chevron("x", 30.0, 17.0, ("ash", "teak"), 3.0)
    assert turned_into(v, "chevron across the depth", BLANK) == Chevron("y", 30.0, 17.0, ("ash", "teak"), 3.0)
    assert turned_into(Plain("maple"), "end checker", BLANK).species == ("maple", "walnut")
    wide = fitted(ABC, Blank(90.0, 50.0, 400.0))
    assert wide.strips == ((15.0, "walnut"), (30.0, "maple"), (45.0, "cherry"))


# ---------------------------------------------------------------- strip by strip


def test_one_strip_wider():
    assert with_strip_width(ABC, 0, 20.0).strips == ((20.0, "walnut"), (16.0, "maple"), (24.0, "cherry"))
    assert with_strip_width(ABC, 0, 20.0, keep_alike=True).strips == (
        (20.0, "walnut"), (20.0, "maple"), (20.0, "cherry"),
    )  # fmt: skip
    assert with_strip_width(ABC, 1, 59.5) is ABC  # two veneers at least are left beside it
    assert with_strip_width(ABC, 1, 0.1) is ABC
    assert with_strip_width(ABC, 7, 10.0) is ABC
    assert with_strip_width(Stripes("x", ((60.0, "ash"),)), 0, 50.0).strips == ((60.0, "ash"),)


def test_a_border_moved_stops_at_a_veneer():
    assert with_border_moved(ABC, 1, 4.0).strips == ((10.0, "walnut"), (24.0, "maple"), (26.0, "cherry"))
    assert with_border_moved(ABC, 0, -50.0).strips[:2] == ((0.5, "walnut"), (29.5, "maple"))
    assert with_border_moved(ABC, 0, 50.0).strips[:2] == ((29.5, "walnut"), (0.5, "maple"))
    assert with_border_moved(ABC, 2, 1.0) is ABC
    assert with_border_moved(ABC, -1, 1.0) is ABC


def test_species_split_join_move_remove():
    assert with_strip_species(ABC, 1, "teak").strips[1] == (20.0, "teak")
    assert with_strip_split(ABC, 2).strips[2:] == ((15.0, "cherry"), (15.0, "cherry"))
    assert with_strip_split(ABC, 2, 5.0, "ash").strips[2:] == ((5.0, "cherry"), (25.0, "ash"))
    assert with_strip_split(ABC, 2, 29.9) is ABC
    assert with_strip_split(ABC, 3) is ABC
    assert with_strips_joined(ABC, 0).strips == ((30.0, "maple"), (30.0, "cherry"))
    assert with_strips_joined(ABC, 2) is ABC
    assert [s for _, s in with_strip_moved(ABC, 0, 2).strips] == ["maple", "cherry", "walnut"]
    assert with_strip_moved(ABC, 0, 99) == with_strip_moved(ABC, 0, 2)
    assert with_strip_moved(ABC, 5, 0) is ABC
    assert with_strip_removed(ABC, 2).strips == ((20.0, "walnut"), (40.0, "maple"))
    assert with_strip_removed(Stripes("x", ((60.0, "ash"),)), 0).strips == ((60.0, "ash"),)
    assert mirrored(mirrored(ABC)) == ABC
    assert mirrored(ABC).strips[0] == (30.0, "cherry")
    split = with_strip_split(with_strip_split(ABC, 2), 1)
    assert with_like_neighbours_joined(split) == ABC


def test_counts_and_halves():
    assert with_count(ABC, 4).strips == (
        (15.0, "walnut"), (15.0, "maple"), (15.0, "cherry"), (15.0, "walnut"),
    )  # fmt: skip
    assert with_count(ABC, 0) is ABC
    assert with_count(ABC, 200) is ABC  # thinner than veneers
    assert with_equal_widths(ABC).strips == ((20.0, "walnut"), (20.0, "maple"), (20.0, "cherry"))
    five = equal_strips(BLANK, "x", 5)
    assert [w for w, _ in with_half_outer_strips(five).strips] == [7.5, 15.0, 15.0, 15.0, 7.5]
    two = equal_strips(BLANK, "x", 2)
    assert with_half_outer_strips(two) is two


def stripes_in(blank):
    return layups(blank).filter(lambda x: isinstance(x, Stripes))


edits = st.sampled_from(
    [
        lambda s, i, v: with_strip_width(s, i, v),
        lambda s, i, v: with_strip_width(s, i, v, keep_alike=True),
        lambda s, i, v: with_border_moved(s, i, v - 20.0),
        lambda s, i, v: with_strip_species(s, i, "teak"),
        lambda s, i, v: with_strip_split(s, i),
        lambda s, i, v: with_strip_split(s, i, v, "ash"),
        lambda s, i, v: with_strips_joined(s, i),
        lambda s, i, v: with_strip_moved(s, i, round(v) % 5),
        lambda s, i, v: with_strip_removed(s, i),
        lambda s, i, v: with_count(s, i + 1),
        lambda s, i, v: with_equal_widths(s),
        lambda s, i, v: with_like_neighbours_joined(s),
        lambda s, i, v: mirrored(s),
        lambda s, i, v: made_alike(s),
        lambda s, i, v: with_half_outer_strips(s),
        lambda s, i, v: with_widths_that_meet(s, 0.9),
    ]
)


@given(
    blanks().flatmap(lambda b: st.tuples(st.just(b), stripes_in(b))),
    st.lists(st.tuples(edits, st.integers(-1, 8), lengths(0.1, 60.0)), min_size=1, max_size=12),
)
def test_no_edits_in_any_order_leave_a_gap(both, done):
    blank, stripes = both
    for edit, i, value in done:
        stripes = fills(edit(stripes, i, value), blank)


# ---------------------------------------------------------------- what meets


@given(blanks(), st.integers(0, 6), st.floats(0.0, 3.0), st.booleans())
def test_widths_that_meet_look_even_after_the_saw(blank, pairs, kerf, half_outer):
    count = 2 * pairs + 1
    widths = widths_that_meet(blank.width, count, kerf, half_outer=half_outer)
    assert widths is not None
    assert math.fsum(widths) == pytest.approx(blank.width, abs=1e-9)
    assert widths == widths[::-1]
    if count > 3:
        t = widths[1]
        assert widths[1:pairs] == pytest.approx([t] * (pairs - 1), abs=1e-8)
        # sawn through the middle, the centre strip is as wide as the others; the outer two lie together
        assert widths[pairs] - kerf == pytest.approx(t, abs=1e-7)
        assert widths[0] * (2.0 if half_outer else 1.0) == pytest.approx(t, abs=1e-7)
    assert widths_that_meet(blank.width, count + 1, kerf) is None


def test_widths_that_meet_on_stripes():
    even = equal_strips(BLANK, "x", 4)
    met = with_widths_that_meet(even, 1.0)
    assert [s for _, s in met.strips] == ["walnut", "maple", "walnut", "maple", "walnut"]
    assert [w for w, _ in met.strips] == [7.375, 14.75, 15.75, 14.75, 7.375]
    assert widths_that_meet(5.0, 21, 1.0) is None
    assert with_widths_that_meet(Stripes("x", tuple((0.5, "ash") for _ in range(121))), 0.9).strips[0] == (0.5, "ash")


def test_centring():
    assert centred(Chevron("y", 30.0, 20.0, ("ash", "teak"), 4.0)).peak == 0.0
    assert centred(ABC).strips == ((10.0, "walnut"), (40.0, "maple"), (10.0, "walnut"))
    even = Stripes("x", tuple((15.0, ("ash", "teak")[i % 2]) for i in range(4)))
    assert centred(even).strips == ((15.0, "ash"), (30.0, "teak"), (15.0, "ash"))
    assert centred(Checker((30.0, 30.0), (10.0, 15.0, 25.0), ("ash", "teak", "fir"))) == Checker(
        (20.0,) * 3, filled((10.0, 15.0, 10.0), 50.0), ("ash", "teak")
    )
    assert centred(Plain("ash")) == Plain("ash")


LINE = (Node((0.0, 0.0)), Node((11.0, 100.0)), Node((-12.0, 260.0)), Node((4.0, 400.0)))


@settings(max_examples=40)
@given(layups(BLANK))
def test_what_was_centred_meets(layup):
    made = fills(centred(layup), BLANK)
    assert is_centred(made)
    if isinstance(made, Chevron) and (abs(made.angle_deg) > 80.0 or made.pitch < 2.0):
        return
    for seam in line_up(build(Variant("A", BLANK, made, front=Cut(nodes=LINE), side=Cut(nodes=LINE)), 0.05)):
        assert seam.meeting == seam.crossings
        assert seam.same_species == pytest.approx(1.0, abs=1e-6)
    assert total_mm(ABC) == 60.0
