"""The wood in numpy: the same answer as ``shader`` gives on the screen. Change both together.

For pictures of the faces, for tests, and wherever there is nothing to draw with.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.scene.wood.noise import F, Floats, U, Words, blend, mixed, noise1, noise3, pair, step, unit, words
from app.scene.wood.table import BOARD_TEXELS, SPECIES_AT, SPECIES_TEXELS, WoodTable

CHUNK = 1 << 14  # points at a time: the working arrays stay in the cache

_NONE = F(0.0)


def evaluate(table: WoodTable, points: NDArray, dx: NDArray, dy: NDArray) -> Floats:
    """Return the colour (n, 3) of the wood at points, sRGB, about 0 to 1.

    Parameters
    ----------
    table : the lay-up, with its show-through mode
    points : (n, 3) block coordinates, mm
    dx, dy : (n, 3) or (3,) what one pixel steps over to the right and up, mm; what is finer is faded out
    """
    p = np.ascontiguousarray(points, F)
    x, y = (np.ascontiguousarray(np.broadcast_to(d, p.shape), F) for d in (dx, dy))
    out = np.empty_like(p)
    for start in range(0, len(p), CHUNK):
        part = slice(start, start + CHUNK)
        out[part] = _evaluate(table, p[part], x[part], y[part])
    return out


def evaluate_afar(table: WoodTable, points: NDArray, dx: NDArray, dy: NDArray) -> Floats:
    """Return what ``evaluate`` does, every board in its colour from afar: crisp borders, no grain."""
    p = np.ascontiguousarray(points, F)
    x, y = (np.ascontiguousarray(np.broadcast_to(d, p.shape), F) for d in (dx, dy))
    cells = find_cells(table, p, x, y)
    return _with_borders(table, cells, mean_colours(table, cells.board), x, y, False)


def mean_colours(table: WoodTable, boards: NDArray[np.int64]) -> Floats:
    """Return the colour (n, 3) from afar of boards by number."""
    info = table.texels[table.boards_at + BOARD_TEXELS * boards + 3]
    mean = table.texels[SPECIES_AT + SPECIES_TEXELS * info[:, 0].astype(np.int64) + 10, :3]
    return mean * info[:, 2:3]


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """Where points lie in the grid: board, the board across the nearest border, and how near that is in pixels."""

    board: NDArray[np.int64]
    other: NDArray[np.int64]
    beside: Floats
    seen: Floats


def _evaluate(table: WoodTable, p: Floats, dx: Floats, dy: Floats) -> Floats:
    cells = find_cells(table, p, dx, dy)
    pattern = table.texels[0, 3] > F(1.5)
    if pattern:
        colour = mean_colours(table, cells.board)
    else:
        colour = np.empty_like(p)
        first = table.boards_at + BOARD_TEXELS * cells.board
        species = table.texels[first + 3, 0].astype(np.int64)
        for kind in np.unique(species):
            m = np.flatnonzero(species == kind)
            colour[m] = _board(table, int(kind), first[m], p[m], dx[m], dy[m])
    return _with_borders(table, cells, colour, dx, dy, pattern)


def _with_borders(table: WoodTable, cells: _Cells, colour: Floats, dx: Floats, dy: Floats, pattern: bool) -> Floats:
    beside = cells.beside
    m = np.flatnonzero(beside < F(0.5))
    step_over = mean_colours(table, cells.other[m]) - mean_colours(table, cells.board[m])
    colour[m] += (F(0.5) - beside[m])[:, None] * step_over
    pixel = np.maximum(_length(dx), _length(dy))
    thick, dark = (F(0.25), F(0.5)) if pattern else (F(0.07), table.texels[1, 2])
    reach = np.maximum(F(0.75), thick / np.maximum(cells.seen, np.maximum(F(0.3) * pixel, F(1e-6))))
    line = (F(1.0) - step(_NONE, reach, beside)) * np.minimum(F(1.0), F(2.0) * thick / np.maximum(pixel, F(1e-6)))
    colour *= (F(1.0) - dark * line)[:, None]
    return colour


def find_cells(table: WoodTable, p: Floats, dx: Floats, dy: Floats) -> _Cells:
    """Return the board of each point (n, 3), and what lies across the nearest border."""
    u = [p[:, 0], p[:, 1], p[:, 2]]
    up: list[Floats | np.float32] = [_NONE, _NONE, F(1.0)]
    axis, peak, slope = table.texels[2, :3]
    if axis >= 0.0:
        side = 0 if axis < 0.5 else 1
        across = u[side] - peak
        lean = np.where(across < 0.0, -slope, slope)
        u[2] = u[2] + across * lean
        up[side] = lean
    sizes = [len(e) + 1 for e in table.grid.edges]
    by = (1, sizes[0], sizes[0] * sizes[1])
    count = len(p)
    board, other = np.zeros(count, np.int64), np.zeros(count, np.int64)
    beside, seen = np.full(count, 1e9, F), np.ones(count, F)
    for k in range(3):
        edges = table.grid.edges[k].astype(F)
        if not len(edges):
            continue
        cell = np.searchsorted(edges, u[k], side="right")
        below = np.where(cell > 0, u[k] - edges[np.maximum(cell - 1, 0)], F(1e9))
        above = np.where(cell < len(edges), u[k] - edges[np.minimum(cell, len(edges) - 1)], F(-1e9))
        d = np.where(-above < below, above, below)
        if k == 2:
            sx, sy = (up[0] * g[:, 0] + up[1] * g[:, 1] + up[2] * g[:, 2] for g in (dx, dy))
        else:
            sx, sy = dx[:, k], dy[:, k]
        pace = np.maximum(np.sqrt(sx * sx + sy * sy), F(1e-6))
        near = np.abs(d) / pace
        m = near < beside
        beside[m], seen[m] = near[m], pace[m]
        other[m] = np.where(d[m] >= 0.0, -by[k], by[k])
        board += cell * by[k]
    return _Cells(board, np.clip(board + other, 0, by[2] * sizes[2] - 1), beside, seen)


def _length(v: Floats) -> Floats:
    return np.sqrt(v[:, 0] * v[:, 0] + v[:, 1] * v[:, 1] + v[:, 2] * v[:, 2])


def _dot(row: Floats, v: Floats) -> Floats:
    return row[:, 0] * v[:, 0] + row[:, 1] * v[:, 1] + row[:, 2] * v[:, 2]


class _Point:
    """What the parts of the wood need to know of the points: place in the board, directions, footprints."""

    def __init__(self, table: WoodTable, first: NDArray[np.int64], p: Floats, dx: Floats, dy: Floats) -> None:
        texels = table.texels
        rows = [texels[first + row] for row in range(3)]
        info = texels[first + 3]
        self.tone, self.ring_scale = info[:, 2], info[:, 3]
        self.seed: Words = info[:, 1].astype(np.uint32) * U(747796405)
        x, y, self.z = (_dot(row, p) + row[:, 3] for row in rows)
        ux, uy = ([_dot(row, d) for row in rows] for d in (dx, dy))
        n = np.stack([ux[a] * uy[b] - ux[b] * uy[a] for a, b in ((1, 2), (2, 0), (0, 1))], axis=1)
        n /= np.maximum(_length(n), F(1e-20))[:, None]
        coarse = texels[1, 3]
        self.end = step(F(0.55), F(0.96), np.abs(n[:, 2]))
        self.fx = coarse * np.sqrt(np.maximum(ux[0] * ux[0] + ux[1] * ux[1], uy[0] * uy[0] + uy[1] * uy[1]))
        self.fz = coarse * np.maximum(np.abs(ux[2]), np.abs(uy[2]))
        wx, wy = noise1(self.z * F(0.0031), self.seed + U(11))
        self.x, self.y = x + F(2.0) * wx, y + F(2.0) * wy
        self.radius = np.sqrt(self.x * self.x + self.y * self.y)
        hx, hy = self.x / self.radius, self.y / self.radius
        self.fr = coarse * np.maximum(np.abs(hx * ux[0] + hy * ux[1]), np.abs(hx * uy[0] + hy * uy[1]))
        self.ft = coarse * np.maximum(np.abs(hx * ux[1] - hy * ux[0]), np.abs(hx * uy[1] - hy * uy[0]))
        nt = hx * n[:, 1] - hy * n[:, 0]
        self.quarter_sawn = nt * nt
        self.gx, self.gy = F(0.8) * self.x - F(0.6) * self.y, F(0.6) * self.x + F(0.8) * self.y
        self.arc = F(80.0) * np.arctan2(self.y, self.x)


def _board(table: WoodTable, kind: int, first: NDArray[np.int64], p: Floats, dx: Floats, dy: Floats) -> Floats:
    """Points (n, 3) that all lie in boards of one species; ``first`` (n,) are their boards' texels."""
    sp = table.texels[SPECIES_AT + SPECIES_TEXELS * kind : SPECIES_AT + SPECIES_TEXELS * (kind + 1)]
    at = _Point(table, first, p, dx, dy)
    s, z, fx = at.seed, at.z, at.fx
    wide = noise3(at.x * F(0.021), at.y * F(0.021), z * F(0.0019), s + U(21))
    mid = noise3(at.gx * F(0.083), at.gy * F(0.083), z * F(0.0055), s + U(22))
    fine = noise3(at.gy * F(0.42), at.gx * F(0.42), z * F(0.0085), s + U(23))
    r = at.radius + sp[8, 1] * wide[0] + sp[8, 2] * mid[0] + sp[8, 3] * fine[0]
    v = F(0.55) * fine[1] * (F(1.0) - step(F(0.3), F(0.9), fx * F(0.42)))
    if (m := np.flatnonzero(fx < F(0.65))).size:
        fade = F(1.0) - step(F(0.3), F(0.85), fx[m] * F(1.35))
        a, b = noise3(at.gx[m] * F(1.35), at.gy[m] * F(1.35), z[m] * F(0.02), s[m] + U(24))
        r[m] += sp[8, 3] * a * fade
        v[m] += F(0.65) * b * fade
    if (m := np.flatnonzero(fx < F(0.19))).size:
        a, _ = noise3(at.gy[m] * F(4.6), at.gx[m] * F(4.6), z[m] * F(0.075), s[m] + U(25))
        v[m] += F(0.5) * a * (F(1.0) - step(F(0.3), F(0.85), fx[m] * F(4.6)))

    late, porous = _rings(sp, at, r)
    amount = np.clip(late * sp[1, 3] * (F(1.0) + F(0.2) * at.end + F(0.35) * fine[1]), F(0.0), F(1.0))
    c = blend(sp[0, :3], sp[1, :3], amount[:, None])

    zone = noise3(r * F(0.115), at.arc * F(0.022), z * F(0.0024), s + U(41))
    v = sp[8, 0] * v * (F(1.0) - F(0.5) * at.end)
    streak = sp[3, 3] * step(F(-0.15), F(0.75), zone[0] + F(0.35) * mid[1] + F(0.3) * fine[0])
    c *= blend(F(1.0), sp[3, :3], streak[:, None]) * (F(1.0) + v)[:, None]
    if sp[9, 0] > 0.0:
        stripe = noise1(r / sp[9, 1] + F(0.9) * zone[1], s + U(51))[0] * (F(0.75) + F(0.5) * wide[1])
        fade = F(1.0) - step(F(0.3), F(0.9), at.fr / sp[9, 1])
        c *= (F(1.0) + sp[9, 0] * stripe * F(1.5) * at.quarter_sawn * (F(1.0) - at.end) * fade)[:, None]
    _add_rays(sp, at, r, v, mid[1], c)
    _add_pores(sp, at, porous, c)
    c *= at.tone[:, None] * blend(F(1.0), np.array([1.02, 1.0, 0.97], F) * sp[9, 2], at.end[:, None])
    return c


