"""The work sheet on one page: the piece, the steps as a strip of pictures, and all the rest in two columns."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator

from geometry.drawing.items import Item, Stroke, Text, grey
from geometry.drawing.page import Page, Part, Picture
from geometry.drawing.placing import Box
from geometry.drawing.shapes import rectangle
from geometry.drawing.words import ASCENT, LEADING, broken, fitted, width_of
from geometry.sheet import words
from geometry.sheet.content import Content
from geometry.sheet.flow import Column, Flow, NoRoom
from geometry.sheet.pictures import SheetPictures
from geometry.sheet.step_frames import framed
from geometry.sheet.steps_words import SHORT
from geometry.templates.layers import FRAME

MARGIN_MM = 11.0
_TRIALS = ((2.7, 58.0), (2.6, 52.0), (2.5, 46.0), (2.35, 42.0), (2.2, 38.0), (2.1, 34.0), (1.95, 30.0))
"""Sizes of the type with the heights of the pictures, tried from the largest."""

_CAPTION_MM = 2.2
_CAPTION_ROOM_MM = 5.2
_ABOUT_MM = 2.6
_MOST_BOARDS = 6
_LAYER = "words"


def one_page(content: Content, pictures: SheetPictures, paper: tuple[float, float]) -> list[Page]:
    """Return the sheet on one page; only a design with more to say than the smallest type holds takes a second."""
    for size, high in _TRIALS:
        try:
            return _set(content, pictures, paper, size, high, endless=False)
        except NoRoom:
            continue
    return _set(content, pictures, paper, *_TRIALS[-1], endless=True)


def _set(
    content: Content, pictures: SheetPictures, paper: tuple[float, float], size: float, high: float, *, endless: bool
) -> list[Page]:
    width, height = paper
    inside = Box(MARGIN_MM, MARGIN_MM, width - MARGIN_MM, height - MARGIN_MM)
    shown: list[Picture] = []
    items: list[Item] = []
    top = _head(content, inside, items)
    rows = _rows(len(pictures.steps))
    tall = len(rows) * (high + _CAPTION_ROOM_MM) - _CAPTION_ROOM_MM
    wide = min(0.3 * inside.width, tall * pictures.portrait_aspect)
    at = Box(inside.left, top - wide / pictures.portrait_aspect, inside.left + wide, top)
    shown.append(Picture(pictures.portrait, at))
    items.append(Stroke(rectangle(at.left, at.bottom, at.width, at.height), _LAYER, FRAME))
    right = Box(at.right + 4.0, inside.bottom, inside.right, top)
    strip_bottom = _strip(pictures, right, high, items, shown)
    below = min(at.bottom, strip_bottom) - 3.0
    middle = (inside.left + inside.right) / 2.0
    foot = inside.bottom + 4.0
    first = [
        Column(0, Box(inside.left, foot, middle - 2.5, below)),
        Column(0, Box(middle + 2.5, foot, inside.right, below)),
    ]

    def more() -> Iterator[Column]:
        for page in itertools.count(1):
            yield Column(page, Box(inside.left, foot, middle - 2.5, inside.top))
            yield Column(page, Box(middle + 2.5, foot, inside.right, inside.top))

    flow = Flow(itertools.chain(first, more()) if endless else first, size)
    for section in (_wood, _set_up, _wrong, _cautions):
        section(flow, content)
    count = max(flow.items, default=0) + 1
    pages = []
    for n in range(count):
        foot_words = [Text((inside.left, inside.bottom), words.SHEET_FOOT, 2.1, _LAYER, ink=grey(0.3))]
        if count > 1:
            foot_words.append(Text((inside.right, inside.bottom), words.page_of(n + 1, count), 2.1, _LAYER, "end"))
        everything = (*(items if n == 0 else ()), *flow.items.get(n, ()), *foot_words)
        pages.append(Page(width, height, (Part(everything),), tuple(shown) if n == 0 else ()))
    return pages


def _head(content: Content, inside: Box, items: list[Item]) -> float:
    """Set name, variant, date and what the piece is; give where the rest begins."""
    room = inside.width - 45.0
    size = min(6.0, max(4.2, 6.0 * room / width_of(content.project or " ", 6.0, True)))
    name = fitted(content.project, size, room, True)
    items.append(Text((inside.left, inside.top - 4.6), name, size, _LAYER, bold=True))
    items.append(Text((inside.right, inside.top - 4.6), f"{words.TITLE} · {content.date}", 2.8, _LAYER, "end"))
    y = inside.top - 8.6
    about = [words.variant_line(content.variant), *content.about]
    for line in broken(" ".join(about), _ABOUT_MM, inside.width):
        items.append(Text((inside.left, y - ASCENT * _ABOUT_MM + 1.0), line, _ABOUT_MM, _LAYER))
        y -= LEADING * _ABOUT_MM
    return y - 1.0


def _rows(count: int) -> list[range]:
    """Return the numbers of the steps row by row: two rows, or one where there are few."""
    columns = count if count <= 4 else (count + 1) // 2
    return [range(start, min(start + columns, count)) for start in range(0, count, columns)]


def _strip(pictures: SheetPictures, room: Box, high: float, items: list[Item], shown: list[Picture]) -> float:
    """Set the steps side by side with their captions; give where they end."""
    gap = 2.0
    rows = _rows(len(pictures.steps))
    cell = (room.width - (len(rows[0]) - 1) * gap) / len(rows[0])
    y = room.top
    for row in rows:
        lowest = y
        for k, n in enumerate(row):
            step = pictures.steps[n]
            left = room.left + k * (cell + gap)
            tall = min(cell / step.aspect, high)
            picture, over = framed(step, Box(left, y - tall, left + cell, y), n + 1)
            shown.append(picture)
            items.extend(over)
            base = y - tall - 0.8
            for line in broken(SHORT[step.name], _CAPTION_MM, cell):
                at = (left + cell / 2.0, base - ASCENT * _CAPTION_MM)
                items.append(Text(at, line, _CAPTION_MM, _LAYER, "middle"))
                base -= LEADING * _CAPTION_MM
            lowest = min(lowest, base)
        y = lowest - 1.6
    return y


# ---------------------------------------------------------------- sections


def _wood(flow: Flow, content: Content) -> None:
    flow.heading(words.BLANK)
    flow.words(words.BOARDS)
    for board in content.boards[:_MOST_BOARDS]:
        flow.words(board.text, mark=board.mark)
    if len(content.boards) > _MOST_BOARDS:
        flow.words(words.more_boards(len(content.boards) - _MOST_BOARDS), mark="…")
    flow.words(content.wood_total)
    for n, stage in enumerate(content.stages, start=1):
        flow.words(f"{stage.title}. {stage.words}", mark=f"{n}.")
    flow.words(content.set_words)


def _set_up(flow: Flow, content: Content) -> None:
    flow.heading(words.SET_UP)
    _bullets(flow, content.set_up)


def _wrong(flow: Flow, content: Content) -> None:
    if content.findings:
        flow.heading(words.FINDINGS)
        for finding in content.findings:
            flow.words(finding.text, mark=finding.mark)
    flow.heading(words.WRONG)
    _bullets(flow, content.wrong)


def _cautions(flow: Flow, content: Content) -> None:
    flow.heading(words.CAUTIONS)
    _bullets(flow, content.cautions)


def _bullets(flow: Flow, texts: tuple[str, ...]) -> None:
    for text in texts:
        flow.words(text, mark="•", indent=1.1)


Section = Callable[[Flow, Content], None]
