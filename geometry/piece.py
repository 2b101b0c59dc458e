"""``build(variant)``: from what the maker decided to what the saw and the glue make of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from shapely.geometry.base import BaseGeometry

from geometry.blank_wood import dominant_species
from geometry.curvature import TightestBend, piece_lengths, tightest_bend
from geometry.errors import NoSolidError
from geometry.lines import Line, line_of
from geometry.project import CUT_NAMES, Blank, Cut, CutName, TaperSupport, Variant
from geometry.sawing import intersect_profiles, saw_quarters
from geometry.slots import SawnFace, Widths, profile, saw_face, widths
from geometry.solids import NO_WOOD, FloatArray, Solid
from geometry.species import SpeciesName
from geometry.tapered_sawing import glue_tapered, saw_tapered
from geometry.tapering import glue_moves, sawing_plane, stood, true_size
from geometry.tolerances import EXPORT_CHORD_MM
from geometry.trims import SawnTrim, saw_trims, trimmed


@dataclass(frozen=True, slots=True, eq=False)
class SawnLine:
    """One cut: its line, the face it parts, and the profile the piece has seen square to that face.

    Attributes
    ----------
    line : the line as drawn, in the face's (u, z)
    bend : its tightest bend, square to the blade, its place as drawn; None where it is all straight
    length_mm : its length on the true-size face
    face : what the cut and its trims leave of the face
    profile, widths : P and |P(z)| with the trims; on a tapered blank as the faces are drawn
    untrimmed : P before the trims: what is seen flats together
    trims : the trims of this direction, sawn or refused
    """

    line: Line
    bend: TightestBend | None
    length_mm: float
    face: SawnFace
    profile: BaseGeometry
    widths: Widths
    untrimmed: BaseGeometry
    trims: tuple[SawnTrim, ...]


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

    def glue_moves(self) -> tuple[FloatArray, ...]:
        """Return the four 4 by 4 rigid moves that glue the quarters together."""
        return glue_moves(self.variant.blank)

    def placed_quarters(self) -> tuple[Solid, ...]:
        """Return the quarters where they stand in the glued piece."""
        return tuple(stood(q, m) for q, m in zip(self.quarters, self.glue_moves(), strict=True))

    def glued(self) -> Solid:
        """Return the glued piece as one solid.

        On straight stock it is exactly the common part of the two profiles, on tapered the union of the quarters.
        """
        blank = self.variant.blank
        if blank.is_tapered:
            return glue_tapered(self.quarters, blank)
        return intersect_profiles(self.front.profile, self.side.profile, blank.width, blank.depth)


def build(variant: Variant, chord_mm: float = EXPORT_CHORD_MM) -> Piece:
    """Saw the blank of a variant along both lines and their trims.

    Parameters
    ----------
    variant : the design
    chord_mm : how far the sampled lines may stray from the exact ones, in millimetres
    """
    support, sanding = variant.taper_support, variant.sanding
    front, side = (_saw(variant.blank, name, variant.cut(name), sanding, support, chord_mm) for name in CUT_NAMES)
    if variant.blank.is_tapered:
        lines: dict[CutName, Line] = {"front": front.line, "side": side.line}
        gone: dict[CutName, float] = {name: _gone(variant, name) for name in CUT_NAMES}
        quarters = saw_tapered(variant.blank, variant.taper_support, lines, gone, chord_mm)
    else:
        quarters = saw_quarters(front.face, side.face)
    return Piece(variant, chord_mm, front, side, quarters)


def face_sizes(blank: Blank, name: CutName) -> tuple[float, float]:
    """Return how wide a face is at the foot and at the top, in millimetres."""
    return (blank.width, blank.width_at_top) if name == "front" else (blank.depth, blank.depth_at_top)


def _gone(variant: Variant, name: CutName) -> float:
    return variant.cut(name).kerf + 2.0 * variant.sanding


@lru_cache(maxsize=16)
def _saw(blank: Blank, name: CutName, cut: Cut, sanding: float, support: TaperSupport, chord_mm: float) -> SawnLine:
    """Saw one face. Remembered, because while one line is dragged the other face stays as it was."""
    line = line_of(cut, blank.length)
    bend = tightest_bend(line)
    length = float(piece_lengths(line).sum())
    if blank.is_tapered:
        plane = sawing_plane(blank, name, support)
        bend = tightest_bend(plane.line(line))
        bend = bend and TightestBend(bend.radius_mm, plane.drawn(bend.at))
        length = float(piece_lengths(true_size(line, blank, name)).sum())
    foot, top = face_sizes(blank, name)
    face = saw_face(line, foot, blank.length, cut.kerf + 2.0 * sanding, chord_mm, top)
    untrimmed = profile(face)
    # trims on a tapered blank are refused by the checks: its halves do not lie flat to flat
    trims = () if blank.is_tapered else saw_trims(cut.trims, untrimmed, chord_mm)
    face = trimmed(face, trims, sanding)
    shape = profile(face) if trims else untrimmed
    return SawnLine(line, bend, length, face, shape, widths(shape), untrimmed, trims)


def species_of(variant: Variant) -> SpeciesName:
    """Return the species of which the blank holds most."""
    return dominant_species(variant)


def require_wood(solid: Solid, what: str) -> Solid:
    """Return the solid; raise `NoSolidError` saying what is missing when there is no wood."""
    if solid.is_empty or solid is NO_WOOD:
        raise NoSolidError(f"{what}: no wood is left to show or to export; move the lines back onto the faces")
    return solid
