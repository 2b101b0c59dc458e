"""How a blank is glued up: boards to mill and stages, each with words and a simple drawing.

Drawings are polygons in millimetres with a species and a label, for any pen.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from geometry.glue_up_chevron import chevron_glue_up
from geometry.glue_up_parts import Board, Shape, Stage, Trade, boards_of, long_boards_of, rectangle, row_of
from geometry.layup import Checker, Chevron, Layup, Plain, Stripes
from geometry.layup_words import listed, species_word
from geometry.project import Blank, DisplayUnits
from geometry.species import SpeciesName
from geometry.units import format_length

__all__ = ["Board", "Shape", "Stage", "Trade", "glue_up"]

GlueUp = tuple[tuple[Board, ...], tuple[Stage, ...]]
Strip = tuple[float, SpeciesName]


def glue_up(layup: Layup, blank: Blank, trade: Trade, units: DisplayUnits) -> GlueUp:
    """Return the boards to mill for a lay-up in a blank and the stages in which they become it."""
    match layup:
        case Plain():
            return _plain(layup.species, blank, trade, units)
        case Stripes():
            return _stripes(layup.along, layup.strips, blank, trade, units)
        case Chevron():
            return chevron_glue_up(layup, blank, trade, units)
        case Checker():
            return _checker(layup, blank, trade, units)


def _square_up(blank: Blank, units: DisplayUnits, *, is_glued: bool = True) -> Stage:
    w, d, length = (format_length(v, units) for v in (blank.width, blank.depth, blank.length))
    return Stage(
        "Square the blank",
        f"{'After a day, plane' if is_glued else 'Plane'} one face flat, the next square to it, and bring the blank to "
        f"{w} × {d}; then saw both ends square to {length}. Its faces become the glue faces of the piece.",
        (rectangle(0.0, 0.0, blank.width, blank.depth, None, f"{w} × {d}"),),
    )


def _plain(species: SpeciesName, blank: Blank, trade: Trade, units: DisplayUnits) -> GlueUp:
    thin, wide = sorted((blank.width, blank.depth))
    boards = boards_of([(species, (thin, wide, blank.length))])
    return boards, (_square_up(blank, units, is_glued=False),)


# ---------------------------------------------------------------- strips


def _widened(sizes: Sequence[float], by: float) -> list[float]:
    """Return the sizes with the outermost wider, for the planing of the blank's faces."""
    out = list(sizes)
    out[0] += by
    out[-1] += by
    return out


def _stripes(along: str, strips: Sequence[Strip], blank: Blank, trade: Trade, units: DisplayUnits) -> GlueUp:
    other = (blank.depth if along == "x" else blank.width) + 2.0 * trade.square_mm
    names = [name for _, name in strips]
    thick = _widened([w for w, _ in strips], trade.square_mm)
    boards = boards_of((name, (t, other, blank.length)) for t, name in zip(thick, names, strict=True))
    order = listed([species_word(n) for n in names]) if len(names) <= 7 else f"{len(names)} strips in turn"
    across = "width" if along == "x" else "depth"
    start = "left" if along == "x" else "front"
    upright = along == "y"
    stage = Stage(
        "Glue the strips",
        f"Joint and plane the strips the same day, lay them out across the {across} from the {start}: {order}, and "
        "glue them in one go, or in twos and threes if the glue sets too soon.",
        row_of(thick, names, other, units, upright=upright),
    )
    return boards, (stage, _square_up(blank, units))


# ---------------------------------------------------------------- blocks


def _checker(layup: Checker, blank: Blank, trade: Trade, units: DisplayUnits) -> GlueUp:
    nx, ny, nz = len(layup.x), len(layup.y), len(layup.z or (0.0,))
    count = len(layup.species)

    def species(i: int, j: int, k: int) -> SpeciesName:
        return layup.species[(i + j + k) % count]

    if nx == ny == nz == 1:
        return _plain(layup.species[0], blank, trade, units)
    if nx == ny == 1 and layup.z is not None:
        return _layers(layup.z, [species(0, 0, k) for k in range(nz)], blank, trade, units)
    if nz == 1 and nx == 1:
        return _stripes("y", [(w, species(0, j, 0)) for j, w in enumerate(layup.y)], blank, trade, units)
    if nz == 1 and ny == 1:
        return _stripes("x", [(w, species(i, 0, 0)) for i, w in enumerate(layup.x)], blank, trade, units)
    return _blocks(layup, blank, trade, units)


def _layers(
    heights: Sequence[float], names: Sequence[SpeciesName], blank: Blank, trade: Trade, units: DisplayUnits
) -> GlueUp:
    wide, long = blank.depth + 2.0 * trade.square_mm, blank.width + 2.0 * trade.square_mm
    thick = _widened(heights, trade.square_mm)
    pieces = ((name, (t, wide, long)) for name, t in zip(names, thick, strict=True))
    boards = long_boards_of(pieces, trade, "layer")
    each = " × ".join(format_length(v, units) for v in (long, wide))
    stages = (
        Stage(
            "Crosscut the layers",
            f"Saw the boards into pieces of {each}, grain the long way, and number them from the foot up.",
            row_of([long] * len(thick), names, wide, units),
        ),
        Stage(
            "Stack and glue",
            f"Glue the {len(thick)} layers flat on one another from the foot up, a few at a time, against a fence so "
            "that they do not creep. Keep the grain of all layers the same way: one that is turned moves against its "
            "neighbours with the seasons.",
            row_of(thick, names, long, units, upright=True),
        ),
        _square_up(blank, units),
    )
    return boards, stages


