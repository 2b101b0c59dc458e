"""The radius along a line, beside what its blade follows: for the comb on the drawing, and for planning the cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, cast

import numpy as np

from geometry.blades import COMFORT, STOCK_BLADES, StockBlade, widest_stock_blade
from geometry.curvature import curvature, piece_lengths
from geometry.lines import Line
from geometry.piece import Piece
from geometry.project import CutName
from geometry.solids import BoolArray, FloatArray, IntArray
from geometry.tapering import sawing_plane

COMFORTABLE: Final = 0
TIGHT: Final = 1
IMPOSSIBLE: Final = 2
"""How a place is sawn: with comfort, just so, or not at all."""

_STEP_MM = 2.0
_LEAST_STEPS = 8
_MOST_PLACES = 4000
"""Places of the comb: every 2 mm, at least eight to a piece, and not so many that drawing them takes time."""

ONE_PLACE_SHARE: Final = 1.0 / 3.0
"""Where a line needs its narrow blade over no more of its length than this, it is sawn in two steps."""

WIDE_MM: Final = 12.7
"""A wider blade than this is not changed to and fro for one line, and small saws do not take it."""


@dataclass(frozen=True, slots=True, eq=False)
class RadiusAlong:
    """How a line bends, place by place.

    Attributes
    ----------
    places : (n, 2) along the line as drawn, (u, z)
    towards : (n, 2) unit vectors square to the line, on the side of the bend's centre; to the left where straight
    along_mm : (n,) length of line up to each place
    radius_mm : (n,) radius square to the blade; infinite where straight, 0 at a cusp
    level : (n,) `COMFORTABLE`, `TIGHT` or `IMPOSSIBLE`
    limit_mm : the radius the blade just follows; 0 without a blade, infinite for one that cannot turn
    """

    places: FloatArray
    towards: FloatArray
    along_mm: FloatArray
    radius_mm: FloatArray
    level: IntArray
    limit_mm: float

    def share(self, level: int) -> float:
        """Return the share 0..1 of the line's length that is of a level."""
        steps = np.diff(self.along_mm)
        worse = np.maximum(self.level[1:], self.level[:-1])
        total = float(steps.sum())
        return float(steps[worse == level].sum()) / total if total > 0.0 else 0.0


def radius_along(piece: Piece, name: CutName, limit_mm: float | None) -> RadiusAlong:
    """Return how a cut's line bends along it.

    Parameters
    ----------
    piece, name : the cut; on a tapered blank its radius is that square to the blade
    limit_mm : the radius its blade just follows; None for a blade that cannot turn at all, 0 without a blade
    """
    blank, line = piece.variant.blank, piece.cut(name).line
    sawn = sawing_plane(blank, name, piece.variant.taper_support).line(line) if blank.is_tapered else line
    return radius_along_line(line, limit_mm, sawn)


def radius_along_line(line: Line, limit_mm: float | None, sawn: Line | None = None) -> RadiusAlong:
    """Return how a line bends along it; ``sawn`` is the same line square to the blade, where that differs."""
    lengths = piece_lengths(line)
    step = max(_STEP_MM, float(lengths.sum()) / _MOST_PLACES)
    counts = np.maximum(np.ceil(lengths / step).astype(np.int64), min(_LEAST_STEPS, _MOST_PLACES // len(lengths) + 1))
    # both ends of every piece: the curvature may jump at a corner
    piece = np.repeat(np.arange(len(counts)), counts + 1)
    t = np.concatenate([np.linspace(0.0, 1.0, c + 1) for c in counts])
    bend = curvature(line if sawn is None else sawn, piece, t)
    with np.errstate(divide="ignore"):
        radius = cast(FloatArray, 1.0 / np.abs(bend))
    limit = np.inf if limit_mm is None else limit_mm
    bends = np.isfinite(radius)
    level = np.where(bends & (radius < COMFORT * limit), TIGHT, COMFORTABLE)
    level = np.where(bends & (radius < limit), IMPOSSIBLE, level)
    places, v = line.at(piece, t), line.velocity(piece, t)
    speed = np.hypot(v[:, 0], v[:, 1])
    left = np.stack([-v[:, 1], v[:, 0]], axis=1) / np.where(speed > 0.0, speed, 1.0)[:, None]
    steps = np.hypot(*np.diff(places, axis=0).T)
    return RadiusAlong(
        places, left * np.where(bend < 0.0, -1.0, 1.0)[:, None], np.concatenate([[0.0], np.cumsum(steps)]), radius,
        level.astype(np.int64), float(limit),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class TwoSteps:
    """A line that needs a narrow blade in one place only, and a wider one follows all the rest.

    Attributes
    ----------
    narrow, wide : the two stock blades
    start, stop : where the narrow one begins and ends, (u, z)
    share : share 0..1 of the line's length between the two
    """

    narrow: StockBlade
    wide: StockBlade
    start: tuple[float, float]
    stop: tuple[float, float]
    share: float


def two_steps(along: RadiusAlong) -> TwoSteps | None:
    """Return the plan for a line that wants a narrow blade only in one place, or None where one blade does.

    The widest blade up to 12.7 mm is taken for which everything it does not follow lies within a third of the length.
    """
    total = float(along.along_mm[-1])
    narrow = widest_stock_blade(float(along.radius_mm.min()) if np.isfinite(along.radius_mm).any() else None)
    if narrow is None or total <= 0.0:
        return None
    for wide in STOCK_BLADES[::-1]:
        if wide.width_mm > WIDE_MM:
            continue
        if wide.width_mm <= narrow.width_mm:
            return None
        stuck: BoolArray = along.radius_mm < wide.radius_mm
        if not stuck.any():
            continue
        first, last = np.flatnonzero(stuck)[[0, -1]]
        # one place further on either side the wider blade has been seen to follow
        first, last = max(int(first) - 1, 0), min(int(last) + 1, len(stuck) - 1)
        share = float(along.along_mm[last] - along.along_mm[first]) / total
        if share <= ONE_PLACE_SHARE:
            ends = [(float(along.places[k, 0]), float(along.places[k, 1])) for k in (first, last)]
            return TwoSteps(narrow, wide, ends[0], ends[1], share)
    return None
