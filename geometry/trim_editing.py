"""What a maker does to trims: begin one, mirror it to the other side, copy it to the other direction.

Places are in the flats-together view: the glue seam is u = 0, and a trim goes from beside the wood through it and out
again, all on one side of the seam.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from msgspec.structs import replace
from shapely.geometry.base import BaseGeometry

from geometry.copying import half_across, other_face
from geometry.editing import Place, tidy_place
from geometry.project import Cut, CutName, Node, Trim, Variant

OUTSIDE_MM: Final = 4.0
"""A trim starts and ends at least so far beside the wood, so that the blade is clear before it meets it."""

_DEPTH: Final = 0.3
"""A new trim takes so much of the half it is sawn from, at its deepest."""

_LEAST_LEFT: Final = 0.15
"""A trim that is carried to where the wood is thinner leaves this much of it."""

_STRETCHES: Final = ((0.16, 0.54), (0.5, 0.88), (0.32, 0.7), (0.06, 0.3), (0.7, 0.94))
"""Where a new trim may lie, in shares of the length; the first that is free is taken."""


def as_cut(trim: Trim) -> Cut:
    """Return a trim as a cut, so that its nodes can be edited like those of any line."""
    return Cut(trim.kerf, trim.blade, trim.nodes)


def as_trim(cut: Cut) -> Trim | None:
    """Return what was edited as a trim again; None where too few nodes are left."""
    return Trim(cut.nodes, cut.kerf, cut.blade) if len(cut.nodes) > 1 else None


def with_trim(cut: Cut, number: int, trim: Trim | None) -> Cut:
    """Return the cut with one of its trims (counted from 0) replaced, or taken out with None."""
    trims = list(cut.trims)
    trims[number : number + 1] = [] if trim is None else [trim]
    return replace(cut, trims=tuple(trims))


def with_trim_added(cut: Cut, trim: Trim) -> Cut:
    """Return the cut with one more trim, the last to be sawn."""
    return replace(cut, trims=(*cut.trims, trim))


def edge_at(profile: BaseGeometry, z: float, side: int) -> float:
    """Return how far the profile reaches from the seam at a height, on the side u > 0 (1) or u < 0 (-1); 0 for none."""
    low, bottom, high, top = profile.bounds
    z = min(max(z, bottom + 1e-6), top - 1e-6)
    reach = max(abs(low), abs(high)) + 1.0
    across = shapely.intersection(profile, shapely.LineString([(0.0, z), (side * reach, z)]))
    if across.is_empty:
        return 0.0
    return float(np.abs(shapely.get_coordinates(across)[:, 0]).max())


def is_outside(profile: BaseGeometry, place: Place) -> bool:
    """Return True for a place beside the wood."""
    return not bool(profile.covers(shapely.Point(place)))


def passes_through(profile: BaseGeometry, places: Sequence[Place]) -> bool:
    """Return True where the way over some places runs through wood."""
    return len(places) > 1 and float(shapely.intersection(shapely.LineString(places), profile).length) > 1.0


def new_trim(profile: BaseGeometry, length_mm: float, side: int, like: Cut) -> Trim:
    """Return a gentle hollow to begin with on one side of the seam.

    Parameters
    ----------
    profile : the profile before trimming
    length_mm : of the blank
    side : 1 for u > 0, -1 for u < 0
    like : the cut it goes with, for kerf, blade, and the trims that are there already
    """
    taken = [_span(t) for t in like.trims if _side(t) == side]
    stretch = next((s for s in _STRETCHES if not any(_meet(s, span, length_mm) for span in taken)), _STRETCHES[0])
    low, high = (s * length_mm for s in stretch)
    middle = (low + high) / 2.0
    deep = edge_at(profile, middle, side) * (1.0 - _DEPTH)
    places = [
        (side * (edge_at(profile, low, side) + OUTSIDE_MM), low),
        (side * deep, middle),
        (side * (edge_at(profile, high, side) + OUTSIDE_MM), high),
    ]
    return Trim(tuple(Node(tidy_place(*p)) for p in places), like.kerf, like.blade)


def _span(trim: Trim) -> tuple[float, float]:
    heights = [n.at[1] for n in trim.nodes]
    return min(heights), max(heights)


def _side(trim: Trim) -> int:
    return 1 if max((n.at[0] for n in trim.nodes), key=abs) >= 0.0 else -1


def _meet(stretch: tuple[float, float], span: tuple[float, float], length_mm: float) -> bool:
    return stretch[0] * length_mm < span[1] and span[0] < stretch[1] * length_mm


def mirrored_trim(trim: Trim, profile: BaseGeometry) -> Trim:
    """Return a trim for the other side of the seam that takes as much off there.

    Each node lies as deep below the edge of the wood, or as far beside it, as it does on its own side; where the
    profile is alike about the seam this is the mirror image.
    """
    return _carried(trim, profile, profile, _side(trim), -_side(trim), 1.0)


def copied_trim(variant: Variant, cut: CutName, number: int, profile: BaseGeometry, to_profile: BaseGeometry) -> Trim:
    """Return a trim for the other direction, on the same side, as deep in proportion to the blank there.

    Parameters
    ----------
    variant, cut, number : the trim, counted from 0
    profile, to_profile : of its own direction and of the other one, before trimming
    """
    trim, to = variant.cut(cut).trims[number], other_face(cut)
    share = half_across(variant.blank, to, 0.0) / half_across(variant.blank, cut, 0.0)
    return _carried(trim, profile, to_profile, _side(trim), _side(trim), share)


def _carried(trim: Trim, of: BaseGeometry, to: BaseGeometry, side: int, to_side: int, share: float) -> Trim:
    """Return a trim with each node as far from the edge of other wood, times a share, as it is from its own."""
    nodes = []
    for node in trim.nodes:
        u, z = node.at
        depth = (edge_at(of, z, side) - side * u) * share
        edge = edge_at(to, z, to_side)
        # never so deep that it comes to the seam
        across = to_side * max(edge - depth, _LEAST_LEFT * edge)
        nodes.append(replace(node, at=tidy_place(across, z)))
    return replace(trim, nodes=tuple(nodes))
