"""A channel for a lamp's wire: the blank's four long corners are chamfered and leave a bore where they meet."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from geometry.piece import Piece
from geometry.slots import sloped_edges

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
        lo, hi, _ = sloped_edges(sawn.profile)
        if not len(lo):
            return None
        # along its axis the piece is solid, or it is not: there the nearest edge says nothing
        axis = shapely.LineString([(0.0, 0.0), (0.0, length)])
        outside = shapely.difference(axis, sawn.profile)
        if outside.length > _HAIR_MM:
            walls.append((-chamfer, float(outside.bounds[1])))
            continue
        corners = np.vstack([lo, hi])
        nearest = int(np.argmin(np.abs(corners[:, 0])))
        walls.append((float(abs(corners[nearest, 0])) - chamfer, float(corners[nearest, 1])))
    wall, z = min(walls)
    return WireChannel(bore_mm, chamfer, wall, z)
