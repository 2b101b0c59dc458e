"""A lay-up as a table of texels: header, species, borders and boards, all in one float texture.

The shader finds everything by texel number, so another strip, species or show-through mode is another table and
never another shader. Texel n lies at column n % ``ROW`` of row n // ``ROW``: a grid of any size fits.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from app.scene.wood.looks import LOOKS, Look
from geometry.layup_grid import LayupGrid, grid_of
from geometry.project import Blank, Variant
from geometry.species import SPECIES_NAMES

TexelArray = NDArray[np.float32]
FloatArray = NDArray[np.float64]

ShowThrough = Literal["wood", "quarters", "pattern"]
"""What the surface shows: the wood; one colour for each quarter; each species in one flat colour with borders."""

MODES: dict[ShowThrough, int] = {"wood": 0, "quarters": 1, "pattern": 2}

ROW = 1024
HEADER, SPECIES_TEXELS, BOARD_TEXELS = 3, 11, 4
SPECIES_AT = HEADER
EDGES_AT = SPECIES_AT + SPECIES_TEXELS * len(SPECIES_NAMES)

GLUE_LINE = 0.22
"""How much less light a glue line inside the blank returns."""


@dataclass(frozen=True, slots=True, eq=False)
class WoodTable:
    """Everything that decides what the wood of one blank looks like.

    Attributes
    ----------
    grid : LayupGrid
    texels : (n, 4) float32, n a multiple of ``ROW``
    boards_at : first texel of the boards; board (i, j, k) of an (nx, ny, nz) grid is number i + nx (j + ny k)
    """

    grid: LayupGrid
    texels: TexelArray
    boards_at: int

    def shown(self, mode: ShowThrough, detail: float = 1.0) -> WoodTable:
        """Return the table with another show-through mode; ``detail`` below 1 leaves out what is finest."""
        texels = self.texels.copy()
        texels[0, 3] = MODES[mode]
        texels[1, 3] = 1.0 / detail
        return WoodTable(self.grid, texels, self.boards_at)


def table_of(variant: Variant) -> WoodTable:
    """Return the table of a variant's blank."""
    return wood_table(grid_of(variant), variant.blank)


