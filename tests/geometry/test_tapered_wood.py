"""Lay-ups in tapered blanks: volumes, mass and balance against solids split by planes."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.blank_wood import blank_volumes_mm3, densities_kg_mm3
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import grid_of
from geometry.measures import moments
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.report import report_on
from geometry.sawing import to_manifold
from geometry.tapered_wood import MOST_PARTS, moved_moments, tapered_volumes
from geometry.tapering import frustum
from geometry.turning import GLUED, placements
from geometry.wood_volumes import wood_in
from tests import strategies
from tests.geometry.test_layup_wood import by_cell

TWO = ("walnut", "maple")
FRONT = (Node((3.0, 0.0)), Node((12.0, 140.0)), Node((-10.0, 280.0)), Node((0.0, 420.0)))
SIDE = (Node((0.0, 0.0)), Node((-8.0, 140.0)), Node((8.0, 250.0)), Node((0.0, 420.0)))
BLANKS = {
    "narrows both ways": Blank(60.0, 50.0, 420.0, 40.0, 36.0),
    "widens both ways": Blank(60.0, 50.0, 420.0, 80.0, 70.0),
    "one way": Blank(60.0, 50.0, 420.0, 40.0),
    "contrary": Blank(60.0, 50.0, 420.0, 44.0, 66.0),
}
LAYUPS = {
    "stripes across x": Stripes("x", ((20.0, "walnut"), (15.0, "maple"), (25.0, "pine"))),
    "stripes across y": Stripes("y", ((20.0, "walnut"), (15.0, "maple"), (15.0, "pine"))),
    "checker all through": Checker((20.0, 40.0), (10.0, 30.0, 10.0), ("walnut", "maple", "fir"), (100.0, 200.0, 120.0)),
    "chevron": Chevron("x", 35.0, 40.0, TWO, 4.0),
    "chevron across y, pointing down": Chevron("y", -50.0, 33.0, ("walnut", "maple", "pine"), -3.0),
}


def design(blank, layup, support="face down", kerf=0.9):
    cuts = {"front": Cut(kerf, nodes=FRONT), "side": Cut(kerf, nodes=SIDE)}
    return Variant("A", BLANKS[blank], LAYUPS[layup], **cuts, taper_support=support)


def taken_apart(solids, moves, grid):
    """Volumes by solid and species, mass, centre and inertia of the solids, each split at every border."""
    density = densities_kg_mm3(grid.species)
    volumes = np.zeros((4, len(grid.species)))
    masses, centres, inertias = [], [], []
    for q, (solid, move) in enumerate(zip(solids, moves, strict=True)):
        for species, part in by_cell(solid, grid):
            m = moments(part.moved(move))
            volumes[q, species] += m.volume_mm3
            masses.append(m.volume_mm3 * density[species])
            centres.append(m.centre_mm)
            inertias.append(m.inertia_mm5 * density[species])
    mass = math.fsum(masses)
    centre = np.average(centres, axis=0, weights=masses)
    inertia = sum(
        i + m * (np.dot(c - centre, c - centre) * np.eye(3) - np.outer(c - centre, c - centre))
        for i, m, c in zip(inertias, masses, centres, strict=True)
    )
    return volumes, mass, centre, inertia


@pytest.mark.parametrize("support", ["face down", "levelled"])
@pytest.mark.parametrize("layup", LAYUPS)
@pytest.mark.parametrize("blank", BLANKS)
def test_volumes_and_mass_are_those_of_the_quarters_split_by_planes(blank, layup, support):
    piece = build(design(blank, layup, support), 0.05)
    grid, wood = grid_of(piece.variant), wood_in(piece)
    moves = placements(piece.variant.blank, piece.quarters, GLUED)
    volumes, mass, centre, inertia = taken_apart(piece.quarters, moves, grid)
    assert wood.quarter_volumes_mm3 == pytest.approx(volumes, rel=1e-7, abs=0.05)
    assert wood.quarter_masses_kg == pytest.approx(volumes @ densities_kg_mm3(grid.species), rel=1e-7)
    # what overlaps at the glue faces counts once: nothing where no corner is wider than square
    overlap = 0.0 if blank in ("one way", "contrary") else 2e-3
    assert wood.mass_kg == pytest.approx(mass, rel=overlap + 1e-7)
    assert wood.mass_kg <= mass * (1.0 + 1e-7)
    assert wood.centre_mm == pytest.approx(centre, abs=1e-5 + 100.0 * overlap)
    assert wood.inertia_kg_mm2 == pytest.approx(inertia, rel=1e-5 + 5.0 * overlap, abs=20.0 * overlap + 1e-3)


@given(strategies.tapered_variants())
@settings(max_examples=20)
def test_woods_of_one_density_balance_like_one_wood(variant):
    # red oak and hard maple have the same specific gravity; the piece of one wood is weighed as the union it is
    mixed = replace(variant, layup=Chevron("x", 30.0, 60.0, ("red-oak", "maple"), 3.0))
    plain = replace(variant, layup=Plain("maple"))
    a, b = wood_in(build(mixed, 0.05)), wood_in(build(plain, 0.05))
    assert a.mass_kg == pytest.approx(b.mass_kg, rel=1e-7)
    assert a.centre_mm == pytest.approx(b.centre_mm, abs=1e-5 * variant.blank.length)
    assert a.inertia_kg_mm2 == pytest.approx(b.inertia_kg_mm2, rel=1e-5, abs=1e-6 * b.inertia_kg_mm2.max())


@settings(max_examples=25)
@given(strategies.tapered_variants(kerfs=st.just(0.0), sanding=st.just(0.0)), st.data())
def test_the_species_add_up_to_each_quarter_and_at_kerf_0_to_the_blank(variant, data):
    variant = replace(variant, layup=data.draw(strategies.layups(variant.blank)))
    piece = build(variant, 0.05)
    wood = wood_in(piece)
    solids = [moments(q).volume_mm3 for q in piece.quarters]
    assert wood.quarter_volumes_mm3.sum(axis=1) == pytest.approx(solids, rel=1e-6, abs=0.1)
    held = blank_volumes_mm3(variant)
    assert math.fsum(held.values()) == pytest.approx(variant.blank.volume_mm3, rel=1e-9)
    # of a fine pattern, weighed as an even mix, each species has the share it has in the blank
    assert wood.volumes_mm3 == pytest.approx([held[s] for s in wood.species], rel=1e-5, abs=1e-5 * sum(solids))


@pytest.mark.parametrize("layup", LAYUPS)
@pytest.mark.parametrize("blank", BLANKS)
def test_a_tapered_blank_holds_what_its_frustum_does(blank, layup):
    variant = design(blank, layup)
    grid = grid_of(variant)
    held = dict.fromkeys(grid.species, 0.0)
    for species, part in by_cell(frustum(variant.blank), grid):
        held[grid.species[species]] += moments(part).volume_mm3
    assert blank_volumes_mm3(variant) == pytest.approx(held, rel=1e-9)


def test_strips_are_counted_at_the_foot():
    # by hand: three strips of 20 at the foot of 60; at the top of 20 only the middle one is left
    blank = Blank(60.0, 50.0, 300.0, 20.0)
    strips = Stripes("x", ((20.0, "walnut"), (20.0, "maple"), (20.0, "cherry")))
    held = blank_volumes_mm3(Variant("A", blank, strips))
    assert held == pytest.approx({"walnut": 50 * 3000.0, "maple": 50 * 6000.0, "cherry": 50 * 3000.0})


def test_a_pattern_too_fine_to_take_apart_is_an_even_mix():
    fine = replace(design("contrary", "chevron"), layup=Chevron("x", 40.0, 0.5, TWO))
    assert MOST_PARTS < 420.0 / 0.5
    piece = build(fine, 0.05)
    shares = tapered_volumes(piece, grid_of(fine))
    assert shares[:, 0] / shares.sum(axis=1) == pytest.approx([0.5] * 4, abs=0.01)
    assert shares.sum(axis=1) == pytest.approx([moments(q).volume_mm3 for q in piece.quarters])
    assert report_on(piece).mass_kg == pytest.approx(wood_in(piece).mass_kg)


def test_moments_move_as_the_body_does():
    piece = build(design("contrary", "stripes across x"), 0.05)
    body = piece.quarters[2]
    move = placements(piece.variant.blank, piece.quarters, 0.57)[2]

    def powers(solid):
        m = moments(solid)
        second = np.trace(m.inertia_mm5) / 2 * np.eye(3) - m.inertia_mm5
        second = second + m.volume_mm3 * np.outer(m.centre_mm, m.centre_mm)
        return np.array([m.volume_mm3, *m.volume_mm3 * m.centre_mm, *np.diag(second), *second[(0, 0, 1), (1, 2, 2)]])

    assert moved_moments(powers(body), move) == pytest.approx(powers(body.moved(move)), rel=1e-9, abs=1e-3)


def test_nothing_overlaps_twice_in_the_mass():
    """Both ways narrowing by 1 in 10: the mass is that of the union, which is lighter than the four quarters."""
    blank = Blank(90.0, 90.0, 300.0, 30.0, 30.0)
    variant = Variant("A", blank, Stripes("x", ((45.0, "red-oak"), (45.0, "maple"))), front=Cut(0.0), side=Cut(0.0))
    piece = build(variant, 0.05)
    wood, union = wood_in(piece), to_manifold(piece.glued()).volume()
    density = densities_kg_mm3(("maple",))[0]
    assert wood.mass_kg == pytest.approx(union * density, rel=1e-9)
    assert wood.quarter_masses_kg.sum() > wood.mass_kg * 1.001


@pytest.mark.parametrize("more", [1e-6, 1e-3, 0.01, 0.1])
def test_a_taper_of_next_to_nothing_weighs_what_it_should(more):
    """Flats all but in the glue planes: what overlaps is thinner than rounding."""
    strips = Stripes("x", ((2.0, "red-oak"), (3.0, "maple")))
    for layup in (strips, Stripes("x", ((5.0, "maple"),)), Plain("maple")):
        blank = Blank(5.0, 5.0, 15.0, 5.0 + more, 5.0 + more)
        piece = build(Variant("A", blank, layup, front=Cut(0.0), side=Cut(0.0)), 0.05)
        mass = wood_in(piece).mass_kg
        assert mass == pytest.approx(blank.volume_mm3 * densities_kg_mm3(("maple",))[0], rel=1e-4)
