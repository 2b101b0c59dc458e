"""A piece taken apart by species, and the coloured files made of it."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ElementTree
import zipfile

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from geometry.coloured_meshes import coloured_3mf, coloured_obj, sorted_bodies
from geometry.layup import Checker, Chevron, Layup, Plain, Stripes
from geometry.layup_grid import grid_of, layup_grid
from geometry.measures import bounds, moments
from geometry.meshes import bodies_for
from geometry.piece import Piece, build
from geometry.project import Blank, Cut, Node, Variant
from geometry.species_bodies import glued_by_species, split_by_species
from geometry.tapering import frustum

BLANK = Blank(width=50, depth=40, length=200)
NODES = tuple(Node(at=at) for at in ((0.0, 0.0), (8.0, 60.0), (-6.0, 140.0), (0.0, 200.0)))
LAYUPS: dict[str, Layup] = {
    "stripes": Stripes(along="x", strips=((20.0, "walnut"), (5.0, "maple"), (25.0, "walnut"))),
    "level stripes": Stripes(along="y", strips=((12.0, "ash"), (28.0, "cherry"))),
    "checker": Checker(x=(12.5,) * 4, y=(10.0,) * 4, species=("walnut", "maple", "teak")),
    "checker all through": Checker(x=(25.0,) * 2, y=(20.0,) * 2, z=(20.0,) * 10, species=("walnut", "maple")),
    "chevron": Chevron(across="x", angle_deg=45.0, pitch=15.0, species=("walnut", "maple")),
    "chevron off its centre": Chevron(
        across="y", angle_deg=-30.0, pitch=15.0, peak=7.0, species=("ash", "teak", "fir")
    ),
    "leaning bands": Chevron(across="x", angle_deg=20.0, pitch=30.0, peak=90.0, species=("walnut", "maple")),
    "plain": Plain(species="beech"),
}
COLOURS = {
    name: (0.1 * i, 0.5, 0.25)
    for i, name in enumerate(("walnut", "maple", "ash", "cherry", "teak", "fir", "beech"))
}  # fmt: skip


def piece_of(layup: Layup) -> Piece:
    return build(Variant(name="A", blank=BLANK, layup=layup, front=Cut(nodes=NODES), side=Cut(nodes=NODES)))


@pytest.mark.parametrize("name", LAYUPS)
def test_the_species_of_a_piece_add_up_to_the_piece(name):
    piece = piece_of(LAYUPS[name])
    parts = glued_by_species(piece)
    assert set(parts) == set(grid_of(piece.variant).species)
    assert all(solid.is_closed for solid in parts.values())
    whole = moments(piece.glued()).volume_mm3
    assert sum(moments(solid).volume_mm3 for solid in parts.values()) == pytest.approx(whole, rel=1e-7)


@pytest.mark.parametrize("name", LAYUPS)
def test_every_part_is_made_of_its_species(name):
    grid = layup_grid(LAYUPS[name], BLANK)
    (parts,) = split_by_species([frustum(BLANK)], grid, BLANK)
    for species, solid in parts.items():
        mesh = trimesh.Trimesh(solid.vertices, solid.triangles, process=False)
        rng = np.random.default_rng(1)
        middles = mesh.triangles_center - 0.01 * mesh.face_normals
        picked = middles[rng.permutation(len(middles))[:400]]
        assert (grid.species_at(picked) == grid.species.index(species)).all()


@given(st.lists(st.floats(1.0, 20.0), min_size=1, max_size=6))
def test_strips_of_any_width_have_the_volume_of_their_share(widths):
    widths = [*widths, 5.0]  # a blank is at least that wide
    blank = Blank(width=sum(widths), depth=30.0, length=100.0)
    names = ("walnut", "maple", "ash")
    strips = tuple((w, names[i % 3]) for i, w in enumerate(widths))
    (parts,) = split_by_species([frustum(blank)], layup_grid(Stripes(along="x", strips=strips), blank), blank)
    for name in {n for _, n in strips}:
        wanted = sum(w for w, n in strips if n == name) * 30.0 * 100.0
        assert moments(parts[name]).volume_mm3 == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("parts", ["piece", "quarters", "blank"])
def test_parts_lie_where_the_plain_export_has_the_body(parts):
    piece = piece_of(LAYUPS["checker"])
    plain, by_species = bodies_for(piece, parts, 0.5), sorted_bodies(piece, parts, 0.5)
    assert [b.name for b in plain] == [b.name for b in by_species]
    for one, other in zip(plain, by_species, strict=True):
        box = np.array([bounds(solid) for solid in other.parts.values()])
        reach = np.stack([box[:, 0].min(axis=0), box[:, 1].max(axis=0)])
        assert np.allclose(reach, np.array(bounds(one.solid)), atol=1e-6)
        volume = sum(moments(solid).volume_mm3 for solid in other.parts.values())
        assert volume == pytest.approx(moments(one.solid).volume_mm3, rel=1e-6)


def test_an_obj_names_its_materials_and_reads_back():
    bodies = sorted_bodies(piece_of(LAYUPS["stripes"]), "quarters")
    obj, mtl = coloured_obj(bodies, COLOURS, "leg.mtl")
    assert b"mtllib leg.mtl" in obj
    assert [line.split()[1] for line in mtl.decode().splitlines() if line.startswith("newmtl")] == ["walnut", "maple"]
    back = trimesh.load(io.BytesIO(obj), file_type="obj", process=False, split_objects=False, skip_materials=True)
    meshes = back.geometry.values() if isinstance(back, trimesh.Scene) else [back]
    volume = sum(moments(solid).volume_mm3 for body in bodies for solid in body.parts.values())
    assert sum(m.volume for m in meshes) == pytest.approx(volume, rel=1e-6)


def test_a_3mf_gives_each_part_the_colour_of_its_species():
    bodies = sorted_bodies(piece_of(LAYUPS["stripes"]), "piece")
    data = coloured_3mf(bodies, COLOURS)
    assert data == coloured_3mf(bodies, COLOURS)
    root = ElementTree.fromstring(zipfile.ZipFile(io.BytesIO(data)).read("3D/3dmodel.model"))
    space = {"m": "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"}
    bases = [base.get("displaycolor") for base in root.findall(".//m:base", space)]
    assert bases == ["#008040", "#1A8040"]
    meshed = [o for o in root.findall(".//m:object", space) if o.find("m:mesh", space) is not None]
    assert [(o.get("name"), o.get("pindex")) for o in meshed] == [("piece, walnut", "0"), ("piece, maple", "1")]
