"""The table of a lay-up: boards of their own, the same each time, colours that tell species apart."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from app.scene.wood.looks import LOOKS
from app.scene.wood.table import BOARD_TEXELS, EDGES_AT, ROW, mean_colour, wood_table
from app.scene.wood.twin import evaluate, evaluate_afar
from app.scene.wood_colours import WOOD_COLOURS
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import layup_grid
from geometry.project import Blank
from geometry.species import SPECIES_NAMES

BLANK = Blank(width=60, depth=48, length=300)


def table(layup, blank=BLANK):
    return wood_table(layup_grid(layup, blank), blank)


def boards_of(made):
    count = made.grid.cells.size
    return made.texels[made.boards_at : made.boards_at + BOARD_TEXELS * count].reshape(count, BOARD_TEXELS, 4)


LAYUPS = [
    Plain(species="ash"),
    Stripes(along="y", strips=((8.0, "maple"), (40.0, "walnut"))),
    Checker(x=(20.0,) * 3, y=(24.0,) * 2, z=(10.0,) * 30, species=("cherry", "ash", "teak")),
    Chevron(across="x", angle_deg=50.0, pitch=14.0, species=("maple", "walnut")),
    Chevron(across="y", angle_deg=-35.0, pitch=14.0, peak=-40.0, species=("maple", "walnut")),
]


@pytest.mark.parametrize("layup", LAYUPS)
def test_a_layup_gives_the_same_table_every_time(layup):
    assert np.array_equal(table(layup).texels, table(layup).texels)


@pytest.mark.parametrize("layup", LAYUPS)
def test_every_board_has_a_true_frame_and_a_figure_of_its_own(layup):
    made = boards_of(table(layup))
    frame = made[:, :3, :3].astype(float)
    assert np.allclose(frame @ frame.transpose(0, 2, 1), np.eye(3), atol=1e-6)
    assert np.allclose(np.linalg.det(frame), 1.0, atol=1e-6)
    assert len(np.unique(made[:, 3, 1])) == len(made)  # seeds
    assert len(np.unique(made[:, :3, 3].round(3), axis=0)) == len(made)  # piths


@pytest.mark.parametrize("layup", LAYUPS)
def test_the_pith_lies_outside_every_board(layup):
    made = table(layup)
    rng = np.random.default_rng(3)
    points = rng.uniform([-30, -24, 0], [30, 24, 300], (4000, 3))
    i, j, k = made.grid.cells_at(points).T
    nx, ny, _ = made.grid.cells.shape
    of = boards_of(made)[i + nx * (j + ny * k)].astype(float)
    across = np.einsum("nrc,nc->nr", of[:, :3, :3], points) + of[:, :3, 3]
    distance = np.hypot(across[:, 0], across[:, 1])
    assert distance.min() > 3.0


def test_the_grain_runs_up_the_blank_or_along_the_band():
    lean = 0.032 + 1e-6  # of a plank in its stem, as a sine
    for layup in LAYUPS[:3]:
        axis = boards_of(table(layup))[:, 2, :3]
        assert np.all(np.hypot(axis[:, 0], axis[:, 1]) < lean)
    made = table(LAYUPS[3])
    axis = boards_of(made)[:, 2, :3].astype(float)
    slope = np.tan(np.radians(50.0))
    left = np.arange(made.grid.cells.size) % 2 == 0
    # a band is where z + |x| slope stays the same: beside the peak it falls away to both sides
    for side, sign in ((left, -1.0), (~left, 1.0)):
        along = np.array([sign, 0.0, -slope]) / np.hypot(1.0, slope)
        assert np.all(np.linalg.norm(np.cross(axis[side], along), axis=1) < lean)


def test_a_board_keeps_its_figure_when_another_changes_its_species():
    before = table(Stripes(along="x", strips=((20.0, "maple"), (20.0, "walnut"), (20.0, "ash"))))
    after = table(Stripes(along="x", strips=((20.0, "maple"), (20.0, "cherry"), (20.0, "ash"))))
    points = np.random.default_rng(5).uniform([-30, -24, 0], [30, 24, 300], (3000, 3))
    points[:, 0][np.abs(np.abs(points[:, 0]) - 10.0) < 1.0] = 0.0  # a pixel on the border shows both
    step = np.array([0.4, 0.0, 0.0]), np.array([0.0, 0.0, 0.4])
    one, two = (evaluate(made, points, *step) for made in (before, after))
    middle = np.abs(points[:, 0]) < 10.0
    assert np.array_equal(one[~middle], two[~middle])
    assert (np.abs(one - two)[middle].max(axis=1) > 0.01).all()


def test_a_grid_of_a_hundred_thousand_boards_fits():
    big = Blank(width=260, depth=260, length=900)
    made = table(Checker(x=(10.0,) * 26, y=(10.0,) * 26, z=(6.0,) * 150, species=("maple", "walnut")), big)
    assert len(made.texels) % ROW == 0 and len(made.texels) // ROW < 16384
    assert made.boards_at == EDGES_AT + 25 + 25 + 149
    points = np.random.default_rng(7).uniform([-130, -130, 0], [130, 130, 900], (2000, 3))
    seen = evaluate_afar(made, points, np.zeros(3), np.zeros(3))
    dark = seen.mean(axis=1) < 0.5
    walnut = made.grid.species_at(points) == made.grid.species.index("walnut")
    assert (dark == walnut).mean() > 0.99  # single precision may take the other side of a border


def test_a_species_colour_from_afar_is_the_mean_of_what_is_seen_close_by():
    blank = Blank(width=300, depth=300, length=900)
    rng = np.random.default_rng(11)
    points = rng.uniform([-150, -150, 0], [150, 150, 900], (6000, 3))
    for name in SPECIES_NAMES:
        made = table(Plain(species=name), blank)
        tone = boards_of(made)[0, 3, 2]
        close = evaluate(made, points, np.array([0.2, 0.0, 0.0]), np.array([0.0, 0.0, 0.2])).mean(axis=0)
        assert np.abs(close / tone - mean_colour(LOOKS[name])).max() < 0.035, name


def test_species_tell_apart_and_stay_near_their_plain_colour():
    means = {name: mean_colour(LOOKS[name]) for name in SPECIES_NAMES}
    for name, mean in means.items():
        assert np.abs(mean - np.array(WOOD_COLOURS[name])).max() < 0.07, name
    for one, two in itertools.combinations(SPECIES_NAMES, 2):
        assert np.linalg.norm(means[one] - means[two]) > 0.02, (one, two)


def test_nothing_finer_than_a_pixel_is_drawn():
    """Places half a millimetre apart differ close by, and are the same to a pixel of eight millimetres."""
    blank = Blank(width=300, depth=300, length=900)
    points = np.random.default_rng(13).uniform([-140, -140, 0], [140, 140, 900], (3000, 3))
    beside = points + np.array([0.35, 0.35, 0.0])
    for name in SPECIES_NAMES:
        made = table(Plain(species=name), blank)
        change = []
        for px in (0.1, 8.0):
            step = np.array([px, 0.0, 0.0]), np.array([0.0, 0.0, px])
            one, two = evaluate(made, points, *step), evaluate(made, beside, *step)
            change.append(np.abs(one - two).mean())
        close, afar = change
        assert afar < 0.3 * close and afar < 0.005, name


def test_show_through_modes_change_only_the_header():
    made = table(LAYUPS[2])
    for mode in ("wood", "quarters", "pattern"):
        shown = made.shown(mode, detail=0.5)
        assert np.array_equal(shown.texels[3:], made.texels[3:])
    points = np.random.default_rng(17).uniform([-30, -24, 0], [30, 24, 300], (2000, 3))
    flat = evaluate(made.shown("pattern"), points, np.full(3, 1e-4), np.full(3, 1e-4))
    away = evaluate_afar(made, points, np.full(3, 1e-4), np.full(3, 1e-4))
    assert np.abs(flat - away).max(axis=1).mean() < 0.02
