"""``build(variant)``: from what the maker decided to what the saw and the glue make of it."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from geometry.blank_wood import dominant_species
from geometry.buildable import refuse_what_is_not_built
from geometry.errors import NoSolidError
from geometry.lines import Line, line_of
from geometry.project import CutName, Variant
from geometry.sawing import intersect_profiles, saw_quarters
from geometry.slots import SawnFace, Widths, profile, saw_face, widths
from geometry.solids import NO_WOOD, Solid
from geometry.species import SpeciesName
from geometry.tolerances import EXPORT_CHORD_MM
from geometry.turning import glue_move


@dataclass(frozen=True, slots=True, eq=False)
class SawnLine:
    """One cut: its line, the face it parts, and the profile the piece has seen square to that face."""

    line: Line
    face: SawnFace
    profile: BaseGeometry
    widths: Widths


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """What a variant comes to.

    Attributes
    ----------
    variant : the design it was built from
    chord_mm : the chord tolerance it was built to
    front, side : the two cuts
    quarters : the four quarters in the blank's coordinates, numbered 1 to 4; any may be without wood
    """

    variant: Variant
    chord_mm: float
    front: SawnLine
    side: SawnLine
    quarters: tuple[Solid, Solid, Solid, Solid]

    def cut(self, name: CutName) -> SawnLine:
        """Return the cut through the front face or the right face."""
        return self.front if name == "front" else self.side

    def placed_quarters(self) -> tuple[Solid, ...]:
        """Return the quarters where they stand in the glued piece."""
        blank = self.variant.blank
        return tuple(q.moved(m) for q, m in zip(self.quarters, glue_move(blank.width, blank.depth), strict=True))

    def glued(self) -> Solid:
        """Return the glued piece as one solid; on straight stock exactly the common part of the two profiles."""
        blank = self.variant.blank
        return intersect_profiles(self.front.profile, self.side.profile, blank.width, blank.depth)


def build(variant: Variant, chord_mm: float = EXPORT_CHORD_MM) -> Piece:
    """Saw the blank of a variant along both lines.

    Parameters
    ----------
    variant : the design
    chord_mm : how far the sampled lines may stray from the exact ones, in millimetres

    Raises
    ------
    NotBuiltYet
        the design asks for what this version can check but not build
    """
    refuse_what_is_not_built(variant)
    front, side = (_saw(variant, name, chord_mm) for name in ("front", "side"))
    return Piece(variant, chord_mm, front, side, saw_quarters(front.face, side.face))


def _saw(variant: Variant, name: CutName, chord_mm: float) -> SawnLine:
    blank, cut = variant.blank, variant.cut(name)
    line = line_of(cut, blank.length)
    gone = cut.kerf + 2.0 * variant.sanding
    face = saw_face(line, blank.width if name == "front" else blank.depth, blank.length, gone, chord_mm)
    shape = profile(face)
    return SawnLine(line, face, shape, widths(shape))


def species_of(variant: Variant) -> SpeciesName:
    """Return the species of which the blank holds most."""
    return dominant_species(variant)


def require_wood(solid: Solid, what: str) -> Solid:
    """Return the solid; raise `NoSolidError` saying what is missing when there is no wood."""
    if solid.is_empty or solid is NO_WOOD:
        raise NoSolidError(f"{what}: no wood is left to show or to export; move the lines back onto the faces")
    return solid
