"""What stands round the drawing on every sheet: scale bars, which sheet it is, the key plan, how to join sheets."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import Final

from geometry.drawing.items import Fill, Item, Point, Stroke, Text, grey
from geometry.drawing.placing import Box
from geometry.drawing.shapes import cross, rectangle, segment
from geometry.drawing.words import fitted
from geometry.glue_up_parts import letters
from geometry.templates import layers, words
from geometry.templates.labels import rule
from geometry.templates.paper import MARGIN_MM, OVERLAP_MM
from geometry.templates.tiling import Tile, Tiling
from geometry.units import MM_PER_INCH

LEFT_STRIP_MM: Final = 9.0
BOTTOM_STRIP_MM: Final = 21.0
"""Strips inside the margins that the drawing leaves to the bars and the words."""

LEAST_PAGE_MM: Final = (175.0, 145.0)
"""No sheet is smaller: the bars and the words need as much."""

_KEY_WIDTH, _KEY_HEIGHT = 24.0, 19.0
_MOST_IN_KEY_PLAN = 100
_WORDS_MM = 2.8


def window_of(width: float, height: float) -> Box:
    """Return the part of a page that the drawing may have."""
    return Box(MARGIN_MM + LEFT_STRIP_MM, MARGIN_MM + BOTTOM_STRIP_MM, width - MARGIN_MM, height - MARGIN_MM)


def page_size_for(width: float, height: float) -> tuple[float, float]:
    """Return the least page that has a window of a size."""
    return (
        max(LEAST_PAGE_MM[0], width + 2.0 * MARGIN_MM + LEFT_STRIP_MM),
        max(LEAST_PAGE_MM[1], height + 2.0 * MARGIN_MM + BOTTOM_STRIP_MM),
    )


def bars(window: Box) -> list[Item]:
    """Return bars of 100 mm and of 4 inches below and to the left of the window."""
    out: list[Item] = []
    for away, unit, count, label in ((3.6, 10.0, 10, words.BAR_MM), (8.2, MM_PER_INCH, 4, words.BAR_IN)):
        x, y = window.left, window.bottom - away
        out += _bar((x, y), (1.0, 0.0), unit, count)
        out.append(Text((x + unit * count + 2.0, y - 0.9), label, 2.6, layers.BARS))
        x, y = window.left - away, window.bottom
        out += _bar((x, y), (0.0, 1.0), unit, count)
        out.append(Text((x + 0.9, y + unit * count + 2.0), label, 2.6, layers.BARS, turn=90.0))
    return out


def _bar(at: Point, along: Point, unit: float, count: int) -> list[Item]:
    """Return a bar from a point: a stroke as long as it says, with ticks at every unit and longer ones at its ends."""
    dx, dy = along
    end = (at[0] + dx * unit * count, at[1] + dy * unit * count)
    out: list[Item] = [rule(at, end, layers.BARS, layers.RULED)]
    for i in range(count + 1):
        reach = 1.5 if i in (0, count) else 0.8
        x, y = at[0] + dx * unit * i, at[1] + dy * unit * i
        out.append(rule((x - dy * reach, y - dx * reach), (x + dy * reach, y + dx * reach), layers.BARS, layers.RULED))
    return out


def sheet_words(width: float, window: Box, number: int, count: int, heading: str, *, joined: bool) -> list[Item]:
    """Return the lines below the bars: what the sheet belongs to, and what to do with it."""
    room = width - MARGIN_MM - _KEY_WIDTH - 4.0 - window.left
    rows = [heading, words.PRINT_ADVICE, *([words.JOIN_ADVICE] if joined else [])]
    top = window.bottom - 13.3
    out: list[Item] = [
        Text((window.left, top - 3.6 * i), fitted(text, _WORDS_MM, room, i == 1), _WORDS_MM, layers.SHEET, bold=i == 1)
        for i, text in enumerate(rows)
    ]
    right = width - MARGIN_MM - _KEY_WIDTH - 2.0
    out.append(Text((right, window.bottom - 5.0), words.sheet_of(number, count), 3.6, layers.SHEET, "end", bold=True))
    return out


def key_plan(width: float, window: Box, tiling: Tiling, shown: Sequence[Tile], current: Tile, outline: Sequence[Stroke]
             ) -> list[Item]:  # fmt: skip
    """Return a small plan of all sheets of a drawing, this one grey, with the outline of what is drawn."""
    area = Box(width - MARGIN_MM - _KEY_WIDTH, MARGIN_MM, width - MARGIN_MM, window.bottom - 2.0)
    left = min(t.window.left for t in tiling.tiles)
    bottom = min(t.window.bottom for t in tiling.tiles)
    right, top = max(t.window.right for t in tiling.tiles), max(t.window.top for t in tiling.tiles)
    scale = min(area.width / (right - left), area.height / (top - bottom))
    dx = area.right - scale * (right - left)
    dy = area.top - scale * (top - bottom)

    def put(x: float, y: float) -> Point:
        return (dx + scale * (x - left), dy + scale * (y - bottom))

    out: list[Item] = []
    for t in shown if len(shown) <= _MOST_IN_KEY_PLAN else (current,):
        x, y = put(t.window.left, t.window.bottom)
        box = rectangle(x, y, scale * t.window.width, scale * t.window.height)
        if t == current:
            out.append(Fill(box, layers.SHEET, grey(0.8)))
        out.append(Stroke(box, layers.SHEET, layers.FRAME))
    for stroke in outline:
        points = [put(*p) for p in stroke.path.points]
        ends = [*points, points[0]] if stroke.path.closed else points
        out += [Stroke(segment(a, b), layers.SHEET, layers.RULED) for a, b in zip(ends, ends[1:], strict=False)]
    return out


def joins(tile: Tile, tiling: Tiling, dx: float, dy: float) -> list[Item]:
    """Return where to cut a sheet that is laid over its neighbour to the left or below, in the page's coordinates."""
    w = tile.window
    corners = [
        (w.left + dx, w.bottom + dy),
        (w.right + dx, w.bottom + dy),
        (w.right + dx, w.top + dy),
        (w.left + dx, w.top + dy),
    ]
    has_neighbour = (tile.row > 0, tile.column < tiling.columns - 1, tile.row < tiling.rows - 1, tile.column > 0)
    out: list[Item] = []
    for i, joined in enumerate(has_neighbour):
        if joined:
            cut = i in (0, 3)
            out.append(rule(corners[i], corners[(i + 1) % 4], layers.SHEET, layers.CUT_HERE if cut else layers.FRAME))
    return out


