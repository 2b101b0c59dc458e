"""Trims that cut a band down to the outline: few, long, and as straight as the tolerance allows.

Everything here is seen with the waste on the right; the left is the same in a mirror.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, cast

import numpy as np

from geometry.fit.fairing import CLOSEST_MM, Heights, Rows, where_needed
from geometry.fit.outlines import Outline, Rising
from geometry.fit.saw import Saw
from geometry.fit.within import least_squares_giving
from geometry.project import Node
from geometry.solids import FloatArray

OUTSIDE_MM: Final = 1.0
"""How far past the wood a trim starts and ends, so that the blade comes out for certain."""

PAST_FACE_END_MM: Final = 5.0
"""How far past the foot or the top a trim runs on that leaves the wood there."""

FARTHEST_MM: Final = 150.0
"""A trim that swings further than this past the wood is no cut anyone makes."""

NEAR_MM: Final = 24.0
"""Two places to be trimmed closer than this are sawn in one go: out and in again would be two cuts."""

EXITS_MM: Final = (12.0, 25.0, 50.0, 100.0, 180.0)
LIVE_EXITS_MM: Final = (15.0, 60.0)
"""How far from the place it trims a trim may take to come out of the wood, tried in turn."""

NEARNESS: Final = (1.5, 0.75, 0.3, 0.1)
"""How near nodes are to bring a trim to the outline, in parts of what is allowed, tried in turn."""

MOST_NODES: Final = 30
MOST_LIVE: Final = 14
MOST_OWN: Final = 20
"""An outline with more nodes than this in reach was traced: it is fitted with fewer."""

MOST_CORNERS: Final = 60

_ENOUGH: Final = 7
"""With so many nodes a trim that still does not fit is given up when more of them do not help."""


@dataclass(frozen=True, slots=True, eq=False)
class TrimFit:
    """One trim.

    Attributes
    ----------
    nodes : from below to above
    low, high : the heights between which the band is too wide
    misses_mm : by how much the trimmed face strays past what it may; 0 where it keeps the tolerance
    misses_at : the height where it does
    depth_mm, deepest_at : the most it takes off past the outline, and the height where it does
    """

    nodes: tuple[Node, ...]
    low: float
    high: float
    misses_mm: float
    misses_at: float
    depth_mm: float
    deepest_at: float

    def mirrored(self) -> TrimFit:
        """Return the trim seen in a mirror."""
        return TrimFit(
            in_a_mirror(self.nodes), self.low, self.high, self.misses_mm, self.misses_at, self.depth_mm, self.deepest_at
        )


def in_a_mirror(nodes: tuple[Node, ...]) -> tuple[Node, ...]:
    """Return the nodes seen in a mirror that stands on u = 0."""
    return tuple(Node((0.0 - n.at[0], n.at[1]), n.kind, n.tangent) for n in nodes)


def places_to_trim(outline: Outline, edge: Rising, saw: Saw) -> list[tuple[float, float]]:
    """Return the stretches (low, high) over which the band's right edge stands out by more than the tolerance."""
    z = np.unique(np.concatenate([outline.heights, edge.z]))
    z = z[(z >= 0.0) & (z <= outline.length)]
    out = edge.at(z) - outline.right.at(z)
    wide = out > 0.9 * saw.within
    starts = np.flatnonzero(wide & ~np.append(False, wide[:-1]))
    stops = np.flatnonzero(wide & ~np.append(wide[1:], False))
    # what keeps the tolerance all the way is left as it is
    return [
        (float(z[i]), float(z[j]))
        for i, j in zip(starts, stops, strict=True)
        if out[i : j + 1].max() > 0.97 * saw.tolerance
    ]


def joined(places: list[tuple[float, float]], near: float) -> list[tuple[float, float]]:
    """Return the places with those closer together than ``near`` taken as one."""
    out: list[tuple[float, float]] = []
    for low, high in places:
        if out and low - out[-1][1] < near:
            out[-1] = (out[-1][0], high)
        else:
            out.append((low, high))
    return out


