"""Catching a dragged place at the grid, the centre line, the ends, and the heights of the other face's nodes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from geometry.editing import Place, nodes_of, tidy
from geometry.project import CutName, Variant

CaughtAcross = Literal["centre line", "grid"]
CaughtUp = Literal["end", "other face", "grid"]


@dataclass(frozen=True, slots=True)
class Snapping:
    """What a dragged place is caught by.

    Attributes
    ----------
    grid_mm : spacing of the grid; None for no grid
    heights_mm : heights of the other face's nodes
    to_centre, to_ends : whether the centre line and the ends of the face catch
    reach_across_mm, reach_up_mm : how near a place must come to be caught by anything but the grid; two numbers,
        because a face is drawn wider than true and the hand's reach is the same on screen in both directions
    """

    grid_mm: float | None = None
    heights_mm: tuple[float, ...] = ()
    to_centre: bool = True
    to_ends: bool = True
    reach_across_mm: float = 1.0
    reach_up_mm: float = 3.0


@dataclass(frozen=True, slots=True)
class Snapped:
    """A place after catching, and what caught it in either direction (None: nothing did)."""

    at: Place
    across: CaughtAcross | None = None
    up: CaughtUp | None = None


def snapped(point: Place, length_mm: float, snapping: Snapping) -> Snapped:
    """Return where a dragged place is caught: a particular line or height within reach first, else the grid."""
    u, across = _across(point[0], snapping)
    z, up = _up(point[1], length_mm, snapping)
    return Snapped((tidy(u), tidy(z)), across, up)


def heights_of_other_face(variant: Variant, face: CutName) -> tuple[float, ...]:
    """Return the heights of the nodes on the face beside the given one, each once, from the foot up."""
    other = variant.cut("side" if face == "front" else "front")
    return tuple(sorted({n.at[1] for n in nodes_of(other, variant.blank.length)}))


def _across(u: float, snapping: Snapping) -> tuple[float, CaughtAcross | None]:
    if snapping.to_centre and abs(u) <= snapping.reach_across_mm:
        return 0.0, "centre line"
    if snapping.grid_mm:
        return _gridded(u, snapping.grid_mm), "grid"
    return u, None


def _up(z: float, length_mm: float, snapping: Snapping) -> tuple[float, CaughtUp | None]:
    ends = (0.0, length_mm) if snapping.to_ends else ()
    if (end := _nearest(z, ends, snapping.reach_up_mm)) is not None:
        return end, "end"
    if (height := _nearest(z, snapping.heights_mm, snapping.reach_up_mm)) is not None:
        return height, "other face"
    if snapping.grid_mm:
        return _gridded(z, snapping.grid_mm), "grid"
    return z, None


def _nearest(value: float, places: Iterable[float], reach: float) -> float | None:
    within = [p for p in places if abs(p - value) <= reach]
    return min(within, key=lambda p: abs(p - value)) if within else None


def _gridded(value: float, grid_mm: float) -> float:
    return round(value / grid_mm) * grid_mm
