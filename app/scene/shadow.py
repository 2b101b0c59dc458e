"""The soft shadow on the ground: the mean of many silhouettes, each thrown along one direction of light.

Plain numpy. The silhouette of a closed body along a direction is bounded by the edges between a face turned to
the light and one turned away. Adding +1 or -1 where such an edge crosses a row of the raster and summing along
the row gives the number of layers of wood over every cell: no triangle is ever filled.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_GOLDEN_ANGLE = np.pi * (3.0 - np.sqrt(5.0))


@dataclass(frozen=True, slots=True, eq=False)
class GroundShadow:
    """Darkness on a rectangle of the ground.

    Attributes
    ----------
    darkness : (rows, columns) float64, 0 (none) to 1
        Row 0, column 0 lies at ``corner``; columns run along ``along``, rows along ``across``.
    corner : (2,) float64, mm
    along, across : (2,) float64, mm; the full sides of the rectangle
    """

    darkness: FloatArray
    corner: FloatArray
    along: FloatArray
    across: FloatArray


@dataclass(frozen=True, slots=True)
class ShadowQuality:
    """How many directions of light, and how fine a raster."""

    key_directions: int
    sky_directions: int
    columns: int


AT_REST = ShadowQuality(key_directions=40, sky_directions=120, columns=320)
MOVING = ShadowQuality(key_directions=16, sky_directions=32, columns=128)

KEY_SPREAD = 0.13  # radius of the key light seen from the ground, as a slope; a large soft window
KEY_SHARE = 0.46
SKY_SHARE = 0.54
SKY_LOWEST = 0.30  # sine of the lowest sky direction: lower ones throw shadows longer than any picture


def light_directions(key: FloatArray, quality: ShadowQuality) -> tuple[FloatArray, FloatArray]:
    """Unit vectors towards the light (k, 3), and each one's share of it (k,), which add up to 1.

    Parameters
    ----------
    key : (3,) towards the middle of the key light
    """
    key = key / np.linalg.norm(key)
    side = np.cross(key, [0.0, 0.0, 1.0])
    side /= np.linalg.norm(side)
    rise = np.cross(side, key)
    i = np.arange(quality.key_directions)
    reach = KEY_SPREAD * np.sqrt((i + 0.5) / len(i))
    turn = _GOLDEN_ANGLE * i
    keys = key + (reach * np.cos(turn))[:, None] * side + (reach * np.sin(turn))[:, None] * rise
    keys /= np.linalg.norm(keys, axis=1, keepdims=True)
    # An even sky lights flat ground in proportion to the sine of the height: even steps of the square do that.
    j = np.arange(quality.sky_directions)
    flat = np.sqrt((j + 0.5) / len(j) * (1.0 - SKY_LOWEST**2))
    turn = _GOLDEN_ANGLE * j
    sky = np.stack([flat * np.cos(turn), flat * np.sin(turn), np.sqrt(1.0 - flat**2)], axis=1)
    share = np.concatenate([np.full(len(keys), KEY_SHARE / len(keys)), np.full(len(sky), SKY_SHARE / len(sky))])
    return np.concatenate([keys, sky]), share


def ground_shadow(
    vertices: FloatArray,
    triangles: IntArray,
    ground_z: float,
    key: FloatArray,
    quality: ShadowQuality = AT_REST,
) -> GroundShadow:
    """Soft shadow of closed bodies on the plane z = ``ground_z``.

    Parameters
    ----------
    vertices : (n, 3) float64, mm, where they stand
    triangles : (m, 3) int64, outward
    ground_z : float, mm
    key : (3,) towards the key light, not straight up
    quality : ShadowQuality
    """
    above = vertices[:, 2] - ground_z
    away = -key[:2] / np.linalg.norm(key[:2])
    frame = np.stack([away, [-away[1], away[0]]])  # rows: along the shadow, across it
    feet = vertices[:, :2] @ frame.T
    low, high = _reach(feet, above, key)
    columns = quality.columns
    cell = (high[0] - low[0]) / columns
    rows = max(8, int(np.ceil((high[1] - low[1]) / cell)))
    high[1] = low[1] + rows * cell

    directions, share = light_directions(key, quality)
    slope = (directions[:, :2] / directions[:, 2:]) @ frame.T  # (k, 2)
    edge_ends, weights = _outline_edges(vertices, triangles, directions)
    from_key, from_sky = np.zeros((rows, columns)), np.zeros((rows, columns))
    for direction in range(len(directions)):
        active = np.flatnonzero(weights[:, direction])
        cast = (feet - above[:, None] * slope[direction] - low) / cell
        ends = cast[edge_ends[active]]
        layer = from_key if direction < quality.key_directions else from_sky
        _add_silhouette(layer, ends, weights[active, direction], share[direction])
    darkness = gaussian_filter(from_key, 1.1, mode="constant") + _evened(from_sky)
    darkness *= _fade(rows)[:, None] * _fade(columns)[None, :]
    return GroundShadow(
        darkness=np.clip(darkness, 0.0, 1.0),
        corner=low @ frame,
        along=frame[0] * (high[0] - low[0]),
        across=frame[1] * (high[1] - low[1]),
    )


def _reach(feet: FloatArray, above: FloatArray, key: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The rectangle worth drawing, in the shadow's own frame: the key shadow and a rim of sky shadow."""
    length = np.linalg.norm(key[:2]) / key[2]
    thrown = np.concatenate([feet, feet + above[:, None] * [length, 0.0]])
    spill = 0.30 * float(above.max()) + 0.35 * float(np.ptp(feet, axis=0).max()) + 5.0
    return thrown.min(axis=0) - spill, thrown.max(axis=0) + spill