def _rings(sp: Floats, at: _Point, r: Floats) -> tuple[Floats, Floats]:
    """How much late wood, and how much of the band of early pores, (n,) each."""
    width = sp[0, 3] * at.ring_scale
    t = r / width
    t = t + F(0.9) * noise1(t * F(0.23), at.seed + U(31))[0]
    k = np.floor(t)
    f = t - k
    hk = mixed(words(k) * U(0x9E3779B9) + at.seed + U(32))
    w = at.fr / width
    e = np.maximum(F(0.06), F(1.1) * w)
    fade = step(F(0.30), F(0.75), w)
    begin, full, band, uneven = sp[5]
    start = begin + (unit(hk) - F(0.5)) * F(0.3) * min(begin, F(1.0) - begin)
    late = step(start - F(0.5) * w, full + F(0.5) * w, f) * (F(1.0) - step(F(1.0) - e, F(1.0), f))
    late *= F(1.0) - uneven * unit(hk * U(0x2C1B3C6D))
    late = blend(late, (F(1.0) - F(0.5) * (begin + full)) * (F(1.0) - F(0.5) * uneven), fade)
    porous = F(1.0) - step(band * F(0.55) - F(0.5) * w, band * F(1.45) + F(0.5) * w, f)
    porous = np.maximum(porous, step(F(1.0) - F(0.5) * e, F(1.0), f))
    return late, blend(porous, band, fade)


