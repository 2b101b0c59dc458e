"""Offcuts of trims: which quarters they come off, and which go back into the squared stock, with how thick a shim.

Either direction may be trimmed first. Nothing in a design says which, so the front is always taken first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from geometry.findings.finding import Words
from geometry.piece import Piece
from geometry.project import CUT_NAMES, CutName, DisplayUnits
from geometry.trims import SawnTrim, may_be_left_out

VIEW_SIDE: Final[dict[int, str]] = {1: "right", -1: "left"}
"""Where a trim's waste lies in the flats-together view."""

QUARTERS: Final[dict[CutName, dict[int, tuple[int, int]]]] = {
    "front": {1: (1, 4), -1: (2, 3)},
    "side": {1: (1, 2), -1: (3, 4)},
}
"""The two quarters that stand right (+1) and left (-1) of the seam in each flats-together view."""


@dataclass(frozen=True, slots=True, eq=False)
class Offcut:
    """What one trim takes off.

    Attributes
    ----------
    cut, number : the direction it is trimmed in and the number pencilled on it
    sawn : the trim
    quarters : the two quarters it comes off
    is_needed : True where it has to be taped back until the other direction is sawn
    shim_mm : thickness of the shim it is taped back with: the trim's kerf
    """

    cut: CutName
    number: int
    sawn: SawnTrim
    quarters: tuple[int, int]
    is_needed: bool
    shim_mm: float


def trimmed_directions(piece: Piece) -> tuple[CutName, ...]:
    """Return the directions in which trims are sawn, in that order."""
    return tuple(name for name in CUT_NAMES if any(t.fault is None for t in piece.cut(name).trims))


def offcuts_of(piece: Piece) -> tuple[Offcut, ...]:
    """Return the offcuts of a piece in the order of the two directions; trims that take nothing have none."""
    order = trimmed_directions(piece)
    out: list[Offcut] = []
    for name in order:
        trims = piece.cut(name).trims
        is_last = name == order[-1]
        for trim in trims:
            if trim.fault is not None or trim.offcut.is_empty:
                continue
            needed = not is_last and not may_be_left_out(trim, trims, piece.variant.blank.length)
            quarters = QUARTERS[name][trim.side]
            out.append(Offcut(name, trim.number, trim, quarters, needed, trim.trim.kerf))
    return tuple(out)


def offcut_sentence(offcut: Offcut, is_last: bool, units: DisplayUnits = "mm") -> str:
    """Return what is done with an offcut, for the maker.

    Parameters
    ----------
    offcut : the offcut
    is_last : True where its direction is the last to be trimmed
    units : the maker's unit
    """
    name = (
        f"Offcut {offcut.number} of the {offcut.cut} view, off quarters {offcut.quarters[0]} and {offcut.quarters[1]}"
    )
    if is_last:
        return f"{name}: it is not needed again."
    if offcut.is_needed:
        shim = Words(units).length(offcut.shim_mm)
        how = f"with a {shim} shim in its kerf" if offcut.shim_mm > 0.0 else "where it was"
        return f"{name}: tape it back {how} until the other direction is sawn."
    return f"{name}: it may be left out of the squared stock, the quarters are held beside it."


def sentences(offcuts: Sequence[Offcut], units: DisplayUnits = "mm") -> tuple[str, ...]:
    """Return what is done with each of a piece's offcuts."""
    last = offcuts[-1].cut if offcuts else None
    return tuple(offcut_sentence(offcut, offcut.cut == last, units) for offcut in offcuts)
