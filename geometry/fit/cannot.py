"""What cannot be had: which wish, where, by how much, in a sentence for the maker."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.project import CutName


@dataclass(frozen=True, slots=True)
class CannotFit:
    """A wish that cannot be had as drawn.

    Attributes
    ----------
    view : the view whose outline it is
    where : its place (u, z) on the outline
    by_mm : by how much the wish is missed there
    sentence : what is so, where, by how much, and what to do
    """

    view: CutName
    where: tuple[float, float]
    by_mm: float
    sentence: str
