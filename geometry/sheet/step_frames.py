"""A picture of a step in a frame, with what is drawn over it: lines, tape, the quarters' numbers."""

from __future__ import annotations

from geometry.drawing.items import WHITE, Fill, Item, Look, Point, Stroke, Text, grey
from geometry.drawing.page import Picture
from geometry.drawing.placing import Box
from geometry.drawing.shapes import circle, polyline, rectangle
from geometry.sheet.pictures import StepPicture

LAYER = "pictures"
_FRAME = Look(0.15, grey(0.5))
_TAPE = grey(0.93)
_LARGEST_DISC = 0.09


def fitting(aspect: float, box: Box) -> Box:
    """Return the largest box of an aspect in the middle of another."""
    width = min(box.width, box.height * aspect)
    height = width / aspect
    x, y = box.middle
    return Box(x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0)


def framed(step: StepPicture, box: Box, number: int) -> tuple[Picture, list[Item]]:
    """Return a step's picture, as large as a box lets it be, and what lies over it; ``number`` in its corner."""
    at = fitting(step.aspect, box)

    def put(p: Point) -> Point:
        return (at.left + p[0] * at.width, at.bottom + p[1] * at.height)

    out: list[Item] = []
    for tape in step.tapes:
        path = polyline([put(p) for p in tape], closed=True)
        out += [Fill(path, LAYER, _TAPE), Stroke(path, LAYER, _FRAME)]
    fine = Look(max(0.2, 0.006 * at.width))
    out += [Stroke(polyline([put(p) for p in line]), LAYER, fine) for line in step.lines if len(line) > 1]
    out += _numbered(step, at)
    out.append(Stroke(rectangle(at.left, at.bottom, at.width, at.height), LAYER, _FRAME))
    em = min(5.0, 0.14 * at.width)
    wide = 1.3 * em if number < 10 else 1.8 * em
    out.append(Fill(rectangle(at.left, at.bottom, wide, 1.5 * em), LAYER, WHITE))
    out.append(Text((at.left + wide / 2.0, at.bottom + 0.4 * em), str(number), em, LAYER, "middle", bold=True))
    return Picture(step.image, at), out


def _numbered(step: StepPicture, at: Box) -> list[Item]:
    """Return the quarters' numbers on discs, drawn apart a little where they would lie on one another."""
    places = [(at.left + x * at.width, at.bottom + y * at.height) for _, (x, y) in step.numbers]
    if not places:
        return []
    radius = min(2.4, 0.5 * _LARGEST_DISC * at.width + 0.5)
    inside = at.grown(-1.1 * radius)
    places = _apart(places, 2.2 * radius)
    places = [(min(max(x, inside.left), inside.right), min(max(y, inside.bottom), inside.top)) for x, y in places]
    out: list[Item] = []
    for (text, _), (x, y) in zip(step.numbers, places, strict=True):
        disc = circle((x, y), radius)
        out += [Fill(disc, LAYER, WHITE), Stroke(disc, LAYER, _FRAME)]
        out.append(Text((x, y - 0.5 * radius), text, 1.4 * radius, LAYER, "middle", bold=True))
    return out


def _apart(places: list[Point], least: float) -> list[Point]:
    """Return places moved apart until none is nearer to another than ``least``."""
    moved = [list(p) for p in places]
    for _ in range(40):
        for i in range(len(moved)):
            for j in range(i):
                dx, dy = moved[i][0] - moved[j][0], moved[i][1] - moved[j][1]
                away = (dx * dx + dy * dy) ** 0.5
                if away < least:
                    if away < 1e-6:
                        dx, dy, away = 1.0, 0.0, 1.0
                    push = (least - away) / 2.0 + 1e-3
                    for k, d in ((0, dx), (1, dy)):
                        moved[i][k] += push * d / away
                        moved[j][k] -= push * d / away
    return [(x, y) for x, y in moved]
