"""Mesh files with one colour for each species, for printing in several colours: 3MF, and OBJ with its MTL.

Every species is a closed body of its own that touches its neighbours without a gap.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from geometry.layup_grid import grid_of
from geometry.meshes import Parts
from geometry.piece import Piece, require_wood
from geometry.print_bed import laid_flat
from geometry.solids import FloatArray, Solid
from geometry.species import SPECIES, SpeciesName
from geometry.species_bodies import glued_by_species, split_by_species
from geometry.tapering import frustum
from geometry.three_mf import Material, PrintObject, PrintPart, three_mf

Colours = Mapping[str, tuple[float, float, float]]
"""sRGB, 0 to 1, for at least the species in the file."""


@dataclass(frozen=True, slots=True, eq=False)
class SortedBody:
    """A body by its species: what a slicer shows as one object of several parts."""

    name: str
    parts: dict[SpeciesName, Solid]


def sorted_bodies(piece: Piece, parts: Parts, scale: float = 1.0) -> tuple[SortedBody, ...]:
    """Return what ``meshes.bodies_for`` returns, each body taken apart by species.

    Raises
    ------
    NoSolidError
        there is no wood
    """
    grid, blank = grid_of(piece.variant), piece.variant.blank
    if parts == "piece":
        whole = glued_by_species(piece)
        if not whole:
            require_wood(piece.glued(), "the piece")
        bodies = [SortedBody("piece", whole)]
    elif parts == "quarters":
        lying = iter(laid_flat(piece.quarters, piece.variant.blank))
        bodies = []
        for number, (quarter, split) in enumerate(
            zip(piece.quarters, split_by_species(piece.quarters, grid, blank), strict=True), start=1
        ):
            if not quarter.is_empty:
                move = move_between(quarter.vertices, next(lying).vertices)
                bodies.append(SortedBody(f"quarter {number}", {n: s.moved(move) for n, s in split.items()}))
        if not bodies:
            require_wood(piece.quarters[0], "the quarters")
    else:
        (split,) = split_by_species([frustum(blank)], grid, blank)
        bodies = [SortedBody("blank", split)]
    grow = np.diag([scale, scale, scale, 1.0])
    return tuple(SortedBody(b.name, {n: s.moved(grow) for n, s in b.parts.items()}) for b in bodies)


def move_between(before: FloatArray, after: FloatArray) -> FloatArray:
    """Return the move (4, 4) that took points (n, 3), not all in one plane, to where they are now."""
    here = np.concatenate([before, np.ones((len(before), 1))], axis=1)
    move = np.eye(4)
    move[:3] = np.linalg.lstsq(here, after, rcond=None)[0].T
    return move


# ---------------------------------------------------------------- 3MF


def coloured_3mf(bodies: Sequence[SortedBody], colours: Colours) -> bytes:
    """Return a 3MF file in millimetres: an object for each body, its parts in the colours of their species."""
    names = _names(bodies)
    materials = tuple(Material(SPECIES[n].label, colours[n]) for n in names)
    objects = tuple(
        PrintObject(body.name, tuple(PrintPart(n, s, names.index(n)) for n, s in body.parts.items())) for body in bodies
    )
    return three_mf(objects, materials)


# ---------------------------------------------------------------- OBJ


def coloured_obj(bodies: Sequence[SortedBody], colours: Colours, material_file: str) -> tuple[bytes, bytes]:
    """Return an OBJ file and the MTL file that it names, in millimetres with z up; a group for each part.

    Each corner carries its colour as well, as many programs read it, so that the OBJ alone is not without.
    """
    lines = ["# millimetres, z up", f"mtllib {material_file}"]
    start = 1
    for body in bodies:
        lines.append(f"o {body.name.replace(' ', '_')}")
        for name, solid in body.parts.items():
            lines += [f"g {body.name.replace(' ', '_')}_{name}", f"usemtl {name}"]
            colour = " ".join(f"{c:.4f}" for c in colours[name])
            lines += [f"v {x!r} {y!r} {z!r} {colour}" for x, y, z in solid.vertices.tolist()]
            lines += [f"f {i} {j} {k}" for i, j, k in (solid.triangles + start).tolist()]
            start += len(solid.vertices)
    materials = []
    for name in _names(bodies):
        red, green, blue = colours[name]
        materials += [f"newmtl {name}", f"Kd {red:.4f} {green:.4f} {blue:.4f}", "Ks 0.05 0.05 0.05", "Ns 20", "illum 2"]
    return ("\n".join(lines) + "\n").encode("utf-8"), ("\n".join(materials) + "\n").encode("ascii")


def _names(bodies: Sequence[SortedBody]) -> list[SpeciesName]:
    return list(dict.fromkeys(name for body in bodies for name in body.parts))
