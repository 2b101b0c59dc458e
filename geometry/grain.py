"""How the grain runs in the piece: it stays upright while the piece swings, so where a line slopes the fibres run out.

The piece's middle runs up along both lines, (f(z), g(z)), and the fibres along z: their slope to the piece is
sqrt(f'² + g'²). On a tapered blank it is the slope to the sawn faces as drawn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, cast

import numpy as np

from geometry.lines import Line
from geometry.piece import Piece
from geometry.solids import FloatArray

NOTICED_SLOPE: Final = 1.0 / 8.0
SHORT_SLOPE: Final = 1.0 / 5.0
"""From here on the slope is mentioned, and from here on it is short grain in a thin part (common practice, no source).

At 1 in 8 straight wood keeps about three quarters of its bending strength, at 1 in 5 about half (Hankinson, see
`geometry.strength`).
"""

_STEPS = 400
"""Heights between foot and top at which the slope is kept: closer than anything a maker can see on the map."""

_PER_PIECE = 24

_LEVEL = 1e-3
"""A line that climbs less than this for its run is level: the fibres are sawn straight across."""


@dataclass(frozen=True, slots=True, eq=False)
class GrainMap:
    """The slope of the grain along the piece.

    Attributes
    ----------
    z : (n,) heights in mm, from foot to top
    front, side : (n,) slope of each line at them, the steepest of its passes; infinite where it runs level
    """

    z: FloatArray
    front: FloatArray
    side: FloatArray

    @property
    def slope(self) -> FloatArray:
        """The slope (n,) of the grain to the piece, both lines together; infinite where one runs level."""
        return cast(FloatArray, np.hypot(self.front, self.side))

    @property
    def steepest(self) -> tuple[float, float]:
        """The steepest slope (infinite where a line runs level) and its height."""
        k = int(np.argmax(self.slope))
        return float(self.slope[k]), float(self.z[k])

    def share_steeper(self, slope: float) -> float:
        """Return the share 0..1 of the length whose grain slopes more than that."""
        return float((self.slope > slope).mean())


def grain_map(piece: Piece) -> GrainMap:
    """Return the slope of the grain along a piece, at even heights and at every node."""
    length = piece.variant.blank.length
    own = [n.at[1] for cut in (piece.variant.front, piece.variant.side) for n in cut.nodes if 0.0 <= n.at[1] <= length]
    z = np.unique(np.concatenate([np.linspace(0.0, length, _STEPS + 1), own]))
    return GrainMap(z, steepness(piece.front.line, z), steepness(piece.side.line, z))


def steepness(line: Line, z: FloatArray) -> FloatArray:
    """Return the steepest |du/dz| (n,) of a line's passes at rising heights ``z`` (n,); 0 where it does not come.

    The line is followed in short steps; between two of them the slope is taken as even.
    """
    count = len(line.pieces)
    t = np.tile(np.linspace(0.0, 1.0, _PER_PIECE + 1), count)
    piece = np.repeat(np.arange(count), _PER_PIECE + 1)
    points, velocity = line.at(piece, t), line.velocity(piece, t)
    run, rise = np.abs(velocity[:, 0]), np.abs(velocity[:, 1])
    slope = np.where(rise > _LEVEL * run, run / np.where(rise > 0.0, rise, 1.0), np.inf)
    slope = np.where(run + rise > 0.0, slope, 0.0)  # at a cusp its neighbours speak
    within = piece[1:] == piece[:-1]
    z0, z1 = points[:-1, 1][within], points[1:, 1][within]
    s0, s1 = slope[:-1][within], slope[1:][within]
    # heights within rounding of a step's ends belong to it
    eps = 1e-9 * (1.0 + float(np.abs(z).max()))
    first = np.searchsorted(z, np.minimum(z0, z1) - eps, side="left")
    spans = np.maximum(np.searchsorted(z, np.maximum(z0, z1) + eps, side="right") - first, 0)
    step = np.repeat(np.arange(len(spans)), spans)
    at = np.arange(spans.sum()) - np.repeat(np.cumsum(spans) - spans, spans) + first[step]
    climb = z1[step] - z0[step]
    part = np.clip((z[at] - z0[step]) / np.where(climb == 0.0, 1.0, climb), 0.0, 1.0)
    with np.errstate(invalid="ignore"):
        value = s0[step] + part * (s1[step] - s0[step])
    value = np.where(np.isfinite(value), value, np.inf)
    out = np.zeros(len(z))
    np.maximum.at(out, at, value)
    return out


def along_share(line: Line, most_slope: float = math.tan(math.radians(20.0))) -> float:
    """Return the share 0..1 of a line's length that runs with the grain, leaning by less than 20° unless said else."""
    count = len(line.pieces)
    t = np.tile(np.linspace(0.0, 1.0, _PER_PIECE + 1), count).reshape(count, -1)
    points = line.at(np.repeat(np.arange(count), _PER_PIECE + 1), t.ravel()).reshape(count, -1, 2)
    steps = np.diff(points, axis=1).reshape(-1, 2)
    lengths = np.hypot(steps[:, 0], steps[:, 1])
    along = np.abs(steps[:, 0]) < most_slope * np.abs(steps[:, 1])
    return float(lengths[along].sum() / lengths.sum())


def slope_words(slope: float) -> str:
    """Return a slope as a maker says it: "1 in 6"."""
    if slope <= 0.0:
        return "straight along the piece"
    if math.isinf(slope):
        return "straight across"
    over = 1.0 / slope
    return f"1 in {over:.0f}" if over >= 9.5 else f"1 in {over:.2g}"