def _add_rays(sp: Floats, at: _Point, r: Floats, v: Floats, sway_wide: Floats, c: Floats) -> None:
    _, spacing, height, share = sp[7]
    if not sp[4, 3] > 0.0:
        return
    m = np.flatnonzero((at.ft < F(1.1) * spacing) & (at.fz < F(0.8) * height))
    if not m.size:
        return
    r, z, arc, s, end = r[m], at.z[m], at.arc[m], at.seed[m], at.end[m]
    sway, edge = noise3(r * F(0.27), arc * F(0.06), z * F(1.2) / height, s + U(61))
    a = arc / spacing + F(0.55) * sway + F(0.8) * sway_wide[m]
    ia = np.floor(a)
    ha = mixed(words(ia) * U(0x9E3779B9) + s + U(62))
    zz = z / height + F(7.0) * unit(ha)
    iz = np.floor(zz)
    hb = mixed(ha + words(iz) * U(0x85EBCA6B))
    jx, jy = pair(mixed(hb))
    thin = F(0.14) + F(0.06) * jx
    soft = at.ft[m] / spacing
    da = (a - ia - F(0.5) - F(0.25) * jy) / (thin + F(0.6) * soft)
    dz = (zz - iz - F(0.5)) / (F(0.33) + F(0.12) * jx)
    on = (unit(hb) < share) * step(F(-0.5), F(0.0), noise1(r / sp[9, 3], hb)[0])
    on *= (F(1.0) - step(F(0.35), F(1.0), da * da + dz * dz + F(0.6) * edge)) * thin / (thin + F(0.6) * soft)
    on *= F(1.0) - step(F(0.5), F(1.1), soft)
    on *= F(1.0) - step(F(0.3), F(0.8), at.fz[m] / height)
    flat = np.clip(F(1.6) * at.quarter_sawn[m] + end, F(0.0), F(1.0))[:, None]
    seen = blend(c[m] * (F(1.0) - sp[10, 3]), sp[4, :3] * (F(1.0) + F(0.5) * v[m])[:, None], flat)
    c[m] = blend(c[m], seen, (sp[4, 3] * on * (F(1.0) - F(0.45) * end))[:, None])


