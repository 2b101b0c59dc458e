"""Where a line comes close to itself or touches itself: the webs of wood between two passes of the blade."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
import shapely

from geometry.curvature import piece_lengths
from geometry.lines import Line
from geometry.sampling import sample
from geometry.solids import BoolArray, FloatArray, IntArray
from geometry.tolerances import EXPORT_CHORD_MM, PLACE_MM

_STATIONS = 600
"""Places along the line between which near passes are looked for; what is found is refined on the exact pieces."""

_MOST_PASSES = 24
"""More near passes than this say nothing new to the maker."""


_PASSES_RATIO = 2.0
"""From here on the line between two places is so much longer than the straight way that they are two passes."""

_PARALLEL_DEG = 5.0
"""Two passes that open less than this leave a tongue of wood that is thin all along, not only at its tip."""


@dataclass(frozen=True, slots=True)
class NearPass:
    """Two places of a line that are nearer to each other than their neighbours are.

    Attributes
    ----------
    distance_mm : between the two places, on the line itself (not the slot)
    along_mm : length of line between them
    at, and_at : the two places, (u, z)
    """

    distance_mm: float
    along_mm: float
    at: tuple[float, float]
    and_at: tuple[float, float]

    @property
    def is_one_bend(self) -> bool:
        """True when the two places are the two sides of a single bend, not two passes of the blade.

        Across a half circle the line is π/2 times as long as the straight way; a horseshoe that closes further
        soon has more than twice.
        """
        return self.along_mm <= _PASSES_RATIO * self.distance_mm


def can_meet_itself(line: Line) -> bool:
    """Return False when every direction of the line lies within 45° of one axis, so that it never comes back.

    Two places of such a line can not face each other: the way between them would have to be square to the line at
    both. The directions of a cubic lie within those of its Bézier legs.
    """
    legs = np.diff(line.pieces, axis=1).reshape(-1, 2)
    legs = legs[np.hypot(legs[:, 0], legs[:, 1]) > 0.0]
    angles = np.arctan2(legs[:, 1], legs[:, 0])
    # measured from the straight way from start to end, so that the wrap at ±π is far away
    chord = line.end - line.start
    axis = np.arctan2(chord[1], chord[0])
    rel = np.angle(np.exp(1j * (angles - axis)))
    return bool(rel.max() - rel.min() >= np.pi / 2)


def self_contacts(line: Line) -> list[tuple[float, float]]:
    """Return the places (u, z) at which the line crosses or touches itself, from foot to top along the line."""
    if not can_meet_itself(line):
        return []
    points = sample(line, EXPORT_CHORD_MM).points
    keep = np.append(True, np.hypot(*np.diff(points, axis=0).T) > 0.0)
    points = points[keep]
    path = shapely.LineString(points)
    if path.is_simple and not path.is_ring:
        return []
    segments = shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1))
    i, j = shapely.STRtree(segments).query(segments, predicate="intersects")
    pairs = j > i + 1
    # neighbours share an end; they touch elsewhere only where the line turns straight back on itself
    back = np.flatnonzero(_turns_back(points))
    places: list[tuple[float, float, float]] = []
    for a, b in zip(i[pairs], j[pairs], strict=True):
        spot = shapely.intersection(segments[a], segments[b]).centroid
        if not spot.is_empty:
            places.append((float(a), spot.x, spot.y))
    places += [(float(k), float(points[k + 1, 0]), float(points[k + 1, 1])) for k in back]
    found: list[tuple[float, float]] = []
    for _, u, z in sorted(places):
        if all(np.hypot(u - fu, z - fz) > 100 * PLACE_MM for fu, fz in found):
            found.append((u, z))
    return found


def _turns_back(points: FloatArray) -> BoolArray:
    d = np.diff(points, axis=0)
    cross = d[:-1, 0] * d[1:, 1] - d[:-1, 1] * d[1:, 0]
    dot = np.einsum("ki,ki->k", d[:-1], d[1:])
    return cast(BoolArray, (dot < 0.0) & (np.abs(cross) <= 1e-9 * -dot))


def nearest_passes(line: Line) -> list[NearPass]:
    """Return the places where the line passes near itself, nearest first.

    A near pass is a local least of the distance between two places of the line: the way between them is square to
    the line at both (or ends at an end of it). They are found on a grid of stations and refined on the exact pieces.
    Two passes that run all but parallel into the bend that joins them have their least distance within that bend,
    where it is none between passes: for them the places count at which the bend has just become two passes.
    """
    if not can_meet_itself(line):
        return []
    lengths = piece_lengths(line)
    starts = np.concatenate([[0.0], np.cumsum(lengths)])
    total = float(starts[-1])
    piece, t = _stations(line, lengths, starts)
    points = line.at(piece, t)
    square = ((points[:, None, :] - points[None, :, :]) ** 2).sum(axis=2)
    station = starts[piece] + t * lengths[piece]
    step = total / _STATIONS
    least = np.triu(_local_least(square), k=2)
    two_passes = station[None, :] - station[:, None] > _PASSES_RATIO * np.sqrt(square)
    mouths = two_passes & ~least & _local_least(np.where(two_passes, square, np.inf))
    i, j = np.nonzero(least | mouths)
    directions = _directions(line, piece, t)
    parallel = np.einsum("ki,ki->k", directions[i], directions[j]) <= -np.cos(np.radians(_PARALLEL_DEG))
    keep = least[i, j] | parallel
    i, j = i[keep], j[keep]
    out: list[NearPass] = []
    looked: list[tuple[float, float]] = []
    for k in np.argsort(square[i, j]):
        s, r = float(station[i[k]]), float(station[j[k]])
        # two parallel passes are equally near all along: one place of such a stretch stands for it
        if len(out) >= _MOST_PASSES or any(abs(s - u) + abs(r - v) < 8 * step for u, v in looked):
            continue
        looked.append((s, r))
        is_mouth = bool(mouths[i[k], j[k]])
        place_a, place_b, sa, sb = _refined(line, starts, lengths, s, r, step, hold_first=is_mouth)
        if sb - sa <= step * 1e-3:
            continue  # slid together: not two places
        distance = float(np.hypot(*(place_b - place_a)))
        out.append(
            NearPass(
                distance,
                sb - sa,
                (float(place_a[0]), float(place_a[1])),
                (float(place_b[0]), float(place_b[1])),
            )
        )
    return sorted(out, key=lambda p: p.distance_mm)


def _local_least(square: FloatArray) -> BoolArray:
    """Return where a matrix is nowhere greater than at its eight neighbours, and finite."""
    m = len(square)
    padded = np.full((m + 2, m + 2), np.inf)
    padded[1:-1, 1:-1] = square
    least = np.isfinite(square)
    for di, dj in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, -1), (1, -1), (-1, 1)):
        least &= square <= padded[1 + di : m + 1 + di, 1 + dj : m + 1 + dj]
    return cast(BoolArray, least)


def _directions(line: Line, piece: IntArray, t: FloatArray) -> FloatArray:
    velocity = line.velocity(piece, t)
    speed = np.hypot(velocity[:, 0], velocity[:, 1])
    return cast(FloatArray, velocity / np.where(speed > 0.0, speed, 1.0)[:, None])


def _stations(line: Line, lengths: FloatArray, starts: FloatArray) -> tuple[IntArray, FloatArray]:
    """Spread stations over the line by length, with every node among them."""
    step = starts[-1] / _STATIONS
    counts = np.maximum(1, np.ceil(lengths / step)).astype(np.int64)
    if counts.sum() > 4 * _STATIONS:  # a line with thousands of nodes: its nodes are stations enough
        counts = np.minimum(counts, 1)
        pick = np.unique(np.linspace(0, len(lengths) - 1, 4 * _STATIONS).astype(np.int64))
    else:
        pick = np.arange(len(lengths))
    piece = np.repeat(pick, counts[pick])
    within = np.concatenate([np.arange(c) / c for c in counts[pick]])
    return np.append(piece, len(lengths) - 1), np.append(within, 1.0)


def _refined(
    line: Line, starts: FloatArray, lengths: FloatArray, s: float, r: float, step: float, *, hold_first: bool
) -> tuple[FloatArray, FloatArray, float, float]:
    """Slide two places (or only the second) to their least distance, by ever finer grids about the best so far."""
    total = float(starts[-1])
    moves = 0.0 if hold_first else 1.0
    offsets = np.linspace(-1.0, 1.0, 9)
    width = 2.0 * step
    pa = pb = line.start
    while width > 1e-7 * step:
        sa = np.clip(s + moves * width * offsets, 0.0, total)
        sb = np.clip(r + width * offsets, 0.0, total)
        a, b = _by_length(line, starts, lengths, sa), _by_length(line, starts, lengths, sb)
        square = ((a[:, None] - b[None]) ** 2).sum(axis=2)
        least_between = _PASSES_RATIO * np.sqrt(square) if hold_first else 0.0
        square = np.where(sb[None] - sa[:, None] > least_between, square, np.inf)
        k, m = np.unravel_index(int(square.argmin()), square.shape)
        s, r, pa, pb = float(sa[k]), float(sb[m]), a[k], b[m]
        width *= 0.4
    return pa, pb, s, r


def _by_length(line: Line, starts: FloatArray, lengths: FloatArray, s: FloatArray) -> FloatArray:
    piece = np.clip(np.searchsorted(starts, s, side="right") - 1, 0, len(lengths) - 1)
    # within a piece the parameter is taken as proportional to length: any smooth measure serves the search
    t = np.clip((s - starts[piece]) / np.where(lengths[piece] > 0, lengths[piece], 1.0), 0.0, 1.0)
    return line.at(piece, t)
