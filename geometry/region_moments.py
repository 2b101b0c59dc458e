"""Exact volume, first and second moments, species by species, of two plane regions carried through one another.

At a height z a quarter is the product of what its front region and its side region are there, and a cell of the
lay-up cuts both at straight borders: the moments of a cell are ∫ X(z) · Y(z) · zᶜ dz with X and Y the moments of the
two regions across, between the cell's borders. Between the heights at which an edge of a region starts, ends or
crosses a border everything is a polynomial of degree five at most, for which three Gauss points are exact. In a V
the borders move with the height, in straight lines, and the same holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, cast

import numpy as np
from scipy.sparse import csr_matrix
from shapely.geometry.base import BaseGeometry

from geometry.layup_grid import LayupGrid, VShear
from geometry.slots import sloped_edges
from geometry.solids import FloatArray, IntArray

MONOMIALS: Final = (
    (0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1), (2, 0, 0), (0, 2, 0), (0, 0, 2), (1, 1, 0), (1, 0, 1), (0, 1, 1),
)  # fmt: skip
"""Powers of x, y and z whose integrals are kept: volume, first moments, second moments."""

MOST_BANDS: Final = 48
"""Bands of a V that one level line may meet on one arm; anything finer is weighed as an even mix of its species."""

LEVEL_SLOPE: Final = 1e-12
"""Bands that climb less than this are level: a millionth of a micrometre over the width of any blank."""

_GAUSS_X, _GAUSS_W = (np.array(v) for v in np.polynomial.legendre.leggauss(3))


def species_moments(fronts: Sequence[BaseGeometry], sides: Sequence[BaseGeometry], grid: LayupGrid) -> FloatArray:
    """Return the moments of each species in each front region carried along y and cut by each side region.

    Parameters
    ----------
    fronts, sides : regions in (x, z) and (y, z), straight-edged polygons within the blank
    grid : the lay-up

    Returns
    -------
    (front regions, side regions, species, 10) integrals of the `MONOMIALS`, in powers of mm
    """
    f, s = [_Edges.of(r) for r in fronts], [_Edges.of(r) for r in sides]
    out = np.zeros((len(f), len(s), len(grid.species), len(MONOMIALS)))
    if not any(len(r.sign) for r in f) or not any(len(r.sign) for r in s):
        return out
    shear = grid.shear
    if shear is None or abs(shear.slope) < LEVEL_SLOPE:
        _add_straight(out, f, s, grid)
    elif shear.across == "x":
        _add_sheared(out, f, s, grid.cells, grid.edges[0], grid.edges[1], grid.edges[2], shear)
    else:
        swapped = np.zeros((len(s), len(f), *out.shape[2:]))
        cells = grid.cells.transpose(1, 0, 2)
        _add_sheared(swapped, s, f, cells, grid.edges[1], grid.edges[0], grid.edges[2], shear)
        order = [MONOMIALS.index((b, a, c)) for a, b, c in MONOMIALS]
        out[:] = swapped.transpose(1, 0, 2, 3)[..., order]
    return out


@dataclass(frozen=True, slots=True, eq=False)
class _Edges:
    """The edges of a region that are not level: lower and upper ends (n, 2), signs (n,), and run per rise (n,)."""

    lo: FloatArray
    hi: FloatArray
    sign: FloatArray
    slant: FloatArray

    @classmethod
    def of(cls, region: BaseGeometry) -> _Edges:
        lo, hi, sign = sloped_edges(region)
        return cls(lo, hi, sign, (hi[:, 0] - lo[:, 0]) / (hi[:, 1] - lo[:, 1]))

    def crossings(self, borders: FloatArray, rise: float = 0.0, at: float = 0.0) -> FloatArray:
        """Return the heights at which edges cross upright borders, or slanting ones z + rise · (u - at) = border."""
        lo, hi = (p[:, 0] if rise == 0.0 else p[:, 1] + rise * (p[:, 0] - at) for p in (self.lo, self.hi))
        first = np.searchsorted(borders, np.minimum(lo, hi), side="right")
        count = np.maximum(np.searchsorted(borders, np.maximum(lo, hi), side="left") - first, 0)
        edge = np.repeat(np.arange(len(count)), count)
        border = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + first[edge]
        part = (borders[border] - lo[edge]) / (hi[edge] - lo[edge])
        return cast(FloatArray, self.lo[edge, 1] + part * (self.hi[edge, 1] - self.lo[edge, 1]))

    def at_gauss_points(self, levels: FloatArray) -> tuple[csr_matrix, IntArray, FloatArray, FloatArray]:
        """Return how the edges meet the levels' intervals, which hold every height at which an edge starts or ends.

        Returns
        -------
        matrix (intervals, k) that sums meetings by interval with the edges' signs, the interval (k,) of each meeting,
        and the edge's u and the height z (k, 3) at the three Gauss points
        """
        first, stop = np.searchsorted(levels, self.lo[:, 1]), np.searchsorted(levels, self.hi[:, 1])
        count = stop - first
        edge = np.repeat(np.arange(len(count)), count)
        interval = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + first[edge]
        z = _gauss_heights(levels)[interval]
        u = self.lo[edge, 0, None] + self.slant[edge, None] * (z - self.lo[edge, 1, None])
        shape = (len(levels) - 1, len(edge))
        return csr_matrix((self.sign[edge], (interval, np.arange(len(edge)))), shape), interval, u, z


def _gauss_heights(levels: FloatArray) -> FloatArray:
    middle, half = (levels[1:] + levels[:-1]) / 2.0, (levels[1:] - levels[:-1]) / 2.0
    return cast(FloatArray, middle[:, None] + half[:, None] * _GAUSS_X)


def _gauss_weights(levels: FloatArray) -> FloatArray:
    return cast(FloatArray, ((levels[1:] - levels[:-1]) / 2.0)[:, None] * _GAUSS_W)


def _levels(regions: Sequence[_Edges], more: Sequence[FloatArray]) -> FloatArray:
    """Return, sorted, every height at which an edge starts or ends and those of the others that lie between."""
    own = np.concatenate([np.concatenate([r.lo[:, 1], r.hi[:, 1]]) for r in regions])
    others = np.concatenate([np.zeros(0), *more])
    others = others[(others > own.min()) & (others < own.max())]
    return np.unique(np.concatenate([own, others]))


def _strip_moments(region: _Edges, borders: FloatArray, levels: FloatArray) -> FloatArray:
    """Return ∫ uᵃ du over the region within each strip: (strips, 3, intervals · 3) for a = 0, 1, 2."""
    strips = len(borders) + 1
    if not len(region.sign):
        return np.zeros((strips, 3, 3 * (len(levels) - 1)))
    total, _, u, _ = region.at_gauss_points(levels)
    bounds = np.concatenate([[-np.inf], borders, [np.inf]])
    clipped = np.clip(u[:, :, None], bounds[:-1], bounds[1:])
    # borders that no edge reaches are the same for all edges, whose signs add up to nothing
    powers = np.stack([clipped, clipped**2 / 2.0, clipped**3 / 3.0], axis=-1)
    summed = (total @ powers.reshape(len(u), -1)).reshape(-1, 3, strips, 3)
    return cast(FloatArray, summed.transpose(2, 3, 0, 1).reshape(strips, 3, -1))


def _add_straight(out: FloatArray, fronts: Sequence[_Edges], sides: Sequence[_Edges], grid: LayupGrid) -> None:
    x_borders, y_borders, z_borders = grid.edges
    met = [r.crossings(x_borders) for r in fronts] + [r.crossings(y_borders) for r in sides]
    levels = _levels([*fronts, *sides], [*met, z_borders])
    z, w = _gauss_heights(levels).ravel(), _gauss_weights(levels).ravel()
    x = np.stack([_strip_moments(r, x_borders, levels) for r in fronts])
    y = np.stack([_strip_moments(r, y_borders, levels) for r in sides])
    weights = np.stack([w, w * z, w * z * z])
    layer = np.searchsorted(z_borders, z, side="right")
    starts = np.searchsorted(layer, np.arange(grid.cells.shape[2] + 1))
    is_of = np.arange(len(grid.species))[:, None, None] == grid.cells.transpose(2, 0, 1)[:, None]
    for k in range(grid.cells.shape[2]):
        if starts[k] == starts[k + 1]:
            continue
        here = slice(starts[k], starts[k + 1])
        mine = x[..., here].reshape(-1, starts[k + 1] - starts[k])
        other = (weights[:, None, None, None, here] * y[None, ..., here]).reshape(-1, mine.shape[1])
        product = (mine @ other.T).reshape(*x.shape[:3], 3, *y.shape[:3])  # f, i, a, c, s, j, b
        by_species = np.einsum("fiacsjb,nij->fsnabc", product, is_of[k].astype(np.float64))
        for m, (a, b, c) in enumerate(MONOMIALS):
            out[..., m] += by_species[..., a, b, c]


# ---------------------------------------------------------------- a lay-up sheared into a V


def _add_sheared(
    out: FloatArray,
    own: Sequence[_Edges],
    others: Sequence[_Edges],
    cells: IntArray,
    own_borders: FloatArray,
    other_borders: FloatArray,
    bands: FloatArray,
    shear: VShear,
) -> None:
    """Add the moments of regions ``own``, which the V runs across, with ``others``; cells are (own, other, band)."""
    met = [r.crossings(own_borders) for r in own] + [r.crossings(other_borders) for r in others]
    slope, peak = shear.slope, shear.peak
    u = np.concatenate([np.concatenate([r.lo[:, 0], r.hi[:, 0]]) for r in own])
    ends = np.concatenate([[u.min()], own_borders, [u.max()]])
    reach = float(np.abs(ends - peak).max()) * abs(slope)
    is_fine = len(bands) > 1 and reach > MOST_BANDS * float(np.diff(bands).min())
    if not is_fine:
        met += [r.crossings(bands, arm * slope, peak) for r in own for arm in (-1.0, 1.0)]
        met += [bands - slope * abs(c - peak) for c in own_borders]
    levels = _levels([*own, *others], met)
    z, w = _gauss_heights(levels).ravel(), _gauss_weights(levels).ravel()
    count = out.shape[2]
    if is_fine:
        share = _shares(cells, bands, count)
        x = [np.einsum("iag,ijn->jnag", _strip_moments(r, own_borders, levels), share) for r in own]
    else:
        x = [_banded_moments(r, ends, levels, cells, bands, shear, count) for r in own]
    y = [_strip_moments(r, other_borders, levels) for r in others]
    powers = np.stack([w, w * z, w * z * z])
    for f, mine in enumerate(x):
        for s, other in enumerate(y):
            for m, (a, b, c) in enumerate(MONOMIALS):
                out[f, s, :, m] += np.einsum("jng,jg->n", mine[:, :, a], other[:, b] * powers[c])


def _shares(cells: IntArray, bands: FloatArray, count: int) -> FloatArray:
    """Return what share (own, other, species) of the height each species has, by the bands that have two borders."""
    heights = np.diff(bands)
    is_of = cells[:, :, 1:-1, None] == np.arange(count)
    return cast(FloatArray, np.einsum("ijkn,k->ijn", is_of, heights / heights.sum()))


def _banded_moments(
    region: _Edges,
    ends: FloatArray,
    levels: FloatArray,
    cells: IntArray,
    bands: FloatArray,
    shear: VShear,
    count: int,
) -> FloatArray:
    """Return ∫ uᵃ du over the part of the region that is of each species: (other, species, 3, intervals · 3).

    Walked outward from the peak, band by band: within a strip that lies to one side of the peak the bands follow one
    another.
    """
    arms, others = cells.shape[:2]
    out = np.zeros((others, count, 3, 3 * (len(levels) - 1)))
    if not len(region.sign):
        return out
    total, _, u, z = region.at_gauss_points(levels)
    summed = np.zeros((*u.shape, others, count, 3))
    for i in range(arms):
        arm = 1.0 if ends[i] + ends[i + 1] > 2.0 * shear.peak else -1.0
        near, far = (ends[i], ends[i + 1]) if arm > 0.0 else (ends[i + 1], ends[i])
        u_here = np.clip(u, ends[i], ends[i + 1])
        rise = arm * shear.slope
        band = np.searchsorted(bands, z + rise * (near - shear.peak), side="right")
        last = np.searchsorted(bands, z + rise * (u_here - shear.peak), side="right")
        step = 1 if shear.slope > 0.0 else -1
        at = np.full(u.shape, near)
        while True:
            # the far border of this band, or the edge itself where it lies within
            border = np.clip(band if step > 0 else band - 1, 0, max(len(bands) - 1, 0))
            crossed = shear.peak + (bands[border] - z) / rise if len(bands) else np.full(u.shape, far)
            to = np.where((last - band) * step > 0, crossed, u_here)
            to = np.clip(to, np.minimum(at, u_here), np.maximum(at, u_here))
            gained = np.stack([to - at, (to**2 - at**2) / 2.0, (to**3 - at**3) / 3.0], axis=-1)
            is_of = cells[i][:, band].transpose(1, 2, 0)[..., None] == np.arange(count)
            summed += is_of[..., None] * gained[..., None, None, :]
            more = (last - band) * step > 0
            if not more.any():
                break
            band = np.where(more, band + step, band)
            at = to
    by_interval = (total @ summed.reshape(len(u), -1)).reshape(-1, 3, others, count, 3)
    return cast(FloatArray, by_interval.transpose(2, 3, 4, 0, 1).reshape(out.shape))