def _add_pores(sp: Floats, at: _Point, porous: Floats, c: Floats) -> None:
    cell, early_radius, late_radius, early_share = sp[6]
    share = blend(sp[7, 0], early_share, porous)
    rad = blend(late_radius, early_radius, porous)
    afar = step(F(0.35), F(1.0), at.fx / cell)
    open_ = np.minimum(F(1.0), F(3.14159) * share * rad * rad / (cell * cell))
    m = np.flatnonzero(afar < F(1.0))
    if m.size:
        z, fx, end = at.z[m], at.fx[m], at.end[m]
        px, py = at.gx[m] / cell, at.gy[m] / cell
        ix, iy = np.floor(px), np.floor(py)
        hp = mixed(words(ix) * U(0x8DA6B343) + words(iy) * U(0xD8163841) + at.seed[m] + U(71))
        wx, wy = noise1(z * F(0.06) + (hp & U(255)).astype(F), hp)
        gap = noise1(z * F(0.075) + (hp & U(127)).astype(F), hp + U(3))[0]
        tube = rad[m] * (F(0.8) + F(0.4) * unit(mixed(hp + U(5))))
        blur = np.maximum(F(0.4) * tube, F(0.55) * fx)
        here = (unit(hp) < share[m]) * blend(step(F(-0.65), F(-0.25), gap), F(1.0), end)
        ox, oy = px - ix - F(0.5) - F(0.30) * wx, py - iy - F(0.5) - F(0.30) * wy
        d = np.sqrt(ox * ox + oy * oy) * cell
        here = here * (F(1.0) - step(tube - blur, tube + blur, d)) * np.minimum(F(1.0), F(1.5) * tube / blur)
        open_[m] = blend(here, open_[m], afar[m])
    c += (sp[2, :3] - c) * (sp[2, 3] * open_)[:, None]
