"""The grid of boards against each lay-up's own words, cell by cell."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import layup_grid
from geometry.project import Blank
from tests.strategies import layups

BLANK = Blank(60.0, 50.0, 300.0)


def by_hand(layup, blank, x, y, z):
    """The species at a place, straight from the words of the project file."""

    def strip(sizes, place):
        for i, _ in enumerate(sizes):
            if place < math.fsum(sizes[: i + 1]):
                return i
        return len(sizes) - 1

    match layup:
        case Plain():
            return layup.species
        case Stripes():
            place = x + blank.width / 2 if layup.along == "x" else y + blank.depth / 2
            return layup.strips[strip([w for w, _ in layup.strips], place)][1]
        case Checker():
            i, j = strip(layup.x, x + blank.width / 2), strip(layup.y, y + blank.depth / 2)
            k = strip(layup.z, z) if layup.z else 0
            return layup.species[(i + j + k) % len(layup.species)]
        case Chevron():
            u = x if layup.across == "x" else y
            lifted = z + abs(u - layup.peak) * math.tan(math.radians(layup.angle_deg))
            return layup.species[math.floor(lifted / layup.pitch) % len(layup.species)]


def near_border(layup, blank, x, y, z):
    """Within rounding of a border either side is right."""
    d = 1e-6
    names = {
        by_hand(layup, blank, x + dx, y + dy, z + dz) for dx in (-d, 0, d) for dy in (-d, 0, d) for dz in (-d, 0, d)
    }
    return len(names) > 1


places = st.tuples(st.floats(-30.0, 30.0), st.floats(-25.0, 25.0), st.floats(0.0, 300.0))


@given(layups(BLANK), st.lists(places, min_size=1, max_size=40))
def test_species_at_says_what_the_lay_up_says(layup, points):
    grid = layup_grid(layup, BLANK)
    if isinstance(layup, Chevron) and abs(layup.angle_deg) > 89.0:
        return  # a micrometre across is a tenth of a millimetre up
    found = grid.species_at(np.array(points))
    for place, index in zip(points, found, strict=True):
        if not near_border(layup, BLANK, *place):
            assert grid.species[index] == by_hand(layup, BLANK, *place)


@pytest.mark.parametrize("peak", [0.0, 4.0, -29.9, 30.0, 100.0, -100.0])
@pytest.mark.parametrize("angle", [45.0, -45.0, 0.0, 80.0])
def test_every_band_that_a_chevron_needs_is_there(angle, peak):
    layup = Chevron("x", angle, 20.0, ("walnut", "maple", "cherry"), peak)
    grid = layup_grid(layup, BLANK)
    x, z = (c.ravel() for c in np.meshgrid(np.linspace(-29.99, 29.99, 61), np.linspace(0.01, 299.99, 151)))
    points = np.stack([x, np.zeros_like(x), z], axis=1)
    expected = [by_hand(layup, BLANK, *p) for p in points]
    found = [grid.species[i] for i in grid.species_at(points)]
    unlike = [p for p, e, f in zip(points, expected, found, strict=True) if e != f]
    assert all(near_border(layup, BLANK, *p) for p in unlike)


def test_cells_are_boards_of_their_own():
    grid = layup_grid(Checker((30.0, 30.0), (25.0, 25.0), ("walnut", "maple"), (150.0, 150.0)), BLANK)
    assert grid.cells.shape == (2, 2, 2)
    assert np.array_equal(grid.cells_at(np.array([[-1.0, 1.0, 10.0], [1.0, -1.0, 290.0]])), [[0, 1, 0], [1, 0, 1]])
    chevron = layup_grid(Chevron("y", 30.0, 40.0, ("walnut", "maple")), BLANK)
    left, right = chevron.cells_at(np.array([[0.0, -10.0, 100.0], [0.0, 10.0, 100.0]]))
    assert left[1] != right[1]
    assert left[2] == right[2]