@dataclass(frozen=True, slots=True)
class _Slab:
    """Strips side by side, from which rows are ripped: its pattern, and the widths of the rows."""

    names: tuple[SpeciesName, ...]
    rows: tuple[float, ...]


def _blocks(layup: Checker, blank: Blank, trade: Trade, units: DisplayUnits) -> GlueUp:
    count, sq = len(layup.species), trade.square_mm
    x, y = _widened(layup.x, sq), _widened(layup.y, sq)
    heights = _widened(layup.z, sq) if layup.z else (blank.length,)

    def row(phase: int) -> tuple[SpeciesName, ...]:
        return tuple(layup.species[(i + phase) % count] for i in range(len(x)))

    # layers of the same pattern are crosscut from one column block
    blocks: dict[tuple[tuple[SpeciesName, ...], ...], list[float]] = {}
    for k, height in enumerate(heights):
        blocks.setdefault(tuple(row(j + k) for j in range(len(y))), []).append(height)
    wanted: list[tuple[SpeciesName, tuple[float, float, float]]] = []
    slabs: list[_Slab] = []
    turned = False
    for rows, cut in blocks.items():
        long = math.fsum(cut) + (len(cut) - 1) * trade.saw_mm
        mine: dict[tuple[SpeciesName, ...], list[float]] = {}
        for names, width in zip(rows, y, strict=True):
            # a row turned over is its mirror image: with strips alike about the centre one slab gives both
            if names not in mine and names[::-1] in mine and layup.x == layup.x[::-1]:
                names, turned = names[::-1], True
            mine.setdefault(names, []).append(width)
        for names, widths in mine.items():
            slabs.append(_Slab(names, tuple(widths)))
            wide = math.fsum(widths) + (len(widths) - 1) * trade.saw_mm
            wanted += [(name, (t, wide, long)) for t, name in zip(x, names, strict=True)]
    return boards_of(wanted), tuple(_block_stages(layup, blank, x, y, list(blocks), slabs, turned, trade, units))


def _block_stages(
    layup: Checker,
    blank: Blank,
    x: Sequence[float],
    y: Sequence[float],
    blocks: Sequence[tuple[tuple[SpeciesName, ...], ...]],
    slabs: Sequence[_Slab],
    turned: bool,
    trade: Trade,
    units: DisplayUnits,
) -> Iterable[Stage]:
    gap = 0.15 * math.fsum(x)
    drawn: list[Shape] = []
    at = 0.0
    for slab in slabs:
        wide = math.fsum(slab.rows) + (len(slab.rows) - 1) * trade.saw_mm
        drawn += row_of(x, slab.names, wide, units, at=(0.0, at))
        at += wide + gap
    how_many = "one slab" if len(slabs) == 1 else f"{len(slabs)} slabs"
    yield Stage(
        "Glue the slabs",
        f"Plane the strips to thickness and glue {how_many}, strips side by side in the order drawn; let them set for "
        "a day and plane both faces flat.",
        tuple(drawn),
    )
    if len(y) > 1:
        over = " Turn every second row over, left to right." if turned else ""
        ripped: list[Shape] = []
        at = 0.0
        for slab in slabs:
            for width in slab.rows:
                ripped += row_of(x, slab.names, width, units, at=(0.0, at))
                at += width + trade.saw_mm
            at += gap
        sizes = listed([format_length(v, units) for v in dict.fromkeys(y)])
        yield Stage(
            "Rip the rows",
            f"Rip the slabs along the grain into rows of {sizes}, and plane the sawn faces.",
            tuple(ripped),
        )
        checked: list[Shape] = []
        for n, rows in enumerate(blocks):
            at = 0.0
            for names, width in zip(rows, y, strict=True):
                checked += row_of(x, names, width, units, at=(n * (math.fsum(x) + gap), at))
                at += width
        yield Stage(
            "Glue the rows",
            f"Lay the rows out as drawn, looking at the end, and glue them; line the joints up by eye.{over}",
            tuple(checked),
        )
    if layup.z is not None and len(layup.z) > 1:
        yield _crosscut(layup, layup.z, len(blocks), units)
    yield _square_up(blank, units)


def _crosscut(layup: Checker, heights: Sequence[float], kinds: int, units: DisplayUnits) -> Stage:
    count = len(layup.species)
    names = [layup.species[k % count] for k in range(len(heights))]
    sizes = listed([format_length(v, units) for v in dict.fromkeys(heights)])
    turn = "taking them from the blocks in turn" if kinds > 1 else "in their order"
    return Stage(
        "Crosscut, shift and glue",
        f"Crosscut into lengths of {sizes}, square on all sides, and glue them end to end from the foot up, {turn}, "
        "so that the colours change. End grain glued to end grain is weak: put a dowel into each joint, clear of both "
        "lines.",
        row_of(heights, names, layup.x[0], units, upright=True),
    )
