"""Will it hold? The stress in each section under a load, beside what the wood bears there. Indicative only.

Straight, clear wood of mean strength is reckoned with, weakened by its slope of grain, and a safety factor of 4. Glue
joints, knots, screws and mortises are left out: a prototype and a trial load tell what this cannot.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.blank_wood import blank_volumes_mm3
from geometry.grain import steepness
from geometry.loads import Loads, loads_of
from geometry.moisture import settled_moisture, strength_at_moisture
from geometry.piece import Piece
from geometry.sections import SectionMoments, polygon_moments, sections_at
from geometry.solids import FloatArray
from geometry.species import SpeciesName
from geometry.use import Use
from geometry.wood_values import STRENGTH

SAFETY_FACTOR: Final = 4.0
"""Mean strength over allowed stress. The design values of timber come to about 1/3.1 of the mean; furniture is not
graded, so a little more is kept (common practice, no source)."""

ACROSS_SHARE: Final = 0.04
HANKINSON_POWER: Final = 2.0
"""Bending strength across the grain as a share of that along it, and the exponent: with these Hankinson's formula
gives the Wood Handbook's table 5-12 of slope of grain to within four parts in a hundred (that table from memory)."""

_STATIONS = 80


def hankinson(along: float, across: float, angle_rad: float, power: float = HANKINSON_POWER) -> float:
    """Return a strength at an angle to the grain: P Q / (P sinⁿ + Q cosⁿ) (Wood Handbook, equation 8-16)."""
    sine, cosine = abs(math.sin(angle_rad)) ** power, abs(math.cos(angle_rad)) ** power
    return float(along * across / (along * sine + across * cosine))


def share_left(slope: float) -> float:
    """Return the share 0..1 of its bending strength that wood keeps at a slope of grain (infinite: straight across)."""
    return hankinson(1.0, ACROSS_SHARE, math.atan(slope))


def bending_strength_mpa(species: SpeciesName, moisture_percent: float) -> float:
    """Return the mean bending strength of straight-grained wood at a moisture content (equation 5-3)."""
    wood = STRENGTH[species]
    return strength_at_moisture(wood.bending_mpa, wood.green_bending_mpa, moisture_percent)


def weakest_species(piece: Piece) -> SpeciesName:
    """Return the species of a blank that bends least: what a mixed blank is reckoned with."""
    there = [name for name, volume in blank_volumes_mm3(piece.variant).items() if volume > 0.0]
    return min(there, key=lambda name: STRENGTH[name].bending_mpa)


def push_stress_mpa(section: BaseGeometry, moments: SectionMoments, moment_nmm: float) -> float:
    """Return the largest bending stress of a moment that may act about any axis.

    At a corner (x, y) from the centroid a moment about the worst axis gives M · sqrt((x / Iyy)² + (y / Ixx)²) where
    x and y are the section's own axes, which they are for rectangles.
    """
    x, y = _corners(section, moments)
    return moment_nmm * float(np.hypot(x / moments.iyy_mm4, y / moments.ixx_mm4).max())


def _corners(section: BaseGeometry, moments: SectionMoments) -> tuple[FloatArray, FloatArray]:
    points = shapely.get_coordinates(section)
    return points[:, 0] - moments.x_mm, points[:, 1] - moments.y_mm


@dataclass(frozen=True, slots=True)
class Strain:
    """How one height of the piece bears its load.

    Attributes
    ----------
    z_mm : the height
    stress_mpa : largest stress, bending and weight together
    bears_mpa : what the wood bears there: its bending strength, weakened by the slope of grain; no safety in it
    section : the section's moments
    slope : slope of grain
    """

    z_mm: float
    stress_mpa: float
    bears_mpa: float
    section: SectionMoments
    slope: float

    @property
    def used(self) -> float:
        """Share of what is allowed with the safety factor that the load uses; over 1 is too much."""
        return SAFETY_FACTOR * self.stress_mpa / self.bears_mpa


@dataclass(frozen=True, slots=True)
class LoadLine:
    """The straight way from the middle of the top to the middle of the foot.

    Attributes
    ----------
    inside_mm : how far it stays within the wood at its worst place; negative where it is outside it
    z_mm : that place
    """

    inside_mm: float
    z_mm: float


