"""Quarters laid out on a print bed: each on a flat, side by side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from geometry.measures import bounds
from geometry.project import Blank
from geometry.sawing import QUARTER_SIGNS
from geometry.solids import FloatArray, Solid
from geometry.tapering import slopes

GAP_MM = 5.0
"""Room between neighbours on the bed, before scaling: enough for a brim."""


def laid_flat(quarters: Sequence[Solid], blank: Blank) -> tuple[Solid, ...]:
    """Return the quarters lying on the bed, the plane z = 0, in a row along y with their length along x.

    Each lies on the flat that is its blank's front or back face. The moves are rigid, so that left stays left; the
    row starts at the corner of the bed, x = y = 0. Quarters without wood are left out.
    """
    out: list[Solid] = []
    y = 0.0
    for (_, sy), quarter in zip(QUARTER_SIGNS, quarters, strict=True):
        if quarter.is_empty:
            continue
        lying = quarter.moved(_onto_flat(sy, slopes(blank).m))
        box = bounds(lying)
        assert box is not None  # a quarter without wood was left out
        low, high = box
        out.append(lying.moved(_shift(np.array([-low[0], y - low[1], -low[2]]))))
        y += float(high[1] - low[1]) + GAP_MM
    return tuple(out)


def _onto_flat(sy: int, m: float) -> FloatArray:
    """Return the turn that brings the flat at y = sy · b(z) to the bottom and its length along x."""
    root = np.sqrt(1.0 + m * m)
    outward, up = np.array([0.0, sy, m]) / root, np.array([0.0, -sy * m, 1.0]) / root
    before = np.stack([outward, up, np.cross(outward, up)], axis=1)
    down, along = np.array([0.0, 0.0, -1.0]), np.array([1.0, 0.0, 0.0])
    after = np.stack([down, along, np.cross(down, along)], axis=1)
    move = np.eye(4)
    move[:3, :3] = after @ before.T
    return move


def _shift(by: FloatArray) -> FloatArray:
    move = np.eye(4)
    move[:3, 3] = by
    return move
