"""The cut list: enough wood for every cell of the lay-up, stages that build it, drawings that show it."""

import math
from collections import defaultdict

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.blank_wood import blank_volumes_mm3
from geometry.glue_up import Trade
from geometry.glue_up_parts import boards_of, letters
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import layup_grid
from geometry.project import Blank, Variant
from geometry.species import SPECIES
from geometry.wood_list import BOARD_FOOT_MM3, wood_list, wood_list_text
from tests.strategies import blanks, layups

BLANK = Blank(60.0, 50.0, 420.0)
TWO = ("walnut", "maple")
EXACT = Trade(0.0, 0.0, 0.0, 0.0, 0.0)
"""A workshop that loses nothing."""


def design(layup, blank=BLANK):
    return Variant("A", blank, layup)


def by_species(boards):
    out = defaultdict(float)
    for b in boards:
        out[b.species] += b.count * math.prod(b.milled)
    return dict(out)


@pytest.mark.parametrize(
    "layup",
    [
        Plain("ash"),
        Stripes("x", ((10.0, "walnut"), (30.0, "maple"), (20.0, "walnut"))),
        Stripes("y", ((10.0, "walnut"), (20.0, "maple"), (20.0, "fir"))),
        Checker((60.0,), (50.0,), TWO, (20.0, 100.0, 300.0)),
        Checker((60.0,), (20.0, 30.0), TWO),
        Checker((20.0, 40.0), (50.0,), TWO),
        Checker((12.0,) * 5, (10.0,) * 5, TWO),
        Checker((15.0,) * 4, (12.5,) * 4, TWO),
        Checker((12.0,) * 5, (10.0,) * 5, ("walnut", "maple", "fir"), (20.0,) * 21),
        Checker((12.0, 48.0), (10.0, 40.0), TWO, (20.0, 400.0)),
        Checker((60.0,), (50.0,), ("ash",)),
        Chevron("x", 0.0, 60.0, TWO),
    ],
)
def test_with_nothing_lost_the_boards_are_the_blank_species_by_species(layup):
    listed = wood_list(design(layup), trade=EXACT)
    assert by_species(listed.boards) == pytest.approx(blank_volumes_mm3(design(layup)))
    assert listed.rough_volume_mm3 == pytest.approx(BLANK.volume_mm3)
    assert listed.waste_mm3 == pytest.approx(0.0, abs=1e-3)
    assert listed.rough_mass_kg == pytest.approx(listed.blank_mass_kg)


@settings(max_examples=80)
@given(blanks().flatmap(lambda b: st.tuples(st.just(b), layups(b))))
def test_there_is_enough_of_every_species_for_the_blank(both):
    blank, layup = both
    assume(not isinstance(layup, Chevron) or (abs(layup.angle_deg) < 80.0 and layup.pitch > 2.0))
    variant = design(layup, blank)
    needed = blank_volumes_mm3(variant)
    for trade in (EXACT, Trade()):
        listed = wood_list(variant, trade=trade)
        milled = by_species(listed.boards)
        for name, volume in needed.items():
            assert milled.get(name, 0.0) >= volume * (1.0 - 1e-6) - 1e-3
    assert listed.waste_share > 0.0
    assert listed.board_feet == pytest.approx(listed.rough_volume_mm3 / BOARD_FOOT_MM3)
    assert len({b.label for b in listed.boards}) == len(listed.boards)
    assert all(b.milled[i] < b.rough(Trade())[i] for b in listed.boards for i in range(3))
    text = wood_list_text(listed)
    assert "board feet" in text
    assert all(stage.title in text for stage in listed.stages)
    assert listed.stages[-1].title == "Square the blank"


def test_the_allowances_are_those_of_the_trade():
    # common practice, no source: 3 mm thick, 6 wide, 25 to 50 long; 1 to 1.5 mm from each face of the blank
    listed = wood_list(design(Stripes("x", tuple((20.0, TWO[i % 2]) for i in range(3)))))
    outer, inner = listed.boards
    assert (outer.count, outer.species, outer.milled) == (2, "walnut", (21.5, 53.0, 420.0))
    assert (inner.count, inner.species, inner.milled) == (1, "maple", (20.0, 53.0, 420.0))
    assert outer.rough(Trade()) == (24.5, 59.0, 460.0)
    assert listed.rough_volume_mm3 == pytest.approx((2 * 24.5 + 23.0) * 59.0 * 460.0)
    assert listed.rough_mass_kg == pytest.approx(
        (2 * 24.5 * SPECIES["walnut"].density_kg_m3 + 23.0 * SPECIES["maple"].density_kg_m3) * 59.0 * 460.0 * 1e-9
    )
    assert listed.blank_mass_kg == pytest.approx(
        (40.0 * SPECIES["walnut"].density_kg_m3 + 20.0 * SPECIES["maple"].density_kg_m3) * 50.0 * 420.0 * 1e-9
    )