@dataclass(frozen=True, slots=True)
class Strength:
    """What a piece bears in its use.

    Attributes
    ----------
    loads : what it was tried with
    species : the wood it was reckoned with, the weakest in the blank
    moisture_percent : the dampest the wood becomes
    strains : from the foot up, where there is wood
    worst, thinnest : where the load uses most of what the wood bears, and where the section is least
    load_line : whether the load goes down within the wood; None where an end has no wood
    """

    loads: Loads
    species: SpeciesName
    moisture_percent: float
    strains: tuple[Strain, ...]
    worst: Strain
    thinnest: Strain
    load_line: LoadLine | None

    @property
    def push_borne_n(self) -> float | None:
        """The level push at which the worst place comes to its allowed stress, all loads growing together."""
        return None if self.worst.used <= 0.0 else self.loads.push_n / self.worst.used


@lru_cache(maxsize=2)  # by identity: the checks and the report ask for the same piece
def strength_of(piece: Piece, use: Use) -> Strength | None:
    """Return how a piece bears its use, or None where no kind is chosen or there is no wood.

    A leg is held at the top and pushed at the foot, all else is held at the foot and pushed at the top. The load
    presses straight down on the middle of the top, or off it; the foot answers under its own middle, so a swing of the
    piece away from the straight way between the two bends it.
    """
    loads = loads_of(use)
    if loads is None:
        return None
    length = piece.variant.blank.length
    heights = _stations(piece)
    sections = [_largest(s) for s in sections_at(piece, heights, use.channel_mm)]
    moments = [polygon_moments(s) for s in sections]
    slopes = np.hypot(steepness(piece.front.line, heights), steepness(piece.side.line, heights))
    species = weakest_species(piece)
    moisture = settled_moisture(use.humidity_percent[1])
    straight = bending_strength_mpa(species, moisture)
    middle = _load_path(heights, moments, length)
    strains: list[Strain] = []
    for k, (z, section, m) in enumerate(zip(heights, sections, moments, strict=True)):
        if m is None:
            continue
        arm = z if use.kind == "leg" else length - z
        pushed = push_stress_mpa(section, m, loads.push_n * arm + loads.down_n * use.offset_mm)
        pressed = loads.down_n / m.area_mm2
        if middle is not None:
            x, y = _corners(section, m)
            ex, ey = middle[k, 0] - m.x_mm, middle[k, 1] - m.y_mm
            pressed += loads.down_n * float(np.abs(x * ex / m.iyy_mm4 + y * ey / m.ixx_mm4).max())
        bears = straight * share_left(float(slopes[k]))
        strains.append(Strain(float(z), float(pressed + pushed), bears, m, float(slopes[k])))
    if not strains:
        return None
    worst = max(strains, key=lambda s: s.used)
    thinnest = min(strains, key=lambda s: s.section.area_mm2)
    line = None if middle is None else _load_line(heights, sections, middle)
    return Strength(loads, species, moisture, tuple(strains), worst, thinnest, line)


def _stations(piece: Piece) -> FloatArray:
    """Even heights and those of the thinnest places of both profiles."""
    length = piece.variant.blank.length
    thin = [float(w.z[int(np.argmin(w.above))]) for w in (piece.front.widths, piece.side.widths) if len(w.above)]
    return np.unique(np.clip(np.concatenate([np.linspace(0.0, length, _STATIONS + 1), thin]), 0.0, length))


def _largest(section: BaseGeometry) -> BaseGeometry:
    """Return the largest part: where a line climbs back, the tongue beside it carries nothing."""
    parts = shapely.get_parts(section)
    return max(parts, key=shapely.area) if len(parts) > 1 else section


def _load_path(heights: FloatArray, moments: Sequence[SectionMoments | None], length: float) -> FloatArray | None:
    """Return where (n, 2) the straight way from the middle of the top to that of the foot is at each height."""
    foot, top = moments[0], moments[-1]
    if foot is None or top is None:
        return None
    part = (heights / length)[:, None]
    return np.asarray((1.0 - part) * [foot.x_mm, foot.y_mm] + part * [top.x_mm, top.y_mm])


def _load_line(heights: FloatArray, sections: Sequence[BaseGeometry], middle: FloatArray) -> LoadLine:
    points = shapely.points(middle)
    depth = []
    for point, section in zip(points, sections, strict=True):
        if section.is_empty:
            depth.append(-math.inf)
            continue
        # a wire channel up the axis is no outside
        solid = shapely.Polygon(section.exterior)
        edge = float(shapely.distance(point, solid.exterior))
        depth.append(edge if solid.contains(point) else -edge)
    k = int(np.argmin([d if math.isfinite(d) else 0.0 for d in depth]))
    return LoadLine(depth[k] if math.isfinite(depth[k]) else 0.0, float(heights[k]))
