"""What the bodies' outside edges are where they stand: arrises, glue seams, or the lips of a slot.

An arris is drawn as if it were eased: a thin line lit with the mean of its two faces' normals. Where the edges
of two bodies lie on each other there is a seam instead, a fine dark line lit like the faces beside it, drawn
once. Where they face each other across a saw's slot they are dark too: little light gets in there.
Plain numpy and scipy.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from app.scene.body import FloatArray
from app.scene.mesh import IntArray

ARRIS, SEAM, SLOT, HIDDEN = 0, 1, 2, 3
"""Kinds of edge; a hidden one is a seam that the other body draws."""

SEAM_MM = 0.12
"""Edges of two bodies no further apart than this are one seam: two cuts sample one curve to within less, and the
thinnest blade leaves a wider gap."""

SLOT_MM = 2.5
"""Up to this far apart they are the lips of a slot: the widest common kerf, and something to spare."""

_STEP_MM = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class EdgeKinds:
    """One body's edges.

    Attributes
    ----------
    kind : (s,) int64, one of ARRIS, SEAM, SLOT, HIDDEN
    facing : (s, 3) float64
        Unit normal of the surface at a seam or a slot; zero where it cannot be told, deep inside the piece.
    other : (s,) int64
        The body on the other side of a seam or a slot, else -1.
    """

    kind: IntArray
    facing: FloatArray
    other: IntArray


def edge_kinds(arrises: list[FloatArray], arris_normals: list[FloatArray]) -> list[EdgeKinds]:
    """Tell each body's edges apart.

    Parameters
    ----------
    arrises : list of (s, 2, 3) float64, mm, where the bodies stand now
    arris_normals : list of (s, 2, 3) unit normals, turned likewise
    """
    owner = np.repeat(np.arange(len(arrises)), [len(ends) for ends in arrises])
    ends = np.concatenate([*arrises, np.zeros((0, 2, 3))])
    normal = np.concatenate([*arris_normals, np.zeros((0, 2, 3))]).mean(axis=1)
    edge, samples = _samples(ends)
    kinds = []
    for body in range(len(arrises)):
        mine, others = np.flatnonzero(owner == body), np.flatnonzero(owner[edge] != body)
        kind = np.full(len(mine), ARRIS)
        other = np.full(len(mine), -1)
        facing = np.zeros((len(mine), 3))
        if len(mine) and len(others):
            gap, rival = _nearest(ends[mine].mean(axis=1), samples[others], edge[others], ends)
            other = np.where(gap < SLOT_MM, owner[rival], -1)
            kind[gap < SLOT_MM] = SLOT
            kind[gap < SEAM_MM] = SEAM
            kind[(gap < SEAM_MM) & (other < body)] = HIDDEN
            both = normal[mine] + normal[rival]
            size = np.linalg.norm(both, axis=1, keepdims=True)
            facing = np.where(size > 0.2, both / np.where(size > 0.0, size, 1.0), 0.0)
        kinds.append(EdgeKinds(kind, facing, other))
    return kinds


def _samples(ends: FloatArray) -> tuple[IntArray, FloatArray]:
    """Points along every edge, no further apart than a step, and the edge each belongs to."""
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    pieces = np.maximum(1, np.ceil(length / _STEP_MM)).astype(np.int64)
    edge = np.repeat(np.arange(len(ends)), pieces)
    step = np.arange(len(edge)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    share = ((step + 0.5) / pieces[edge])[:, None]
    return edge, ends[edge, 0] * (1.0 - share) + ends[edge, 1] * share


def _nearest(
    points: FloatArray, samples: FloatArray, sample_edge: IntArray, ends: FloatArray
) -> tuple[FloatArray, IntArray]:
    """Distance from each point to the nearest edge, infinite when out of reach, and which edge that is."""
    _, near = cKDTree(samples).query(points, k=6, distance_upper_bound=_STEP_MM)
    found = near < len(samples)
    rival = sample_edge[np.where(found, near, 0)]
    start, end = ends[rival, 0], ends[rival, 1]
    run = end - start
    squared = np.einsum("pki,pki->pk", run, run)
    share = np.einsum("pki,pki->pk", points[:, None] - start, run) / np.where(squared > 0.0, squared, 1.0)
    foot = start + np.clip(share, 0.0, 1.0)[..., None] * run
    gap: NDArray[np.float64] = np.linalg.norm(points[:, None] - foot, axis=2)
    gap[~found] = np.inf
    best = gap.argmin(axis=1)
    rows = np.arange(len(points))
    return gap[rows, best], rival[rows, best]
