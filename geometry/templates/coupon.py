"""A coupon of arcs to saw in scrap: what the blade in the saw can really follow."""

from __future__ import annotations

from typing import Final

from geometry.drawing.items import Item, Path, Stroke, Text
from geometry.drawing.shapes import arc, rectangle
from geometry.templates import layers, words
from geometry.templates.faces import Titled, Told
from geometry.templates.titles import Paragraph, block

COUPON_RADII_MM: Final = (10.0, 16.0, 25.0, 40.0, 65.0)
"""Spread over what stock blades up to 1/2 in follow."""

_LEAD_MM: Final = 15.0
_EXIT_MM: Final = 45.0


def coupon(told: Told) -> Titled:
    """Return quarter circles about one centre, each with a straight lead-in from the foot and a straight way out."""
    most = COUPON_RADII_MM[-1]
    width, height = most + _EXIT_MM + 8.0, most + _LEAD_MM + 8.0
    centre = (most + 8.0, _LEAD_MM)
    items: list[Item] = [Stroke(rectangle(0.0, 0.0, width, height), layers.OUTLINE, layers.THIN)]
    for radius in COUPON_RADII_MM:
        bend = arc(centre, radius, 180.0, 90.0)
        x, y = centre[0] - radius, centre[1] + radius
        path = Path((x, 0.0), (((x, _LEAD_MM),), *bend.steps, ((width, y),)))
        items.append(Stroke(path, layers.COUPON, layers.SAWN))
        items.append(Text((width - 1.5, y - 3.6), words.arc_words(radius, told.units), 2.8, layers.WORDS, "end"))
    said, _ = block([Paragraph(words.COUPON)], 0.0, -3.0, width)
    return Titled(words.COUPON_TITLE, (*items, *said))
