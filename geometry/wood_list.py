"""The cut list of a blank: which boards to mill, how to glue them up, how much wood that is and how much is waste.

The blank is glued up a little too large and squared last, because only then are its faces, which become the glue
faces of the piece, flat and true. Allowances are common practice, without a source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from geometry.blank_wood import blank_volumes_mm3
from geometry.glue_up import Board, Stage, Trade, glue_up
from geometry.project import DisplayUnits, Variant
from geometry.species import SPECIES
from geometry.units import MM_PER_INCH, format_length

BOARD_FOOT_MM3: Final = 144.0 * MM_PER_INCH**3
"""A board foot is a foot square and an inch thick: 144 cubic inches, 2 359 737.216 mm³."""


@dataclass(frozen=True, slots=True)
class WoodList:
    """What it takes to make a blank.

    Attributes
    ----------
    boards : milled sizes, each with what to add for the rough board
    stages : the glue-up, step by step
    blank_volume_mm3, blank_mass_kg : of the finished blank
    rough_volume_mm3, rough_mass_kg : of all boards as they come to the planer
    """

    boards: tuple[Board, ...]
    stages: tuple[Stage, ...]
    blank_volume_mm3: float
    blank_mass_kg: float
    rough_volume_mm3: float
    rough_mass_kg: float

    @property
    def board_feet(self) -> float:
        """The rough boards in board feet."""
        return self.rough_volume_mm3 / BOARD_FOOT_MM3

    @property
    def waste_mm3(self) -> float:
        """What planer, saw and plane take of the rough boards until the blank is square."""
        return self.rough_volume_mm3 - self.blank_volume_mm3

    @property
    def waste_share(self) -> float:
        """The waste as a share of the rough boards."""
        return self.waste_mm3 / self.rough_volume_mm3


def wood_list(variant: Variant, units: DisplayUnits = "mm", trade: Trade | None = None) -> WoodList:
    """Return the cut list of a variant's blank, strips and blocks counted at the foot.

    Parameters
    ----------
    variant : the design
    units : the maker's unit, for the sentences
    trade : allowances and kerf of the workshop; the common ones when left out
    """
    trade = trade or Trade()
    boards, stages = glue_up(variant.layup, variant.blank, trade, units)
    volumes = blank_volumes_mm3(variant)
    rough = [(math.prod(board.rough(trade)) * board.count, board.species) for board in boards]
    return WoodList(
        boards,
        stages,
        variant.blank.volume_mm3,
        math.fsum(v * SPECIES[name].density_kg_m3 * 1e-9 for name, v in volumes.items()),
        math.fsum(v for v, _ in rough),
        math.fsum(v * SPECIES[name].density_kg_m3 * 1e-9 for v, name in rough),
    )


def wood_list_text(listed: WoodList, units: DisplayUnits = "mm", trade: Trade | None = None) -> str:
    """Return the cut list as text to take to the bench."""
    trade = trade or Trade()

    def sizes(three: tuple[float, float, float]) -> str:
        return " × ".join(format_length(v, units) for v in three)

    lines = ["Boards (thick × wide × long)"]
    lines += [
        f"  {b.label}  {b.count} × {SPECIES[b.species].label.lower()}: mill to {sizes(b.milled)}, "
        f"from rough {sizes(b.rough(trade))}{f'; {b.note}' if b.note else ''}"
        for b in listed.boards
    ]
    lines.append("")
    lines += [f"{n}. {stage.title}. {stage.words}" for n, stage in enumerate(listed.stages, start=1)]
    lines += [
        "",
        f"Rough wood {listed.rough_volume_mm3 / 1e6:.2f} l, {listed.board_feet:.2f} board feet, "
        f"{listed.rough_mass_kg:.2f} kg; blank {listed.blank_volume_mm3 / 1e6:.2f} l, {listed.blank_mass_kg:.2f} kg; "
        f"waste {100.0 * listed.waste_share:.0f} %",
    ]
    return "\n".join(lines) + "\n"
