from __future__ import annotations

import itertools

import numpy as np
import pytest

from app.scene.finish import end_grain_shaded
from app.scene.wood_colours import END_GRAIN_SHADE, QUARTER_COLOURS, WOOD_COLOURS

SPECIES = [
    *("walnut", "cherry", "maple", "soft-maple", "red-oak", "white-oak", "ash", "poplar"),
    *("beech", "birch", "basswood", "pine", "fir", "mahogany", "sapele", "teak"),
]


def test_every_species_of_the_project_file_has_a_colour():
    assert sorted(WOOD_COLOURS) == sorted(SPECIES)


def test_wood_is_warm():
    for red, green, blue in WOOD_COLOURS.values():
        assert 1 > red > green > blue > 0


def test_woods_often_laid_up_together_differ_clearly():
    for one, other in itertools.combinations(("walnut", "maple", "cherry"), 2):
        assert np.linalg.norm(np.subtract(WOOD_COLOURS[one], WOOD_COLOURS[other])) > 0.3


def test_no_two_woods_or_quarters_share_a_colour():
    assert len(set(WOOD_COLOURS.values())) == 16
    assert len(set(QUARTER_COLOURS.values())) == 4 and sorted(QUARTER_COLOURS) == [1, 2, 3, 4]


def test_end_grain_is_darker_and_side_grain_is_itself():
    side, end, low = end_grain_shaded((0.5, 0.4, 0.3), np.array([[0, -1, 0], [0, 0, 1], [0, 0, -1]], dtype=float))
    assert side == pytest.approx((0.5, 0.4, 0.3))
    assert end == pytest.approx(np.array([0.5, 0.4, 0.3]) * END_GRAIN_SHADE)
    assert low == pytest.approx(end)
