"""The fuller handout for a class: large print, a step at a time, room for notes, the blade page."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping

from geometry.drawing.items import Fill, Ink, Item, Look, Stroke, Text, grey
from geometry.drawing.page import Page, Part, Picture
from geometry.drawing.placing import Box, box_of_points
from geometry.drawing.shapes import polyline, rectangle
from geometry.drawing.words import ASCENT, fitted, width_of
from geometry.glue_up_parts import Stage
from geometry.sheet import words
from geometry.sheet.content import Content, Marked
from geometry.sheet.flow import LAYER, Column, Flow
from geometry.sheet.pictures import SheetPictures
from geometry.sheet.step_frames import fitting, framed
from geometry.sheet.steps_words import LONG, LONG_TITLE
from geometry.templates.layers import FRAME

MARGIN_MM = 16.0
TYPE_MM = 4.4
"""12.5 points: large print for people who read it standing up."""

_NOTE_SPACING_MM = 9.0
_OUTLINE = Look(0.2, grey(0.2))


def handout(
    content: Content, pictures: SheetPictures, paper: tuple[float, float], colours: Mapping[str, Ink]
) -> list[Page]:
    """Return the pages of a handout.

    Parameters
    ----------
    content, pictures : what it says and shows
    paper : width and height
    colours : of the woods by name, for the drawings of the glue-up
    """
    width, height = paper
    inside = Box(MARGIN_MM, MARGIN_MM + 4.0, width - MARGIN_MM, height - MARGIN_MM - 4.0)

    def columns() -> Iterator[Column]:
        for page in itertools.count():
            yield Column(page, inside)

    flow = Flow(columns(), TYPE_MM)
    shown: dict[int, list[Picture]] = {}
    _cover(flow, content, pictures, shown)
    _wood(flow, content, colours)
    _section(flow, words.SET_UP, [Marked(t) for t in content.set_up], new_page=True)
    _steps(flow, pictures, shown)
    _section(flow, words.WRONG, [Marked(t) for t in content.wrong], new_page=True)
    if content.findings:
        _section(flow, words.FINDINGS, list(content.findings), new_page=False)
    _section(flow, words.CAUTIONS, [Marked(t) for t in content.cautions], new_page=True)
    _blades(flow, content)
    _notes(flow)
    count = max(flow.items) + 1
    pages = []
    for n in range(count):
        items = (*flow.items.get(n, ()), *_edge(content, paper, n, count))
        pages.append(Page(width, height, (Part(items),), tuple(shown.get(n, ()))))
    return pages


def _edge(content: Content, paper: tuple[float, float], n: int, count: int) -> list[Item]:
    """Return the lines at the head and foot of a page."""
    width, height = paper
    name = f"{content.project} · {words.VARIANT} {content.variant} · {content.date}"
    head = Text((MARGIN_MM, height - MARGIN_MM), fitted(name, 3.0, width - 2.0 * MARGIN_MM), 3.0, LAYER, ink=grey(0.3))
    foot = Text((width - MARGIN_MM, MARGIN_MM - 3.0), words.page_of(n + 1, count), 3.0, LAYER, "end", ink=grey(0.3))
    return [foot] if n == 0 else [head, foot]


def _cover(flow: Flow, content: Content, pictures: SheetPictures, shown: dict[int, list[Picture]]) -> None:
    flow.words(content.project, bold=True, scale=2.0)
    flow.words(f"{words.TITLE} · {words.VARIANT} {content.variant} · {content.date}")
    high = min(150.0, flow.box.width / pictures.portrait_aspect)
    at = fitting(pictures.portrait_aspect, flow.take(high))
    shown.setdefault(flow.page, []).append(Picture(pictures.portrait, at))
    flow.put([Stroke(rectangle(at.left, at.bottom, at.width, at.height), LAYER, FRAME)])
    flow.gap(1.0)
    for text in (*content.about, content.set_words):
        flow.words(text)


def _section(flow: Flow, title: str, texts: list[Marked], *, new_page: bool) -> None:
    if new_page:
        flow.next_column()
    flow.heading(title)
    for marked in texts:
        flow.words(marked.text, mark=marked.mark, indent=1.2)


def _wood(flow: Flow, content: Content, colours: Mapping[str, Ink]) -> None:
    flow.next_column()
    flow.heading(words.BLANK)
    flow.words(words.BOARDS)
    for board in content.boards:
        flow.words(board.text, mark=board.mark)
    flow.words(content.wood_total)
    for n, stage in enumerate(content.stages, start=1):
        high = min(52.0, _natural_height(stage, flow.box.width))
        flow.need(high + 4.0 * TYPE_MM)
        flow.words(stage.title, mark=f"{n}.", bold=True)
        flow.words(stage.words)
        if stage.shapes:
            _drawn(flow, stage, flow.take(high), colours)
            flow.gap(0.6)


def _natural_height(stage: Stage, width: float) -> float:
    if not stage.shapes:
        return 0.0
    box = box_of_points([p for shape in stage.shapes for p in shape.outline])
    return min(1.0, width / max(box.width, 1e-6)) * box.height + 2.0


def _drawn(flow: Flow, stage: Stage, room: Box, colours: Mapping[str, Ink]) -> None:
    """Draw a stage's shapes into a box, with their labels where they have room."""
    box = box_of_points([p for shape in stage.shapes for p in shape.outline])
    scale = min(room.width / max(box.width, 1e-6), (room.height - 2.0) / max(box.height, 1e-6))
    dx = room.middle[0] - scale * box.middle[0]
    dy = room.middle[1] - scale * box.middle[1]
    for shape in stage.shapes:
        path = polyline([(dx + scale * x, dy + scale * y) for x, y in shape.outline], closed=True)
        items: list[Item] = []
        if shape.species is not None:
            items.append(Fill(path, LAYER, _lightened(colours.get(shape.species, grey(0.8)))))
        items.append(Stroke(path, LAYER, _OUTLINE))
        here = box_of_points(path.points)
        size = 2.8
        if len(shape.outline) == 4 and shape.label:
            x, y = here.middle
            if width_of(shape.label, size) < here.width - 1.0 and here.height > 1.3 * size:
                items.append(Text((x, y - 0.5 * ASCENT * size), shape.label, size, LAYER, "middle"))
            elif width_of(shape.label, size) < here.height - 1.0 and here.width > 1.3 * size:
                items.append(Text((x + 0.5 * ASCENT * size, y), shape.label, size, LAYER, "middle", turn=90.0))
        flow.put(items)


