"""Pictures for the sheet, as somebody else has made them, with marks that are drawn over them."""

from __future__ import annotations

from dataclasses import dataclass

from geometry.bench_steps import StepName
from geometry.drawing.items import Point


@dataclass(frozen=True, slots=True)
class StepPicture:
    """A picture of a step.

    Attributes
    ----------
    name : which step
    image : a PNG or JPEG file
    aspect : width over height
    lines, tapes : polylines and polygons to be drawn over it, in shares of its width and height from the lower left
    numbers : texts with their places, likewise
    """

    name: StepName
    image: bytes
    aspect: float
    lines: tuple[tuple[Point, ...], ...] = ()
    tapes: tuple[tuple[Point, ...], ...] = ()
    numbers: tuple[tuple[str, Point], ...] = ()


@dataclass(frozen=True, slots=True)
class SheetPictures:
    """All pictures of a sheet: the piece in its wood, and the steps in their order."""

    portrait: bytes
    portrait_aspect: float
    steps: tuple[StepPicture, ...]