def cross_names() -> Iterator[str]:
    """Yield names for crosses without end: no two drawings on one pile of sheets have crosses of the same name."""
    return (letters(i) for i in itertools.count())


def registration(tiling: Tiling, keep_clear: Sequence[Box], names: Iterator[str]) -> list[Item]:
    """Return crosses in the middle of every overlap, two to a sheet, lettered alike on both sheets that show them.

    They keep clear of words where they can.
    """
    out: list[Item] = []
    for t in tiling.tiles:
        w = t.window
        if t.column < tiling.columns - 1:
            x = w.right - OVERLAP_MM / 2.0
            low, high = w.bottom + OVERLAP_MM, w.top - OVERLAP_MM
            for share in (0.2, 0.8):
                out += _cross_near([(x, low + (high - low) * s) for s in _shares(share)], next(names), keep_clear)
        if t.row < tiling.rows - 1:
            y = w.top - OVERLAP_MM / 2.0
            low, high = w.left + OVERLAP_MM, w.right - OVERLAP_MM
            for share in (0.2, 0.8):
                out += _cross_near([(low + (high - low) * s, y) for s in _shares(share)], next(names), keep_clear)
    return out


def _shares(wanted: float) -> list[float]:
    return sorted((i / 40.0 for i in range(1, 40) if (i < 20) == (wanted < 0.5)), key=lambda s: abs(s - wanted))


def _cross_near(places: Sequence[Point], name: str, keep_clear: Sequence[Box]) -> list[Item]:
    at = places[0]
    for place in places:
        around = Box(place[0] - 3.2, place[1] - 3.2, place[0] + 4.4, place[1] + 3.2)
        if not any(around.meets(box) for box in keep_clear):
            at = place
            break
    else:
        name = ""
    out: list[Item] = [Stroke(path, layers.SHEET, layers.RULED) for path in cross(at, 3.0)]
    return [*out, Text((at[0] + 0.8, at[1] + 0.8), name, 2.4, layers.SHEET)] if name else out