def _outline_edges(
    vertices: FloatArray, triangles: IntArray, directions: FloatArray
) -> tuple[IntArray, NDArray[np.int8]]:
    """Every edge (e, 2) and, per direction (e, k), how often it bounds the lit side: the two halves cancel inside."""
    corners = vertices[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lit = (normals @ directions.T > 0.0).astype(np.int8)
    start = triangles.ravel()
    end = triangles[:, [1, 2, 0]].ravel()
    sign = np.where(start < end, 1, -1).astype(np.int8)
    size = len(vertices)
    code = np.minimum(start, end) * size + np.maximum(start, end)
    halves = np.repeat(lit, 3, axis=0) * sign[:, None]
    order = np.argsort(code, kind="stable")
    first = np.flatnonzero(np.diff(code[order], prepend=-1))
    weights = np.add.reduceat(halves[order], first, axis=0)
    kept = code[order][first]
    return np.stack([kept // size, kept % size], axis=1), weights


def _add_silhouette(darkness: FloatArray, ends: FloatArray, weights: NDArray[np.int8], share: float) -> None:
    """Add ``share`` wherever outline edges enclose wood: ends (e, 2 ends, column and row) in cells, weights (e,)."""
    rows, columns = darkness.shape
    top = np.minimum(ends[:, 0, 1], ends[:, 1, 1])
    bottom = np.maximum(ends[:, 0, 1], ends[:, 1, 1])
    first = np.clip(np.ceil(top - 0.5), 0, rows).astype(np.int64)
    last = np.clip(np.ceil(bottom - 0.5), 0, rows).astype(np.int64)
    crossed = last - first
    edge = np.repeat(np.arange(len(ends)), crossed)
    if len(edge) == 0:
        return
    row = np.arange(len(edge)) - np.repeat(np.cumsum(crossed) - crossed, crossed) + first[edge]
    run = ends[:, 1] - ends[:, 0]
    slant = run[:, 0] / np.where(run[:, 1] == 0.0, 1.0, run[:, 1])
    column = ends[edge, 0, 0] + (row + 0.5 - ends[edge, 0, 1]) * slant[edge]
    column = np.clip(column, 0.0, columns)
    # The cell cut by the edge gets its covered share, which smooths the outline along the row.
    cell = column.astype(np.int64)
    part = column - cell
    step = np.where(run[edge, 1] > 0.0, -1.0, 1.0) * weights[edge]
    wide = columns + 2
    lowest, highest = int(row.min()), int(row.max()) + 1
    at = (row - lowest) * wide + cell
    raster = np.bincount(at, step * (1.0 - part), minlength=(highest - lowest) * wide)
    raster += np.bincount(at + 1, step * part, minlength=(highest - lowest) * wide)
    layers = np.clip(np.cumsum(raster.reshape(-1, wide)[:, :columns], axis=1), 0.0, 1.0)
    darkness[lowest:highest] += layers * share


def _evened(from_sky: FloatArray) -> FloatArray:
    """Sky shadow without the streaks of single silhouettes: crisp where dark, at the foot, and soft further out."""
    crisp = gaussian_filter(from_sky, 1.1, mode="constant")
    soft = gaussian_filter(from_sky, from_sky.shape[1] / 50.0, mode="constant")
    near = np.clip(soft / (0.45 * SKY_SHARE), 0.0, 1.0)
    return soft + (crisp - soft) * near


def _fade(count: int) -> FloatArray:
    """1 in the middle, easing to 0 at both ends, so that the rectangle's own edge is never seen."""
    away = np.minimum(np.arange(count), np.arange(count)[::-1]) / (0.16 * count)
    ramp = np.clip(away, 0.0, 1.0)
    return ramp * ramp * (3.0 - 2.0 * ramp)
