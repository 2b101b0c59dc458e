"""What a drawing is made of: paths, strokes, fills and words. Millimetres, x to the right, y up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final, Literal, Protocol

Point = tuple[float, float]
Step = tuple[Point] | tuple[Point, Point, Point]
"""Straight to a point, or along a cubic: two Bézier points and the end."""

Ink = tuple[float, float, float]
"""Red, green and blue, each from 0 to 1."""

Anchor = Literal["start", "middle", "end"]

BLACK: Final[Ink] = (0.0, 0.0, 0.0)
WHITE: Final[Ink] = (1.0, 1.0, 1.0)


def grey(lightness: float) -> Ink:
    """Return a grey from 0 (black) to 1 (white)."""
    return (lightness, lightness, lightness)


@dataclass(frozen=True, slots=True)
class Path:
    """A way from a point over straight and cubic steps; closed, it goes straight back to its start."""

    start: Point
    steps: tuple[Step, ...]
    closed: bool = False

    @property
    def points(self) -> list[Point]:
        """The start, and every point of every step: the path lies within their hull."""
        return [self.start, *(p for step in self.steps for p in step)]


@dataclass(frozen=True, slots=True)
class Look:
    """How a line is drawn: its width, its colour, and its dashes and gaps in mm (none: unbroken)."""

    width: float = 0.25
    ink: Ink = BLACK
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Stroke:
    """A path drawn along."""

    path: Path
    layer: str
    look: Look = field(default_factory=Look)


@dataclass(frozen=True, slots=True)
class Fill:
    """A closed path filled in."""

    path: Path
    layer: str
    ink: Ink = BLACK


@dataclass(frozen=True, slots=True)
class Text:
    """Words on one line.

    Attributes
    ----------
    at : where the base line starts, has its middle or ends, by ``anchor``
    text : the words
    size : height of the type (its em), in mm
    layer : its layer
    anchor : which place of the words ``at`` is
    turn : degrees by which the words are turned counter-clockwise about ``at``
    bold, ink : how they look
    """

    at: Point
    text: str
    size: float
    layer: str
    anchor: Anchor = "start"
    turn: float = 0.0
    bold: bool = False
    ink: Ink = BLACK


Item = Stroke | Fill | Text


class Pen(Protocol):
    """Whatever can draw the three kinds of item."""

    def stroke(self, item: Stroke) -> None:
        """Draw along a path."""

    def fill(self, item: Fill) -> None:
        """Fill a path in."""

    def text(self, item: Text) -> None:
        """Write words."""


def draw(items: Iterable[Item], pen: Pen) -> None:
    """Hand every item to a pen, in order: later ones lie on top."""
    for item in items:
        match item:
            case Stroke():
                pen.stroke(item)
            case Fill():
                pen.fill(item)
            case Text():
                pen.text(item)
