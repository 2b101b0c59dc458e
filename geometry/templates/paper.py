"""The papers templates are printed on."""

from __future__ import annotations

from typing import Final, Literal

PaperName = Literal["a4", "letter", "a3", "roll"]
PAPER_NAMES: Final[tuple[PaperName, ...]] = ("a4", "letter", "a3", "roll")

SHEET_SIZES_MM: Final[dict[PaperName, tuple[float, float]]] = {
    "a4": (210.0, 297.0),
    "letter": (215.9, 279.4),
    "a3": (297.0, 420.0),
}
"""Width and height, upright: A4 and A3 by ISO 216; Letter is 8 1/2 by 11 inches."""

ROLL_WIDTH_MM: Final = 610.0
"""A common roll is 24 inches wide (common practice, no source); a drawing that needs more gets a wider page."""

LONGEST_PAGE_MM: Final = 5000.0
"""PDF readers take pages up to 14 400 units, 5080 mm (ISO 32000-1, annex C); a longer roll sheet is parted."""

MARGIN_MM: Final = 10.0
"""What no printer is trusted to reach."""

OVERLAP_MM: Final = 10.0
"""How much of the drawing neighbouring sheets both carry."""
