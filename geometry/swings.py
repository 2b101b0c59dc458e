"""Which way the piece swings, in words: where a line swings right, the piece swings right."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import cast

import numpy as np

from geometry.copying import Sense, copied_to_other_face
from geometry.lines import Line, line_of
from geometry.nearest import passes_of_height
from geometry.project import CutName, DisplayUnits, Variant
from geometry.sampling import sample
from geometry.solids import FloatArray
from geometry.tolerances import EXPORT_CHORD_MM
from geometry.units import format_length

_HEIGHTS = 120
"""Heights between foot and top at which the swing is looked at, beside those of the nodes."""

_NO_SWING_MM = 0.05
"""A swing smaller than this is not to be seen."""


@dataclass(frozen=True, slots=True)
class Swing:
    """How far the middle of the piece stands off the centre line at a height, to the right and to the back."""

    right_mm: float
    back_mm: float
    z_mm: float

    @property
    def distance_mm(self) -> float:
        """Distance from the centre line."""
        return math.hypot(self.right_mm, self.back_mm)


def swings(variant: Variant) -> tuple[Swing, ...]:
    """Return the swing of the piece at many heights, from the foot up.

    The middle of the piece lies on the front line across x and on the side line across y. Where a line passes a
    height several times (a hook) the middle of its passes counts.
    """
    length = variant.blank.length
    front, side = line_of(variant.front, length), line_of(variant.side, length)
    own = [n.at[1] for cut in (variant.front, variant.side) for n in cut.nodes if 0.0 <= n.at[1] <= length]
    heights = np.array(sorted({*np.linspace(0.0, length, _HEIGHTS + 1).tolist(), *own}))
    x, y = _middles(front, heights), _middles(side, heights)
    there = np.flatnonzero(np.isfinite(x) & np.isfinite(y))
    return tuple(Swing(float(x[i]), float(y[i]), float(heights[i])) for i in there)


def _middles(line: Line, heights: FloatArray) -> FloatArray:
    """Return u (n,) half-way between the outermost passes of each height (n,); NaN where the line does not come."""
    points = sample(line, EXPORT_CHORD_MM).points
    if (np.diff(points[:, 1]) >= 0.0).all():
        return cast(FloatArray, np.interp(heights, points[:, 1], points[:, 0], left=np.nan, right=np.nan))
    out = np.full(len(heights), np.nan)
    for i, z in enumerate(heights):
        across = [u for _, _, u in passes_of_height(line, float(z))]
        if across:
            out[i] = (min(across) + max(across)) / 2.0
    return out


def corner_faced(swing: Swing) -> str:
    """Return the corner or face of the piece that a swing faces, as "front right corner" or "left face".

    A swing in one direction only, or in the other by less than a tenth of it, faces a face.
    """
    right, back = swing.right_mm, swing.back_mm
    across = "right" if right > 0.0 else "left"
    deep = "back" if back > 0.0 else "front"
    if abs(back) < 0.1 * abs(right):
        return f"{across} face"
    if abs(right) < 0.1 * abs(back):
        return f"{deep} face"
    return f"{deep} {across} corner"


def swing_words(variant: Variant, units: DisplayUnits = "mm") -> str:
    """Return a sentence saying which way the piece swings most, how far and where, and which way it swings back."""
    places = swings(variant)
    most = max(places, key=lambda s: s.distance_mm, default=None)
    if most is None or most.distance_mm < _NO_SWING_MM:
        return "The piece stands straight."
    words = f"The piece swings toward its {corner_faced(most)}{_shared(most)}, {_how(most, units)}"
    # the furthest the other way: against the direction of the greatest swing
    against = min(places, key=lambda s: s.right_mm * most.right_mm + s.back_mm * most.back_mm)
    back = against.right_mm * most.right_mm + against.back_mm * most.back_mm
    if back < 0.0 and against.distance_mm >= max(_NO_SWING_MM, 0.1 * most.distance_mm):
        return f"{words}; and toward its {corner_faced(against)}{_shared(against)}, {_how(against, units)}."
    return f"{words}."


def copy_words(variant: Variant, face: CutName, sense: Sense, units: DisplayUnits = "mm") -> str:
    """Return what copying a line to the other face would do, in words, before it is done."""
    if sense == "together":
        how = "Both lines swing toward the corner they share, and away from it, together."
    else:
        how = "Where one line swings toward the corner they share, the other swings away from it."
    return f"{how} {swing_words(copied_to_other_face(variant, face, sense), units)}"


def _shared(swing: Swing) -> str:
    return " (between the two faces drawn on)" if corner_faced(swing) == "front right corner" else ""


def _how(swing: Swing, units: DisplayUnits) -> str:
    return f"{format_length(swing.distance_mm, units)} at {format_length(swing.z_mm, units)} up"
