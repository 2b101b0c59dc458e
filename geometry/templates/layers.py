"""The layers of a template and how each is drawn. Names are what a maker reads in a drawing program."""

from __future__ import annotations

from typing import Final

from geometry.drawing.items import Look, grey
from geometry.project import CutName

LINE: Final[dict[CutName, str]] = {"front": "front line", "side": "side line"}
TRIM: Final[dict[CutName, str]] = {"front": "front trims", "side": "side trims"}
SAWN_ALONG: Final = frozenset({*LINE.values(), *TRIM.values()})
"""Lines to saw: on a design that cannot be sawn they may run off anywhere, and no sheet is made larger for them."""

OUTLINE: Final = "blank"
CENTRE: Final = "centre lines"
KERF: Final = "kerf"
FOLD: Final = "fold"
MARKS: Final = "marks"
WORDS: Final = "words"
WASTE: Final = "waste"
COUPON: Final = "test cut"
BARS: Final = "scale bars"
SHEET: Final = "sheet"

SAWN: Final = Look(0.3)
"""The line to saw along: thin enough to split, dark enough to follow."""

EDGE: Final = Look(0.35)
FOLDED: Final = Look(0.25, dash=(4.0, 1.5))
CENTRED: Final = Look(0.13, grey(0.35), dash=(8.0, 1.5, 1.5, 1.5))
LIGHT: Final = Look(0.1, grey(0.45))
HATCH: Final = Look(0.13, grey(0.6))
MARKED: Final = Look(0.5)
THIN: Final = Look(0.18)
"""Everything else that is only to be seen."""

RULED: Final = Look(0.2)
CUT_HERE: Final = Look(0.2, dash=(2.0, 1.5))
FRAME: Final = Look(0.1, grey(0.6))
SOFT_INK: Final = grey(0.25)
HATCH_SPACING_MM: Final = 3.0
