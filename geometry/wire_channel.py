"""A channel for a lamp's wire: the blank's four long corners are chamfered and leave a bore where they meet."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from geometry.piece import Piece
from geometry.sections import spans_at

_HAIR_MM = 1e-6


@dataclass(frozen=True, slots=True)
class WireChannel:
    """A wire channel up the axis of the piece.

    Attributes
    ----------
    bore_mm : the round that passes; the hole is a square of that side, standing on its corner
    chamfer_mm : what to plane off each of the blank's four long corners, along either face, before gluing
    wall_mm : the least wood between the channel and the outside; negative where it breaks out
    z_mm : where that is
    """

    bore_mm: float
    chamfer_mm: float
    wall_mm: float
    z_mm: float


def chamfer_for(bore_mm: float) -> float:
    """Return the leg of the chamfer that leaves a bore: c = D / √2, so that four of them make a square of side D."""
    return bore_mm / math.sqrt(2.0)


def wire_channel(piece: Piece, bore_mm: float) -> WireChannel | None:
    """Return the channel of a bore up the axis of a piece, with its thinnest wall; None where there is no wood.

    The channel's corners point at the middles of the four sawn faces, so the wall there is the distance of the axis
    from the face less the chamfer. The profiles' edges are straight between their corners, which are all looked at.
    """
    chamfer = chamfer_for(bore_mm)
    length = piece.variant.blank.length
    walls: list[tuple[float, float]] = []
    for sawn in (piece.front, piece.side):
        corners = shapely.get_coordinates(sawn.profile)[:, 1]
        # either side of each corner's height, where an edge may jump
        heights = np.unique(np.clip(np.concatenate([corners - _HAIR_MM, corners + _HAIR_MM]), 0.0, length - _HAIR_MM))
        for z, spans in zip(heights.tolist(), spans_at(sawn.profile, heights), strict=True):
            around = [min(high, -low) for low, high in spans if low < 0.0 < high]
            walls.append(((max(around) if around else 0.0) - chamfer, z))
    if not walls:
        return None
    wall, z = min(walls)
    return WireChannel(bore_mm, chamfer, wall, z)
