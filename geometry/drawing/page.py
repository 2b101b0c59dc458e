"""A page: items laid on paper of a size, some of them seen only through a window."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from geometry.drawing.items import Item
from geometry.drawing.placing import Box, Move, placed


@dataclass(frozen=True, slots=True)
class Part:
    """Items on a page.

    Attributes
    ----------
    items : in their own coordinates
    dx, dy : where their origin lies on the page, from its lower left corner
    window : the box of the page through which they are seen, or None for all of it
    """

    items: tuple[Item, ...]
    dx: float = 0.0
    dy: float = 0.0
    window: Box | None = None

    def on_page(self) -> tuple[Item, ...]:
        """Return the items in the page's coordinates."""
        return placed(self.items, Move(dx=self.dx, dy=self.dy))


@dataclass(frozen=True, slots=True)
class Picture:
    """A PNG or JPEG file shown in a box of the page."""

    image: bytes
    box: Box


@dataclass(frozen=True, slots=True)
class Page:
    """Paper of a width and height in mm, and what lies on it: pictures at the bottom, then the parts in order.

    Only a PDF shows pictures; drawings for drawing programs have none.
    """

    width: float
    height: float
    parts: tuple[Part, ...]
    pictures: tuple[Picture, ...] = ()

    def items(self) -> Iterator[Item]:
        """Yield every item in the page's coordinates, windows left aside."""
        for part in self.parts:
            yield from part.on_page()
