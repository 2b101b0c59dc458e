"""What a piece has to bear where the maker has not said: the defaults of each kind of use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from geometry.use import Use, UseKind

GRAVITY_M_S2: Final = 9.81


@dataclass(frozen=True, slots=True)
class Loads:
    """Loads in newtons: straight down on the top, and level, at the foot of a leg and at the top of all else."""

    down_n: float
    push_n: float


DEFAULT_LOADS: Final[dict[UseKind, Loads]] = {
    "leg": Loads(600.0, 150.0),  # a person sits down on one corner; the table is dragged over a sill
    "lamp": Loads(0.0, 20.0),  # its shade only; a sleeve catches it
    "stool": Loads(600.0, 20.0),  # as seats are tried by EN 1022: 600 N down, 20 N level (trade summary of it)
    "post": Loads(100.0, 50.0),  # a plant pot; a hand that leans on it
}
"""Common practice, no source, but for the stool."""


def loads_of(use: Use) -> Loads | None:
    """Return the loads of a use, the weight of its top with them; None where no kind is chosen."""
    if use.kind is None:
        return None
    usual = DEFAULT_LOADS[use.kind]
    down = usual.down_n if use.load_n is None else use.load_n
    push = usual.push_n if use.push_n is None else use.push_n
    return Loads(down + GRAVITY_M_S2 * use.top_mass_kg, push)
