"""Cut list of a set: whether left and right differ is found from the design, and confirmed by the solids themselves."""

import csv
import io

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import grid_of
from geometry.measures import moments
from geometry.piece import build
from geometry.project import Blank, Cut, Trim, Variant
from geometry.set_list import Kind, in_words, mirror_of, mirrored, set_csv, set_list
from tests.geometry.test_lines import nodes
from tests.strategies import trimmed_variants, variants

SQUARE, OBLONG = Blank(60.0, 60.0, 300.0), Blank(60.0, 50.0, 300.0)
WAVE = nodes((0, 0), (8, 90), (-6, 200), (0, 300))
OTHER = nodes((0, 0), (-5, 120), (7, 210), (0, 300))
WAVE_BACK = nodes((0, 0), (-8, 90), (6, 200), (0, 300))
TRIM = Trim(nodes((40, 20), (22, 120), (40, 240)))
TRIM_BACK = Trim(nodes((-40, 20), (-22, 120), (-40, 240)))
STRIPES = Stripes("x", ((20.0, "walnut"), (20.0, "maple"), (20.0, "walnut")))
BLOCKS = Checker((20.0, 20.0, 20.0), (20.0, 20.0, 20.0), ("walnut", "maple"))


def variant(blank=SQUARE, front=WAVE, side=WAVE, layup=None, **more):
    return Variant("A", blank, layup or Plain("walnut"), front=Cut(nodes=front), side=Cut(nodes=side), **more)


ALIKE = {
    "both lines the same": (variant(), "diagonal"),
    "lines opposite": (variant(side=WAVE_BACK), "diagonal"),
    "all straight": (variant(front=(), side=()), "diagonal"),
    "nodes in other places, the same line": (
        variant(front=nodes((0, 0), (10, 300), kinds="cc"), side=nodes((0, 0), (5, 150), (10, 300), kinds="ccc")),
        "diagonal",
    ),
    "front straight": (variant(front=()), "centre"),
    "side straight, blank oblong": (variant(OBLONG, side=()), "centre"),
    "blocks alike both ways": (variant(layup=BLOCKS), "diagonal"),
    "stripes, front straight": (variant(front=(), layup=STRIPES), "centre"),
    "level layers": (variant(layup=Checker((60.0,), (60.0,), ("walnut", "maple"), (100.0, 200.0))), "diagonal"),
    "a chevron with its peak in the middle": (
        variant(front=(), layup=Chevron("x", 45.0, 20.0, ("walnut", "maple"))), "centre",
    ),
}  # fmt: skip
DIFFERENT = {
    "lines differ": variant(side=OTHER),
    "blank oblong": variant(OBLONG),
    "kerfs differ": replace(variant(), side=Cut(2.0, nodes=WAVE)),
    "one trimmed": replace(variant(), side=Cut(nodes=WAVE, trims=(TRIM,))),
    "trims on the wrong sides": replace(
        variant(), front=Cut(nodes=WAVE, trims=(TRIM,)), side=Cut(nodes=WAVE, trims=(TRIM_BACK,))
    ),
    "stripes one way": variant(layup=STRIPES),
    "a chevron": variant(layup=Chevron("x", 45.0, 20.0, ("walnut", "maple"))),
    "a chevron off the middle": variant(front=(), layup=Chevron("x", 45.0, 20.0, ("walnut", "maple"), 5.0)),
    "tapered one way": variant(Blank(60.0, 60.0, 300.0, 40.0, 60.0)),
}


@pytest.mark.parametrize("name", ALIKE)
def test_one_kind_where_the_piece_is_its_own_mirror_image(name):
    design, mirror = ALIKE[name]
    found = set_list(build(design, 0.05), 4, 1)
    assert found.mirror == mirror
    assert found.kinds == (Kind("any", 4, 1),)
    assert found.count == 5


@pytest.mark.parametrize("name", DIFFERENT)
def test_two_and_two_where_it_is_not(name):
    found = set_list(build(DIFFERENT[name], 0.05), 4, 1)
    assert found.mirror is None
    assert found.kinds == (Kind("left", 2, 1), Kind("right", 2, 1))
    assert found.count == 6


def test_trims_that_match_keep_one_kind():
    both = replace(variant(), front=Cut(nodes=WAVE, trims=(TRIM,)), side=Cut(nodes=WAVE, trims=(TRIM,)))
    assert mirror_of(build(both, 0.05)) == "diagonal"


@pytest.mark.parametrize(("count", "kinds"), [(1, ("any",)), (2, ("left", "right")), (3, ("left", "right"))])
def test_odd_sets_take_one_more_left(count, kinds):
    found = set_list(build(variant(side=OTHER), 0.05), count)
    assert tuple(k.hand for k in found.kinds) == kinds
    assert sum(k.count for k in found.kinds) == count
    assert found.kinds[0].count - found.kinds[-1].count in (0, 1)


