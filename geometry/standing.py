"""Will it stand? How far a piece can be tilted before it tips, in its worst direction. Screening, not certification."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.loads import GRAVITY_M_S2, loads_of
from geometry.piece import Piece
from geometry.sections import polygon_moments, sections_at
from geometry.solids import FloatArray
from geometry.species import SPECIES
from geometry.use import Use

STEADY_DEG: Final = 10.0
LEAST_DEG: Final = 8.0
CHILDREN_DEG: Final = 15.0
"""Angles a standing piece is to bear without tipping: 8° is what UL 153 (section 132) asks of portable lamps with
their shade, in the worst direction; IEC 60598-2-4 (clause 4.6.3) asks 6°; both ask 15° of what is for children
(IEC 60598-2-10, clause 10.6.2). Ten leaves something over (common practice, no source)."""

SEAT_EDGE_MM: Final = 60.0
"""How far inside the edge a seat is loaded when it is tried (trade summary of EN 1022; read it before claiming it)."""

Verdict = Literal["steady", "near", "tips"]

_TOWARD = ("right", "back right", "back", "back left", "left", "front left", "front", "front right")


@dataclass(frozen=True, slots=True)
class Standing:
    """How a piece stands with what is on it.

    Attributes
    ----------
    mass_kg, centre_mm : of everything together; the centre above the floor, a plate's thickness counted
    reach_mm : from under the centre to the nearest side of what it stands on; negative where it is outside
    tip_angle_deg : tilt in the worst direction at which it tips; negative where it falls over by itself
    toward : where to, seen by who looks at the front: "back left"
    needed_deg, verdict : the screening angle it is held against, and what comes of it
    seat_ratio : of a stool, what holds it down over what tips it with a sitter on the edge; None of all else
    support : (n, 2) corners of what it stands on, counter-clockwise
    """

    mass_kg: float
    centre_mm: tuple[float, float, float]
    reach_mm: float
    tip_angle_deg: float
    toward: str
    needed_deg: float
    verdict: Verdict
    seat_ratio: float | None
    support: FloatArray


def tip_angle(centre_mm: tuple[float, float, float], support: FloatArray) -> tuple[float, float, tuple[float, float]]:
    """Return the least reach, the tilt in radians at which a body tips over that side, and the side's direction.

    Tilted by φ about a side, the centre stands over it when tan φ = reach / height (textbook).

    Parameters
    ----------
    centre_mm : (x, y, height above the floor)
    support : (n, 2) corners of a convex polygon, counter-clockwise
    """
    x, y, h = centre_mm
    best = (math.inf, math.inf, (0.0, 0.0))
    for (ax, ay), (bx, by) in zip(support, np.roll(support, -1, axis=0), strict=True):
        long = math.hypot(bx - ax, by - ay)
        if long == 0.0:
            continue
        out = ((by - ay) / long, (ax - bx) / long)
        reach = float((ax - x) * out[0] + (ay - y) * out[1])
        if reach < best[0]:
            best = (reach, math.atan2(reach, h), (float(out[0]), float(out[1])))
    return best


def standing_of(piece: Piece, use: Use, mass_kg: float, centre_mm: FloatArray) -> Standing | None:
    """Return how a lamp, stool or post stands; None for a leg, without a kind, and without a foot to stand on.

    Parameters
    ----------
    piece : the piece
    use : what stands on it and under it
    mass_kg, centre_mm : of the piece alone, in its own place
    """
    if use.kind in (None, "leg") or mass_kg <= 0.0:
        return None
    length = piece.variant.blank.length
    foot, top = sections_at(piece, (0.0, length))
    under, over = polygon_moments(foot), polygon_moments(top)
    if under is None:
        return None
    raised, stands_on = 0.0, foot
    weights = [(mass_kg, float(centre_mm[0]), float(centre_mm[1]), float(centre_mm[2]))]
    if use.top_mass_kg > 0.0:
        at = (under.x_mm, under.y_mm) if over is None else (over.x_mm, over.y_mm)
        weights.append((use.top_mass_kg, *at, length if use.top_height_mm is None else use.top_height_mm))
    if use.plate is not None:
        plate, raised = use.plate, use.plate.thickness
        volume = plate.width * plate.depth * plate.thickness
        plate_kg = volume * SPECIES[plate.species].density_kg_m3 * 1e-9
        weights.append((plate_kg, under.x_mm, under.y_mm, -raised / 2.0))
        half = (plate.width / 2.0, plate.depth / 2.0)
        stands_on = shapely.box(under.x_mm - half[0], under.y_mm - half[1], under.x_mm + half[0], under.y_mm + half[1])
    total = math.fsum(w[0] for w in weights)
    x, y, z = (math.fsum(w[0] * w[i] for w in weights) / total for i in (1, 2, 3))
    centre = (x, y, z + raised)
    support = _hull(stands_on)
    reach, angle, out = tip_angle(centre, support)
    needed = CHILDREN_DEG if use.for_children else LEAST_DEG
    tips = math.degrees(angle)
    steady = max(needed, STEADY_DEG)
    verdict: Verdict = "tips" if tips < needed else "near" if tips < steady else "steady"
    seat = _seat_ratio(use, total, centre, support, length + raised, top) if use.kind == "stool" else None
    if seat is not None and seat < 1.0:
        verdict = "tips"
    return Standing(total, centre, reach, tips, toward_words(out), needed, verdict, seat, support)


def _hull(region: BaseGeometry) -> FloatArray:
    ring = shapely.get_coordinates(shapely.orient_polygons(shapely.convex_hull(region)).exterior)
    return np.asarray(ring[:-1])


def _seat_ratio(
    use: Use, mass_kg: float, centre: tuple[float, float, float], support: FloatArray, height: float, top: BaseGeometry
) -> float | None:
    """Return holding over tipping moment, worst side, of a stool loaded near the edge of its seat and pushed.

    Tipping: the load's arm beyond the side, and the push at the height of the seat. Holding: the weight's arm to that
    side, and the load's where it lies within.
    """
    loads, under = loads_of(use), polygon_moments(top)
    if loads is None or under is None:
        return None
    x0, y0, x1, y1 = top.bounds
    wide, deep = (x1 - x0, y1 - y0) if use.seat_mm is None else use.seat_mm
    inner = (max(wide / 2.0 - SEAT_EDGE_MM, 0.0), max(deep / 2.0 - SEAT_EDGE_MM, 0.0))
    weight = GRAVITY_M_S2 * mass_kg
    down = loads.down_n - GRAVITY_M_S2 * use.top_mass_kg  # the seat's own weight is among the masses
    worst = math.inf
    for (ax, ay), (bx, by) in zip(support, np.roll(support, -1, axis=0), strict=True):
        long = math.hypot(bx - ax, by - ay)
        if long == 0.0:
            continue
        out = ((by - ay) / long, (ax - bx) / long)
        sits = (under.x_mm + math.copysign(inner[0], out[0]) * (abs(out[0]) > 1e-9),
                under.y_mm + math.copysign(inner[1], out[1]) * (abs(out[1]) > 1e-9))  # fmt: skip
        arm = (sits[0] - ax) * out[0] + (sits[1] - ay) * out[1]
        d = (ax - centre[0]) * out[0] + (ay - centre[1]) * out[1]
        tipping = down * max(arm, 0.0) + loads.push_n * height
        holding = weight * d + down * max(-arm, 0.0)
        if tipping > 0.0:
            worst = min(worst, float(holding / tipping))
    return worst if math.isfinite(worst) else None


def toward_words(direction: tuple[float, float]) -> str:
    """Return a level direction (x, y) as the maker says it who looks at the front: "back left"."""
    turn = math.atan2(direction[1], direction[0]) / (math.pi / 4.0)
    return _TOWARD[round(turn) % 8]