def _lightened(ink: Ink) -> Ink:
    """Return a colour on which black words can be read."""
    red, green, blue = (0.45 * v + 0.55 for v in ink)
    return (red, green, blue)


def _steps(flow: Flow, pictures: SheetPictures, shown: dict[int, list[Picture]]) -> None:
    """Set two steps to a page: the picture on the left, words and lines for notes on the right."""
    for n, step in enumerate(pictures.steps, start=1):
        if n % 2:
            flow.next_column()
        if n == 1:
            flow.heading(words.STEPS)
        high = (flow.box.height - 14.0) / 2.0 - 4.0
        room = flow.take(high)
        wide = min(0.42 * room.width, high * step.aspect)
        picture, over = framed(step, Box(room.left, room.bottom, room.left + wide, room.top), n)
        shown.setdefault(flow.page, []).append(picture)
        flow.put(over)
        side = Flow([Column(flow.page, Box(room.left + wide + 6.0, room.bottom, room.right, room.top))], TYPE_MM)
        side.heading(LONG_TITLE[step.name], scale=1.15)
        for text in LONG[step.name]:
            side.words(text)
        left = int((side.y - room.bottom - 2.0) // _NOTE_SPACING_MM)
        side.ruled(max(0, left), _NOTE_SPACING_MM)
        for page, items in side.items.items():
            flow.items.setdefault(page, []).extend(items)
        flow.gap(1.4)


def _blades(flow: Flow, content: Content) -> None:
    flow.next_column()
    flow.heading(words.BLADES)
    size, flow.size = flow.size, 0.86 * flow.size
    flow.table(words.BLADE_HEADS, content.blades, (0.2, 0.2, 0.2, 0.4))
    flow.size = size
    flow.gap(1.0)
    flow.words(words.BLADE_TABLE_NOTE)
    flow.words(words.BLADE_MEASURED)


def _notes(flow: Flow) -> None:
    flow.next_column()
    flow.heading(words.NOTES)
    flow.gap(1.0)
    flow.ruled(int((flow.y - flow.box.bottom) // _NOTE_SPACING_MM), _NOTE_SPACING_MM)