def wood_table(grid: LayupGrid, blank: Blank) -> WoodTable:
    """Return the table of a lay-up.

    Every board has its own pith, tilt, tone and seed, drawn from its number alone: the same lay-up always looks
    the same, and a board keeps its figure when another one changes its species.
    """
    edges = np.concatenate([*grid.edges])
    boards_at = EDGES_AT + len(edges)
    boards = _boards(grid, blank).reshape(-1, 4)
    count = boards_at + len(boards)
    texels = np.zeros((-(-count // ROW) * ROW, 4), dtype=np.float32)
    axis, peak, slope = -1.0, 0.0, 0.0
    if grid.shear is not None:
        axis, peak, slope = (0.0 if grid.shear.across == "x" else 1.0), grid.shear.peak, grid.shear.slope
    texels[0] = [*(len(e) for e in grid.edges), MODES["wood"]]
    texels[1] = [EDGES_AT, boards_at, GLUE_LINE, 1.0]
    texels[2] = [axis, peak, slope, 0.0]
    texels[SPECIES_AT:EDGES_AT] = _SPECIES_TEXELS
    texels[EDGES_AT:boards_at, 0] = edges
    texels[boards_at:count] = boards
    return WoodTable(grid, texels, boards_at)


# ---------------------------------------------------------------- species


def mean_colour(look: Look) -> FloatArray:
    """Return the colour (3,) of a species from afar, sRGB 0 to 1."""
    rings, pores = look.rings, look.pores
    late = (1.0 - (rings.late_from + rings.late_full) / 2.0) * rings.contrast * (1.0 - rings.uneven / 2.0)
    colour = np.array(rings.early) * (1.0 - late) + np.array(rings.late) * late
    covered = np.pi / pores.cell**2 * (
        pores.band * pores.early_share * pores.early_radius**2
        + (1.0 - pores.band) * pores.late_share * pores.late_radius**2
    )  # fmt: skip
    colour += (np.array(pores.colour) - colour) * pores.strength * covered
    streak, strength = look.streak
    return colour * (1.0 + (np.array(streak) / colour - 1.0) * strength * MEAN_STREAK)


MEAN_STREAK = 0.27
"""The share of a board that lies in streaks, as the shader draws them."""


def _species_texels() -> TexelArray:
    rows = []
    for name in SPECIES_NAMES:
        look = LOOKS[name]
        rings, pores, rays = look.rings, look.pores, look.rays
        streak, strength = look.streak
        mean = mean_colour(look)
        rows.append([
            [*rings.early, rings.width],
            [*rings.late, rings.contrast],
            [*pores.colour, pores.strength],
            [*(np.array(streak) / mean), strength],
            [*rays.colour, rays.strength],
            [rings.late_from, rings.late_full, pores.band, rings.uneven],
            [pores.cell, pores.early_radius, pores.late_radius, pores.early_share],
            [pores.late_share, rays.spacing, rays.height, rays.share],
            [look.fibre, look.warp, look.ripple, look.jag],
            [look.ribbon, look.ribbon_width, look.end_shade, rays.length],
            [*mean, rays.dark],
        ])  # fmt: skip
    return np.array(rows, dtype=np.float32).reshape(-1, 4)


_SPECIES_TEXELS = _species_texels()


# ---------------------------------------------------------------- boards


def _chance(number: NDArray[np.uint32], draw: int) -> FloatArray:
    """Return numbers (n,) in [0, 1) that depend on the board's number and on which draw it is."""
    x = (number * np.uint32(0x9E3779B9) + np.uint32((draw * 0x85EBCA6B) & 0xFFFFFFFF)).astype(np.uint32)
    for shift, factor in ((16, 0x21F0AAAD), (15, 0x735A2D97)):
        x = (x ^ (x >> np.uint32(shift))) * np.uint32(factor)
    x = x ^ (x >> np.uint32(15))
    return x.astype(np.float64) / 2.0**32


def _boards(grid: LayupGrid, blank: Blank) -> TexelArray:
    """Return the texels (n, 4, 4) of all boards: three rows of block to board coordinates, then species and tone.

    In board coordinates the pith is the z axis and the middle of the board lies at x = its distance from it.
    """
    nx, ny, nz = grid.cells.shape
    count = nx * ny * nz
    number = np.arange(count, dtype=np.uint32)
    i, j, k = number % nx, (number // nx) % ny, number // (nx * ny)
    names = np.array([SPECIES_NAMES.index(name) for name in grid.species])
    species = names[grid.cells[i, j, k]]
    middle, size = _cells(grid, blank, i, j, k)
    along = _fibre(grid, middle)

    across, up = _square_to(along)
    # The pith lies square to the wide side of a thin strip, on the diagonal of a square one: how planks are ripped.
    sawn = _side_towards_pith(size, number)
    outward = np.cos(sawn)[:, None] * across + np.sin(sawn)[:, None] * up
    sideways = np.cross(along, outward)
    half = np.hypot(size[:, 0], size[:, 1]) / 2.0
    distance = half * (1.12 + 0.5 * _chance(number, 3)) + 6.0 + 30.0 * _chance(number, 4)

    # A stem tapers and no plank lies quite along it: this is what draws arches on a flat-sawn face, all one way.
    lean = (0.014 + 0.016 * _chance(number, 5)) * np.where(_chance(number, 6) < 0.5, -1.0, 1.0)
    drift = 0.010 * (2.0 * _chance(number, 7) - 1.0)
    axis = along + lean[:, None] * outward + drift[:, None] * sideways
    axis /= np.linalg.norm(axis, axis=1, keepdims=True)
    outward = outward - np.sum(outward * axis, axis=1, keepdims=True) * axis
    outward /= np.linalg.norm(outward, axis=1, keepdims=True)
    frame = np.stack([outward, np.cross(axis, outward), axis], axis=1)

    texels = np.zeros((count, BOARD_TEXELS, 4), dtype=np.float32)
    texels[:, :3, :3] = frame
    at = np.stack([distance, np.zeros(count), 900.0 * _chance(number, 8)], axis=1)
    texels[:, :3, 3] = at - np.einsum("nrc,nc->nr", frame, middle)
    vary = np.array([LOOKS[name].vary for name in SPECIES_NAMES])[species]
    texels[:, 3, 0] = species
    texels[:, 3, 1] = np.floor(_chance(number, 9) * 2.0**20)
    texels[:, 3, 2] = 1.0 + vary * (2.0 * _chance(number, 10) - 1.0)
    texels[:, 3, 3] = 0.85 + 0.35 * _chance(number, 11)
    return texels


def _cells(
    grid: LayupGrid, blank: Blank, i: NDArray, j: NDArray, k: NDArray
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Return middles (n, 3) and sizes (n, 3) of cells, in block coordinates (the shear left out of the size)."""
    a, b = max(blank.width, blank.width_at_top) / 2.0, max(blank.depth, blank.depth_at_top) / 2.0
    ends = ((-a, a), (-b, b), (0.0, blank.length))
    middles, sizes = [], []
    for edges, (low, high), index in zip(grid.edges, ends, (i, j, k), strict=True):
        if len(edges):
            low, high = min(low, float(edges[0])), max(high, float(edges[-1]))
        borders = np.concatenate([[low], edges, [high]])
        middles.append((borders[index] + borders[index + 1]) / 2.0)
        sizes.append(borders[index + 1] - borders[index])
    middle, size = np.stack(middles, axis=1), np.stack(sizes, axis=1)
    if grid.shear is not None:
        middle[:, 2] -= grid.shear.lift(middle)
    return middle, size


def _fibre(grid: LayupGrid, middle: FloatArray) -> FloatArray:
    """Return each board's fibre (n, 3): up the blank, or along the band in a V."""
    along = np.tile([0.0, 0.0, 1.0], (len(middle), 1))
    if grid.shear is not None:
        axis = 0 if grid.shear.across == "x" else 1
        side = np.where(middle[:, axis] < grid.shear.peak, -1.0, 1.0)
        along = np.zeros((len(middle), 3))
        along[:, axis] = side
        along[:, 2] = -grid.shear.slope
        along /= np.linalg.norm(along, axis=1, keepdims=True)
    return along


def _square_to(along: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return two directions (n, 3) square to the fibre and to each other: the first is x where the fibre is z."""
    upright = np.abs(along[:, 2]) > 0.999999
    normal = np.where(upright[:, None], [1.0, 0.0, 0.0], np.stack([along[:, 2], 0 * along[:, 2], -along[:, 0]], axis=1))
    flat = np.abs(along[:, 0]) > np.abs(along[:, 1])
    other = np.stack([0 * along[:, 2], along[:, 2], -along[:, 1]], axis=1)
    normal = np.where((upright | flat)[:, None], normal, other)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    return normal, np.cross(along, normal)


def _side_towards_pith(size: FloatArray, number: NDArray[np.uint32]) -> FloatArray:
    """Return the angle (n,) from a board's x to the direction away from its pith."""
    shape = size[:, 0] / size[:, 1]
    turn = np.floor(4.0 * _chance(number, 1)) * (np.pi / 2.0)
    half_turn = np.floor(2.0 * _chance(number, 1)) * np.pi
    stray = (2.0 * _chance(number, 2) - 1.0) * np.radians(24.0)
    thin = np.where(shape < 0.6, half_turn, np.where(shape > 1.67, half_turn + np.pi / 2.0, turn + np.pi / 4.0))
    return thin + stray