def fit_trims(outline: Outline, edge: Rising, saw: Saw, near: float, live: bool) -> list[TrimFit]:
    """Return the trims of the right side of a band.

    Parameters
    ----------
    outline : what is wanted
    edge : the band's right edge
    saw : kerf, blade, wall, tolerance
    near : places closer together than this are sawn in one go
    live : quickly, while something is dragged
    """
    every = places_to_trim(outline, edge, saw)
    out: list[TrimFit] = []
    for low, high in joined(every, near):
        inside = [p for p in every if p[0] >= low and p[1] <= high]
        whole = fit_trim(outline, edge, saw, inside, live)
        corners = [c for c in outline.corners[1] if low + 1.0 < c < high - 1.0]
        if whole.misses_mm > 0.0 and corners:
            # a corner that stands out is the meeting of two cuts
            cuts = [low, *corners, high]
            parts = [fit_trim(outline, edge, saw, [(a, b)], live) for a, b in zip(cuts, cuts[1:], strict=False)]
            if max(p.misses_mm for p in parts) < whole.misses_mm:
                out += parts
                continue
        out.append(whole)
    return out


def fit_trim(outline: Outline, edge: Rising, saw: Saw, places: list[tuple[float, float]], live: bool) -> TrimFit:
    """Return the trim with the fewest nodes that keeps the tolerance over its places, or the one that comes nearest."""
    best: TrimFit | None = None
    count, before = 0, math.inf
    for heights in _ways(outline, saw, places, live):
        if len(heights.curve) != count:
            if count >= _ENOUGH and best is not None and best.misses_mm > 0.85 * before:
                break  # more nodes do not help
            count, before = len(heights.curve), best.misses_mm if best is not None else math.inf
        fit = _fit(outline, edge, saw, places, heights, 1 if len(heights.curve) == 2 else 2 if live else 4)
        if fit is None:
            continue
        if best is None or fit.misses_mm < best.misses_mm - 1e-9:
            best = fit
        if fit.misses_mm <= 0.0:
            return fit
    assert best is not None  # a straight one always is to be had
    return best


def _ways(outline: Outline, saw: Saw, places: list[tuple[float, float]], live: bool) -> Iterator[Heights]:
    """Give node heights to try: few first, and coming out of the wood near the place first."""
    low, high = places[0][0], places[-1][1]
    length = outline.length
    z = np.linspace(low, high, 401)
    wanted = outline.right.at(z)
    sets: list[tuple[float, ...]] = [()]
    own = tuple(h for h in outline.nodes[1] if low + 1.0 < h < high - 1.0)
    if 0 < len(own) <= MOST_OWN:
        sets.append(own)
    if high - low > 2.0 * CLOSEST_MM:
        ends = Heights((low, round((low + high) / 2.0, 2), high))
        near = [n * saw.within for n in ((0.5,) if live else NEARNESS)]
        sets += [h.curve[1:-1] for h in where_needed(ends, z, wanted, near, MOST_LIVE if live else MOST_NODES)]
    for some in sorted(sets, key=len):
        tried: set[tuple[float, float]] = set()
        for exit_mm in LIVE_EXITS_MM if live else EXITS_MM:
            a = low - exit_mm if low - exit_mm > PAST_FACE_END_MM and low > 1.0 else -PAST_FACE_END_MM
            b = high + exit_mm
            if b >= length - PAST_FACE_END_MM or high > length - 1.0:
                b = length + PAST_FACE_END_MM
            if (a, b) in tried:
                continue
            tried.add((a, b))
            inner = sorted({round(h, 2) for h in ((low, *some, high) if some else ())})
            yield Heights((round(a, 2), *inner, round(b, 2)))


def _fit(
    outline: Outline, edge: Rising, saw: Saw, places: list[tuple[float, float]], heights: Heights, rounds: int
) -> TrimFit | None:
    z = np.array(heights.curve)
    inner = np.clip(z, places[0][0], places[-1][1])
    slope = (outline.right.at(inner + 0.5) - outline.right.at(inner - 0.5)) * (inner != z)
    x = outline.right.at(inner) + slope * (z - inner) + saw.sanding
    x = np.where((z < 0.0) | (z > outline.length), x, np.where(inner != z, np.maximum(x, edge.at(z) + OUTSIDE_MM), x))
    spacing = max(1.0, (z[-1] - z[0]) / 130.0)
    also = corners = np.array(outline.corners[1][:MOST_CORNERS])
    for _ in range(rounds):
        rows = heights.rows(x, spacing, past_end=0.0, also=also)
        found = least_squares_giving(*_asked(outline, edge, saw, places, heights, rows, x))
        if found is None:
            return None
        moved, x = float(np.abs(found[0] - x).max()), found[0]
        # sanding leaves the face beside the cut: the place that faces a corner lies a little below or above it
        also = corners - saw.sanding * np.interp(corners, rows.z, rows.normals(x)[1])
        if float(np.abs(x).max()) > FARTHEST_MM + float(np.abs(edge.u).max()):
            return None  # it ran away: these heights do not suit
        if moved < 1e-3:
            break
    return _judged(outline, edge, saw, places, heights, x, spacing, also)


