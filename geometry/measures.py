"""Volume, mass, balance and sections of bodies and profiles."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from geometry.slots import Widths
from geometry.solids import FloatArray, Solid


@dataclass(frozen=True, slots=True, eq=False)
class Moments:
    """What a body of even density weighs and how it balances.

    Attributes
    ----------
    volume_mm3 : volume
    centre_mm : (3,) centre of mass; NaN where there is no volume
    inertia_mm5 : (3, 3) inertia about the centre of mass for a density of one per mm³
    """

    volume_mm3: float
    centre_mm: FloatArray
    inertia_mm5: FloatArray


def moments(solid: Solid) -> Moments:
    """Return volume, centre and inertia of a closed body from its triangles.

    Each triangle spans a tetrahedron with a point near the body; signed volumes and the exact second moments of a
    tetrahedron are added up (textbook: divergence theorem).
    """
    if solid.is_empty:
        return Moments(0.0, np.full(3, np.nan), np.zeros((3, 3)))
    # about the middle of the bounds, so that no large numbers cancel
    origin = (solid.vertices.min(axis=0) + solid.vertices.max(axis=0)) / 2.0
    corner = (solid.vertices - origin)[solid.triangles]
    a, b, c = corner[:, 0], corner[:, 1], corner[:, 2]
    six_volumes = np.einsum("ki,ki->k", a, np.cross(b, c))
    volume = float(six_volumes.sum() / 6.0)
    total = a + b + c
    first = (six_volumes[:, None] * total).sum(axis=0) / 24.0
    # ∫ r rᵀ over a tetrahedron with a corner at the origin: V/20 (Σ rᵢ rᵢᵀ + (Σ rᵢ)(Σ rᵢ)ᵀ)
    second = np.einsum("k,kij->ij", six_volumes, np.einsum("kni,knj->kij", corner, corner))
    second = (second + np.einsum("k,ki,kj->ij", six_volumes, total, total)) / 120.0
    if volume == 0.0:
        return Moments(0.0, np.full(3, np.nan), np.zeros((3, 3)))
    centre = first / volume
    second = second - volume * np.outer(centre, centre)
    return Moments(volume, centre + origin, np.trace(second) * np.eye(3) - second)


def bounds(solid: Solid) -> FloatArray | None:
    """Return the lowest and highest corner (2, 3) of a body, or None where there is no wood."""
    if solid.is_empty:
        return None
    used = solid.vertices[np.unique(solid.triangles)]
    return np.stack([used.min(axis=0), used.max(axis=0)])


@dataclass(frozen=True, slots=True)
class Section:
    """The section of the piece at a height: |P| wide and |Q| deep."""

    width: float
    depth: float
    z: float


def section_at(front: Widths, side: Widths, z: float) -> Section:
    """Return the section at a height in millimetres; at a jump of a profile the lesser size."""
    heights = np.array([z])
    return Section(float(front.at(heights)[0]), float(side.at(heights)[0]), z)


def smallest_section(front: Widths, side: Widths) -> Section | None:
    """Return the section where the lesser of width and depth is least, or None where there is no profile.

    Both are straight between the heights of the profiles' corners, so only those heights need to be looked at,
    from above and from below. The lowest of several equal places is taken.
    """
    if not len(front.above) or not len(side.above):
        return None
    best: Section | None = None
    for mine in (front, side):
        heights = np.repeat(mine.z, 2)[1:-1]
        values = np.stack([mine.above, mine.below], axis=1).ravel()
        k = int(np.argmin(values))
        least = max(float(values[k]), 0.0)
        if best is None or least < min(best.width, best.depth) - 1e-12:
            other = float((side if mine is front else front).at(heights[k : k + 1])[0])
            sizes = (least, other) if mine is front else (other, least)
            best = Section(sizes[0], sizes[1], float(heights[k]))
    return best


def cavalieri_volume(front: Widths, side: Widths) -> float:
    """Return ∫ |P(z)| · |Q(z)| dz in mm³, exactly for straight-edged profiles (Cavalieri).

    The product of two straight stretches is a quadratic, for which Simpson's rule is exact.
    """
    if not len(front.above) or not len(side.above):
        return 0.0
    z = np.unique(np.concatenate([front.z, side.z]))
    z = z[(z >= max(front.z[0], side.z[0])) & (z <= min(front.z[-1], side.z[-1]))]
    if len(z) < 2:
        return 0.0
    lo, hi = z[:-1], z[1:]
    p0, p1 = _ends(front, lo, hi)
    q0, q1 = _ends(side, lo, hi)
    return float(((hi - lo) * (p0 * q0 + (p0 + p1) * (q0 + q1) + p1 * q1)).sum() / 6.0)


def _ends(w: Widths, lo: FloatArray, hi: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the widths at both ends of intervals that no corner of the profile lies within."""
    i = np.clip(np.searchsorted(w.z, (lo + hi) / 2.0) - 1, 0, len(w.above) - 1)
    rise = (w.below[i] - w.above[i]) / (w.z[i + 1] - w.z[i])
    return (
        cast(FloatArray, w.above[i] + rise * (lo - w.z[i])),
        cast(FloatArray, w.above[i] + rise * (hi - w.z[i])),
    )