@given(variants(), st.sampled_from(["diagonal", "other diagonal", "front", "side"]))
@settings(max_examples=15)
def test_what_is_called_its_own_mirror_image_is_so_as_a_solid(design, plane):
    """The mirrored solid's common part with the piece is all of the piece."""
    if plane.endswith("diagonal"):
        turned = tuple(replace(n, at=(-n.at[0], n.at[1])) for n in design.front.nodes)
        side = turned if plane.startswith("other") else design.front.nodes
        blank = replace(design.blank, depth=design.blank.width)
        design = replace(design, blank=blank, side=replace(design.front, nodes=side))
    else:
        design = replace(design, **{plane: Cut(nodes=())})
    piece = build(replace(design, layup=Plain("ash")), 0.05)
    assert mirror_of(piece) is not None
    if mirror_of(piece) == "diagonal":
        p, q = piece.front.profile, piece.side.profile
        same = [
            shapely.symmetric_difference(p, shapely.transform(q, lambda s, k=k: s * (k, 1.0))).area for k in (1, -1)
        ]
        assert min(same) <= 0.1 * piece.variant.blank.length


# ---------------------------------------------------------------- the other hand


@given(trimmed_variants(most=1))
@settings(max_examples=15)
def test_the_mirrored_design_gives_the_mirrored_piece(design):
    one, other = build(design, 0.05).glued(), build(mirrored(design), 0.05).glued()
    a, b = moments(one), moments(other)
    assert b.volume_mm3 == pytest.approx(a.volume_mm3, rel=1e-3)
    if a.volume_mm3 > 0.0:
        assert b.centre_mm == pytest.approx(a.centre_mm * (-1.0, 1.0, 1.0), abs=0.2)
    assert mirrored(mirrored(design)).front == design.front


@pytest.mark.parametrize(
    "layup",
    [
        Stripes("x", ((10.0, "walnut"), (20.0, "maple"), (30.0, "cherry"))),
        Stripes("y", ((10.0, "walnut"), (20.0, "maple"), (30.0, "cherry"))),
        Checker((10.0, 20.0, 10.0, 20.0), (30.0, 30.0), ("walnut", "maple")),
        Checker((10.0, 20.0, 30.0), (30.0, 30.0), ("walnut", "maple"), (100.0, 200.0)),
        Chevron("x", 40.0, 25.0, ("walnut", "maple"), 7.0),
        Chevron("y", 40.0, 25.0, ("walnut", "maple"), 7.0),
    ],
    ids=repr,
)
def test_the_wood_of_the_other_hand_is_mirrored_as_well(layup):
    design = variant(layup=layup)
    here, there = grid_of(design), grid_of(mirrored(design))
    points = np.random.default_rng(3).uniform((-30.0, -30.0, 0.0), (30.0, 30.0, 300.0), (500, 3))
    one = [here.species[k] for k in here.species_at(points)]
    assert one == [there.species[k] for k in there.species_at(points * (-1.0, 1.0, 1.0))]


# ---------------------------------------------------------------- as words and as a table


def test_words_say_how_many_and_why():
    assert "one serves every corner" in in_words(set_list(build(variant(), 0.05), 4))
    words = in_words(set_list(build(variant(side=OTHER), 0.05), 4, 2))
    assert words.startswith("2 left and 2 right, and 2 spares of each")
    assert in_words(set_list(build(variant(), 0.05), 1)) == "One piece."


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_table_can_be_read_back(units):
    design = variant(side=OTHER, layup=STRIPES)
    piece = build(design, 0.05)
    found = set_list(piece, 4, 1)
    rows = list(csv.DictReader(io.StringIO(set_csv(piece, found, units).decode("utf-8-sig"))))
    blanks = [r for r in rows if r["part"] == "blank"]
    assert [(r["hand"], r["count"]) for r in blanks] == [("left", "3"), ("right", "3")]
    boards = [r for r in rows if r["what"] == "board"]
    assert {r["wood"] for r in boards} == {"Walnut (black)", "Maple (sugar, hard)"}
    assert sum(int(r["count"]) for r in boards) == 6 * 3  # three strips to each of six blanks
    scale = 1.0 if units == "mm" else 25.4
    for r in boards:
        thick, wide, long = (float(r[f"rough {k} {units}"]) * scale for k in ("thick", "wide", "long"))
        feet = int(r["count"]) * thick * wide * long / (144.0 * 25.4**3)
        assert float(r["board feet in all"]) == pytest.approx(feet, rel=0.05)
        assert float(r[f"long {units}"]) * scale == pytest.approx(300.0, abs=0.8)
