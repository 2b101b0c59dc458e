"""Every tolerance the geometry uses, each with its reason, in one place. Millimetres unless the name says otherwise."""

from typing import Final

LIVE_CHORD_MM: Final = 0.05
"""Chord error of the picture while a line is dragged: half a pencil line, not to be seen on screen."""

EXPORT_CHORD_MM: Final = 0.01
"""Chord error of everything that is measured, printed or exported: a tenth of a good saw's scatter."""

PLACE_MM: Final = 1e-6
"""Two places closer than this are the same place: far below any tool, far above rounding at 5 m."""

SAME_NODE_MM: Final = 1e-9
"""Two nodes this close differ only by rounding; a spline over so short a chord would be all noise."""

STRAIGHT_CURVATURE_PER_MM: Final = 1e-9
"""A curve flatter than this (radius over a kilometre times a thousand) is straight but for rounding."""

CUSP_SPEED: Final = 1e-7
"""A piece slower than this part of its longest leg has come to a stop: it turns back there."""

SHARP_CORNER_DEG: Final = 1.0
"""A corner that turns by less than this is followed without a relief cut."""

LOOSE_BODY_MM3: Final = 1e-3
"""A body smaller than a grain of dust is rounding, not a piece of wood."""

SPECK_MM2: Final = 1e-6
"""A plane region smaller than a square of a thousandth is rounding, not wood."""

STRIP_SUM_MM: Final = 0.01
"""How far the strips of a lay-up may miss the blank they are to fill."""

STOCK_BLADE_MM: Final = 0.15
"""A blade this close to a stock width is that blade: 9.525 is 3/8 in is the 9.5 of the table."""

CUTTER_OVERSHOOT_MM: Final = 2.0
"""Cutters reach this far past the blank, so that no cutter face lies on a face of the blank."""

DRAWN_APART_MM: Final = 1e-7
"""How far outlines that touch in a point are drawn back: far above rounding at 5 m, and no wood to speak of."""