def _asked(
    outline: Outline, edge: Rising, saw: Saw, places: list[tuple[float, float]], heights: Heights, rows: Rows,
    x: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, FloatArray]:  # fmt: skip
    """Return the least squares and the limits of one round, linear in the places across of the nodes."""
    across, up = rows.normals(x)
    lean, at = saw.sanding * across, rows.z + saw.sanding * up
    wanted, band = outline.right.at(at), edge.at(at)
    on_face = (at >= 0.0) & (at <= outline.length)
    in_place = np.zeros(len(at), dtype=bool)
    for low, high in places:
        in_place |= (at >= low) & (at <= high)
    between = on_face & (at >= places[0][0]) & (at <= places[-1][1])
    # where the band keeps the tolerance by itself the trim may run outside it
    upper = in_place & (band > wanted + saw.within)
    limits = [-rows.c0[on_face], rows.c0[upper], -rows.c0]
    wall = np.full(len(at), -(saw.wall + saw.sanding) - 1e-3)
    most = [(lean - wanted)[on_face] + saw.within, (wanted - lean)[upper] + saw.within, wall]
    gives = [np.ones(int(on_face.sum())), np.ones(int(upper.sum())), np.zeros(len(at))]
    for end, z in ((0, heights.curve[0]), (-1, heights.curve[-1])):
        if 0.0 <= z <= outline.length:
            out = np.zeros((1, len(x)))
            out[0, end] = -1.0
            limits.append(out)
            most.append(-edge.at(np.array([z])) - OUTSIDE_MM - saw.sanding)
            gives.append(np.zeros(1))
    if len(x) > 2:
        bends = rows.bends(x)
        limits += [bends, -bends]
        most += [np.full(len(bends), saw.tightest_bend)] * 2
        gives += [np.zeros(len(bends))] * 2
    mean = 1.0 / np.sqrt(len(at))
    near = np.where(between, 1.0, 0.02) * mean
    a = np.vstack([near[:, None] * rows.c0, 9.0 * mean * rows.c2])
    b = np.concatenate([near * (wanted - lean), np.zeros(len(at))])
    return a, b, np.vstack(limits), np.concatenate(most), np.concatenate(gives)


def _judged(
    outline: Outline, edge: Rising, saw: Saw, places: list[tuple[float, float]], heights: Heights, x: FloatArray,
    spacing: float, also: FloatArray,
) -> TrimFit:  # fmt: skip
    """Return the trim with what it misses, looked at twice as closely as it was fitted."""
    rows = heights.rows(x, spacing / 2.0, past_end=0.0, also=also)
    across, up = rows.normals(x)
    at, face = rows.z + saw.sanding * up, rows.c0 @ x + saw.sanding * across
    on_face = (at >= 0.0) & (at <= outline.length)
    wanted, band = outline.right.at(at), edge.at(at)
    cuts_in = np.where(on_face, wanted - face, -np.inf)
    in_place = np.zeros(len(at), dtype=bool)
    for low, high in places:
        in_place |= (at >= low) & (at <= high)
    leaves = np.where(in_place, np.minimum(face, band) - wanted, -np.inf)
    off = cast(FloatArray, np.maximum(cuts_in, leaves))
    k = int(np.argmax(off))
    # what lies between the places looked at may stray a little further: a tenth of the tolerance is kept for it
    over = float(off[k]) - 0.95 * saw.tolerance
    out = np.where(in_place, band - wanted, -np.inf)
    deepest = int(np.argmax(out))
    return TrimFit(
        heights.nodes(x), places[0][0], places[-1][1], max(over, 0.0), float(at[k]), float(out[deepest]),
        float(at[deepest]),
    )  # fmt: skip
