"""Volumes, mass and balance of a laminated piece, against solids split by planes and closed forms."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.blank_wood import blank_volumes_mm3, densities_kg_mm3, dominant_species
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import grid_of
from geometry.measures import moments
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.region_moments import MOST_BANDS, species_moments
from geometry.sawing import checked, to_manifold
from geometry.species import SPECIES
from geometry.wood_volumes import wood_in
from tests.strategies import layups, variants

BLANK = Blank(60.0, 50.0, 420.0)
FRONT = (Node((3.0, 0.0), "corner"), Node((18.0, 140.0)), Node((-16.0, 280.0)), Node((0.0, 420.0), "corner"))
SIDE = (Node((0.0, 0.0), "corner"), Node((-8.0, 140.0)), Node((12.0, 250.0)), Node((0.0, 420.0), "corner"))
TWO = ("walnut", "maple")
LAYUPS = {
    "stripes across x": Stripes("x", ((20.0, "walnut"), (15.0, "maple"), (25.0, "pine"))),
    "stripes across y": Stripes("y", ((20.0, "walnut"), (15.0, "maple"), (15.0, "pine"))),
    "end checker": Checker((20.0,) * 3, (10.0,) * 5, TWO),
    "checker all through": Checker((20.0, 40.0), (10.0, 30.0, 10.0), ("walnut", "maple", "fir"), (100.0, 200.0, 120.0)),
    "level layers": Checker((60.0,), (50.0,), TWO, (60.0,) * 7),
    "chevron": Chevron("x", 35.0, 40.0, TWO, 4.0),
    "chevron across y, pointing down": Chevron("y", -50.0, 33.0, ("walnut", "maple", "pine"), -3.0),
    "slanting bands": Chevron("x", 35.0, 40.0, TWO, 100.0),
    "hardly a chevron": Chevron("x", 1e-5, 60.0, TWO, 4.0),
}


def design(layup, kerf=0.9):
    return Variant("A", BLANK, layup, front=Cut(kerf, nodes=FRONT), side=Cut(kerf, nodes=SIDE))


def split(solid, normal, offset):
    return [half for half in solid.split_by_plane(normal, offset) if not half.is_empty()]


def by_cell(solid, grid):
    """The solid taken apart by every border of the grid, as (species, body)."""
    bodies = [to_manifold(solid)]
    for axis in range(2):
        for edge in grid.edges[axis]:
            bodies = [half for body in bodies for half in split(body, np.eye(3)[axis].tolist(), float(edge))]
    for edge in grid.edges[2]:
        parts = []
        for body in bodies:
            normal, offset = np.array([0.0, 0.0, 1.0]), float(edge)
            if grid.shear is not None:
                axis = "xy".index(grid.shear.across)
                arm = math.copysign(
                    1.0, (body.bounding_box()[axis] + body.bounding_box()[axis + 3]) / 2 - grid.shear.peak
                )
                normal[axis] = arm * grid.shear.slope
                offset += arm * grid.shear.slope * grid.shear.peak
            length = float(np.linalg.norm(normal))
            parts += split(body, (normal / length).tolist(), offset / length)
        bodies = parts
    out = []
    for body in bodies:
        part = checked(body)
        centre = moments(part).centre_mm
        out.append((int(grid.species_at(centre[None])[0]), part))
    return out


@pytest.mark.parametrize("name", LAYUPS)
def test_volumes_mass_and_balance_are_those_of_the_solids_split_by_planes(name):
    piece = build(design(LAYUPS[name]), 0.05)
    grid, wood = grid_of(piece.variant), wood_in(piece)
    density = densities_kg_mm3(grid.species)
    volumes = np.zeros((4, len(grid.species)))
    masses, centres, inertias = [], [], []
    for q, (quarter, move) in enumerate(zip(piece.quarters, piece.glue_moves(), strict=True)):
        for species, part in by_cell(quarter, grid):
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
    assert wood.species == grid.species
    assert wood.quarter_volumes_mm3 == pytest.approx(volumes, rel=1e-8, abs=0.01)
    assert wood.mass_kg == pytest.approx(mass, rel=1e-9)
    assert wood.quarter_masses_kg == pytest.approx(volumes @ density, rel=1e-8)
    assert wood.centre_mm == pytest.approx(centre, abs=1e-6)
    assert wood.inertia_kg_mm2 == pytest.approx(inertia, rel=1e-8, abs=1e-6)


@settings(max_examples=25)
@given(variants(), st.data())
def test_the_species_add_up_to_each_quarter(variant, data):
    variant = replace(variant, layup=data.draw(layups(variant.blank)))
    piece = build(variant, 0.05)
    wood = wood_in(piece)
    solids = [moments(q).volume_mm3 for q in piece.quarters]
    assert wood.quarter_volumes_mm3.sum(axis=1) == pytest.approx(solids, rel=1e-7, abs=0.01)
    assert wood.quarter_volumes_mm3.min() >= -1e-6
    # with no kerf nothing is lost, species by species
    whole = wood_in(build(replace(variant, sanding=0.0, front=replace(variant.front, kerf=0.0),
                                  side=replace(variant.side, kerf=0.0)), 0.05))  # fmt: skip
    in_blank = blank_volumes_mm3(variant)
    assert whole.volumes_mm3 == pytest.approx([in_blank[s] for s in whole.species], rel=1e-6, abs=1e-3)


@settings(max_examples=10)
@given(variants())
def test_woods_of_one_density_balance_like_one_wood(variant):
    # red oak and hard maple have the same specific gravity
    assert SPECIES["red-oak"].specific_gravity == SPECIES["maple"].specific_gravity
    blank = variant.blank
    mixed = replace(variant, layup=Chevron("x", 40.0, 25.0, ("red-oak", "maple"), 3.0))
    plain = replace(variant, layup=Plain("maple"))
    a, b = wood_in(build(mixed, 0.05)), wood_in(build(plain, 0.05))
    assert a.mass_kg == pytest.approx(b.mass_kg, rel=1e-9)
    assert a.centre_mm == pytest.approx(b.centre_mm, abs=1e-7 * blank.length)
    assert a.inertia_kg_mm2 == pytest.approx(b.inertia_kg_mm2, rel=1e-7, abs=1e-7 * b.inertia_kg_mm2.max())


def test_a_blank_holds_its_strips():
    strips = Stripes("y", ((10.0, "walnut"), (25.0, "maple"), (15.0, "walnut")))
    assert blank_volumes_mm3(design(strips)) == pytest.approx({"walnut": 60 * 25 * 420.0, "maple": 60 * 25 * 420.0})
    checker = Checker((20.0, 40.0), (50.0,), ("walnut", "maple"), (120.0, 300.0))
    walnut = 50.0 * (20 * 120 + 40 * 300)
    assert blank_volumes_mm3(design(checker)) == pytest.approx({"walnut": walnut, "maple": BLANK.volume_mm3 - walnut})
    assert blank_volumes_mm3(design(Plain("teak"))) == {"teak": BLANK.volume_mm3}


def test_a_chevron_holds_its_parallelograms():
    # pitch 140 in 420: whole bands but for the triangles that the slope adds at the top and takes at the foot
    slope = math.tan(math.radians(30.0))
    layup = Chevron("x", 30.0, 140.0, ("walnut", "maple", "cherry"))
    triangles = 50.0 * 30.0 * 30.0 * slope
    held = blank_volumes_mm3(design(layup))
    band = 60.0 * 50.0 * 140.0
    assert held == pytest.approx({"walnut": band, "maple": band, "cherry": band}, rel=1e-12)
    two = blank_volumes_mm3(design(Chevron("x", 30.0, 420.0, ("walnut", "maple"))))
    assert two == pytest.approx({"walnut": BLANK.volume_mm3 - triangles, "maple": triangles}, rel=1e-12)


def test_bands_finer_than_can_be_seen_are_an_even_mix():
    layup = Chevron("x", 80.0, 60.0 * math.tan(math.radians(80.0)) / MOST_BANDS / 3.0, ("walnut", "maple", "fir"))
    held = blank_volumes_mm3(design(layup))
    assert list(held.values()) == pytest.approx([BLANK.volume_mm3 / 3.0] * 3, rel=1e-2)
    assert math.fsum(held.values()) == pytest.approx(BLANK.volume_mm3)


def test_the_species_there_is_most_of():
    assert dominant_species(design(Plain("ash"))) == "ash"
    assert dominant_species(design(LAYUPS["stripes across x"])) == "pine"
    assert dominant_species(design(Checker((30.0, 30.0), (50.0,), ("maple", "walnut")))) == "maple"
    assert dominant_species(design(Checker((29.0, 31.0), (50.0,), ("maple", "walnut")))) == "walnut"


def test_no_region_holds_nothing():
    grid = grid_of(design(LAYUPS["chevron"]))
    nothing, face = shapely.Polygon(), shapely.box(-25.0, 0.0, 25.0, 420.0)
    for fronts, sides in (((nothing,), (face,)), ((face,), (nothing,)), ((nothing,), (nothing,))):
        assert not species_moments(fronts, sides, grid).any()
    some = species_moments((nothing, shapely.box(-30.0, 0.0, 30.0, 420.0)), (face,), grid)
    assert not some[0].any()
    assert some[1, 0, :, 0].sum() == pytest.approx(BLANK.volume_mm3)
