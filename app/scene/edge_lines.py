"""Which outside edges of the bodies are arrises, and which are glue seams. Plain numpy and scipy.

An arris is drawn as if it were eased: a thin line lit with the mean of its two faces' normals. Where the edges
of two bodies lie on each other there is a seam instead: a fine dark line lit like the faces beside it.
"""

from __future__ import annotations

import numpy as np
from scipy.spatial import cKDTree

from app.scene.body import FloatArray
from app.scene.mesh import IntArray

SEAM_MM = 0.12
"""Edges of two bodies no further apart than this are one seam. The closest legal kerf gap that must still show as
a gap is wider than that; sampling of one curve by two cuts strays less."""

_STEP_MM = 4.0


def seam_normals(
    arrises: list[FloatArray], arris_normals: list[FloatArray]
) -> list[tuple[FloatArray, FloatArray]]:
    """For each body, which of its edges lie on another body's edge, and how the seam's surface faces there.

    Parameters
    ----------
    arrises : list of (s, 2, 3) float64, mm, where the bodies stand now
    arris_normals : list of (s, 2, 3) unit normals, turned likewise

    Returns
    -------
    list of ((s,) bool, (s, 3) float64)
        True where the edge is a seam, and there the mean of both edges' normals, unit length (zero where the
        two cancel, deep inside the piece).
    """
    owner = np.repeat(np.arange(len(arrises)), [len(a) for a in arrises])
    total = len(owner)
    seam, facing = np.zeros(total, dtype=bool), np.zeros((total, 3))
    if total:
        ends = np.concatenate(arrises)
        normal = np.concatenate(arris_normals).mean(axis=1)
        seam, facing = _match(ends, normal, owner)
    cuts = np.cumsum([len(a) for a in arrises])[:-1]
    return list(zip(np.split(seam, cuts), np.split(facing, cuts), strict=True))


def _match(ends: FloatArray, normal: FloatArray, owner: IntArray) -> tuple[FloatArray, FloatArray]:
    # Stand samples along every edge, and look from each edge's middle for the nearest of another body.
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    pieces = np.maximum(1, np.ceil(length / _STEP_MM)).astype(np.int64)
    edge = np.repeat(np.arange(len(ends)), pieces)
    step = np.arange(len(edge)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    share = ((step + 0.5) / pieces[edge])[:, None]
    samples = ends[edge, 0] * (1.0 - share) + ends[edge, 1] * share
    middle = ends.mean(axis=1)
    seam = np.zeros(len(ends), dtype=bool)
    facing = np.zeros((len(ends), 3))
    for body in np.unique(owner):
        mine = np.flatnonzero(owner == body)
        others = np.flatnonzero(owner[edge] != body)
        if len(others) == 0:
            continue
        tree = cKDTree(samples[others])
        _, near = tree.query(middle[mine], k=min(6, len(others)), distance_upper_bound=_STEP_MM)
        near = near.reshape(len(mine), -1)
        found = near < len(others)
        rival = edge[others[np.where(found, near, 0)]]
        gap = _distance_to_edges(middle[mine][:, None], ends[rival, 0], ends[rival, 1])
        gap[~found] = np.inf
        best = gap.argmin(axis=1)
        rows = np.arange(len(mine))
        close = gap[rows, best] < SEAM_MM
        both = normal[mine] + normal[rival[rows, best]]
        size = np.linalg.norm(both, axis=1, keepdims=True)
        seam[mine] = close
        facing[mine] = np.where(size > 0.2, both / np.where(size > 0.0, size, 1.0), 0.0)
    return seam, facing


def _distance_to_edges(points: FloatArray, start: FloatArray, end: FloatArray) -> FloatArray:
    run = end - start
    squared = np.einsum("...i,...i->...", run, run)
    share = np.einsum("...i,...i->...", points - start, run) / np.where(squared > 0.0, squared, 1.0)
    foot = start + np.clip(share, 0.0, 1.0)[..., None] * run
    return np.linalg.norm(points - foot, axis=-1)
