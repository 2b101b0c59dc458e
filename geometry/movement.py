"""How much the section swells and shrinks with the seasons, and where two woods of one blank do so too differently.

How the growth rings lie is not known, so every movement is given twice: along the rings (tangential, the most there
can be) and square to them (radial, the least).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Final

from geometry.blank_wood import blank_volumes_mm3
from geometry.measures import Section, smallest_section
from geometry.moisture import change_of_size, settled_moisture
from geometry.piece import Piece
from geometry.species import SpeciesName
from geometry.use import Use
from geometry.wood_values import SHRINKAGE

STEP_FELT_MM: Final = 0.3
"""A step at the end of a glue line larger than this is felt, and the joint is strained (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Span:
    """The least and the most that a size changes, in millimetres: radial and tangential."""

    radial_mm: float
    tangential_mm: float


@dataclass(frozen=True, slots=True)
class Unlike:
    """Two woods of one blank that move differently.

    Attributes
    ----------
    calm, lively : the one that moves less and the one that moves more
    step_mm : the step at either end of a glue line between them, as wide as the blank, rings along it
    """

    calm: SpeciesName
    lively: SpeciesName
    step_mm: float


@dataclass(frozen=True, slots=True)
class Movement:
    """What the seasons do to a piece.

    Attributes
    ----------
    humidity_percent, moisture_percent : driest and dampest of the room, and what the wood settles to
    section : where the changes are given: the thinnest section
    width, depth : how much it grows from the driest to the dampest, of the wood in the blank that moves most
    lively : that wood
    unlike : the pair of woods that moves most differently, or None of one wood
    """

    humidity_percent: tuple[float, float]
    moisture_percent: tuple[float, float]
    section: Section
    width: Span
    depth: Span
    lively: SpeciesName
    unlike: Unlike | None


def movement_of(piece: Piece, use: Use | None = None) -> Movement | None:
    """Return the seasonal movement of a piece between the two humidities of its use, or None where it has no wood."""
    section = smallest_section(piece.front.widths, piece.side.widths)
    if section is None:
        return None
    humidity = (use or Use()).humidity_percent
    dry, damp = (settled_moisture(h) for h in humidity)
    there = [name for name, volume in blank_volumes_mm3(piece.variant).items() if volume > 0.0]
    lively = max(there, key=lambda name: SHRINKAGE[name].tangential)

    def grows(size: float) -> Span:
        s = SHRINKAGE[lively]
        return Span(change_of_size(size, s.radial, dry, damp), change_of_size(size, s.tangential, dry, damp))

    return Movement(
        humidity, (dry, damp), section, grows(section.width), grows(section.depth), lively,
        _most_unlike(there, max(piece.variant.blank.width, piece.variant.blank.depth), dry, damp),
    )  # fmt: skip


def _most_unlike(species: list[SpeciesName], size: float, dry: float, damp: float) -> Unlike | None:
    """Return the pair that differs most; each end of a joint steps by half of the difference."""
    pairs = []
    for a, b in combinations(species, 2):
        calm, lively = sorted((a, b), key=lambda name: SHRINKAGE[name].tangential)
        apart = SHRINKAGE[lively].tangential - SHRINKAGE[calm].tangential
        pairs.append(Unlike(calm, lively, change_of_size(size, apart, dry, damp) / 2.0))
    return max(pairs, key=lambda pair: pair.step_mm, default=None)