def titles(layup):
    return [s.title for s in wood_list(design(layup)).stages]


def test_stages_go_by_the_lay_up():
    assert titles(Plain()) == ["Square the blank"]
    assert titles(Stripes("x", ((30.0, "ash"), (30.0, "teak")))) == ["Glue the strips", "Square the blank"]
    assert titles(Checker((60.0,), (50.0,), TWO, (210.0,) * 2)) == [
        "Crosscut the layers", "Stack and glue", "Square the blank",
    ]  # fmt: skip
    assert titles(Checker((20.0,) * 3, (25.0,) * 2, TWO)) == [
        "Glue the slabs", "Rip the rows", "Glue the rows", "Square the blank",
    ]  # fmt: skip
    assert titles(Checker((20.0,) * 3, (25.0,) * 2, TWO, (210.0,) * 2)) == [
        "Glue the slabs", "Rip the rows", "Glue the rows", "Crosscut, shift and glue", "Square the blank",
    ]  # fmt: skip
    assert titles(Checker((20.0,) * 3, (50.0,), TWO, (210.0,) * 2)) == [
        "Glue the slabs", "Crosscut, shift and glue", "Square the blank",
    ]  # fmt: skip
    assert titles(Chevron("x", 30.0, 40.0, TWO)) == [
        "Glue the slabs", "Cut at the angle", "Open like a book and glue", "Square the blank",
    ]  # fmt: skip
    assert titles(Chevron("x", 30.0, 40.0, TWO, 90.0)) == ["Glue the slabs", "Cut at the angle", "Square the blank"]


def test_one_slab_does_where_a_row_turned_over_is_the_other_row():
    even = wood_list(design(Checker((15.0,) * 4, (12.5,) * 4, TWO)))
    assert "one slab" in even.stages[0].words
    assert "Turn every second row over" in even.stages[2].words
    odd = wood_list(design(Checker((12.0,) * 5, (10.0,) * 5, TWO)))
    assert "2 slabs" in odd.stages[0].words
    assert "Turn" not in odd.stages[2].words


def area_of(shapes):
    out = defaultdict(float)
    for s in shapes:
        if s.species is not None:
            out[s.species] += shapely.Polygon(s.outline).area
    return dict(out)


def test_drawings_show_the_wood():
    checker = Checker((12.0,) * 5, (10.0,) * 5, TWO)
    rows = next(s for s in wood_list(design(checker), trade=EXACT).stages if s.title == "Glue the rows")
    assert area_of(rows.shapes) == pytest.approx({"walnut": 13 * 120.0, "maple": 12 * 120.0})
    grid = layup_grid(checker, BLANK)
    for shape in rows.shapes:
        x, y = shapely.Polygon(shape.outline).centroid.coords[0]
        assert shape.species == grid.species[grid.species_at([[x - 30.0, y - 25.0, 5.0]])[0]]
        assert shape.label in ("10 mm", "12 mm")


@pytest.mark.parametrize("layup", [
    Chevron("x", 30.0, 40.0, TWO), Chevron("x", 35.0, 47.0, ("ash", "teak", "fir"), -7.0),
    Chevron("x", -40.0, 33.0, TWO, 11.0),
])  # fmt: skip
def test_an_opened_chevron_is_drawn_as_the_blank_will_be(layup):
    opened = next(s for s in wood_list(design(layup)).stages if s.title == "Open like a book and glue")
    grid = layup_grid(layup, BLANK)
    polygons = [(shapely.Polygon(s.outline), s.species) for s in opened.shapes if s.species]
    for x in (-29.0, -15.0, -3.0, 2.0, 8.0, 17.0, 29.5):
        for z in (0.5, 77.0, 200.0, 333.0, 419.0):
            there = [name for polygon, name in polygons if polygon.contains(shapely.Point(x + 30.0, z))]
            assert there == [grid.species[grid.species_at([[x, 0.0, z]])[0]]]


def test_words_in_inches_and_letters():
    inches = wood_list(design(Plain()), "in")
    assert '2 3/8"' in inches.stages[0].words
    assert '2 3/8"' in wood_list_text(inches, "in")
    assert [letters(i) for i in (0, 25, 26, 27, 51, 52)] == ["A", "Z", "AA", "AB", "AZ", "BA"]
    assert [b.count for b in boards_of([("ash", (1, 2, 3)), ("ash", (1, 2, 3)), ("fir", (1, 2, 3))])] == [2, 1]


def test_a_tapered_blank_is_counted_at_the_foot():
    tapered = design(Plain(), replace(BLANK, top_width=40.0))
    assert wood_list(tapered, trade=EXACT).rough_volume_mm3 == pytest.approx(60.0 * 50.0 * 420.0)
