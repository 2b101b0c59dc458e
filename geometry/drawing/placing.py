"""Boxes round items, and items moved, turned and scaled as a whole. Exact: a cubic stays the same cubic."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from geometry.drawing.items import Fill, Item, Path, Point, Step, Stroke, Text
from geometry.drawing.words import ASCENT, DESCENT, width_of


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle from its lower left to its upper right corner."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Its width."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Its height."""
        return self.top - self.bottom

    @property
    def middle(self) -> Point:
        """Its centre."""
        return ((self.left + self.right) / 2.0, (self.bottom + self.top) / 2.0)

    def grown(self, by: float) -> Box:
        """Return the box larger by that much on every side."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def meets(self, other: Box) -> bool:
        """Return True when the boxes share more than an edge."""
        return (
            self.left < other.right and other.left < self.right and self.bottom < other.top and other.bottom < self.top
        )

    def holds(self, other: Box, slack: float = 0.0) -> bool:
        """Return True when the other box lies within this one, but for the slack."""
        return (
            other.left >= self.left - slack
            and other.right <= self.right + slack
            and other.bottom >= self.bottom - slack
            and other.top <= self.top + slack
        )


def box_round(boxes: Iterable[Box]) -> Box:
    """Return the least box round some boxes, of which there must be one."""
    every = list(boxes)
    return Box(
        min(b.left for b in every), min(b.bottom for b in every), max(b.right for b in every), max(b.top for b in every)
    )


def box_of_points(points: Iterable[Point]) -> Box:
    """Return the least box round points."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def text_corners(item: Text) -> list[Point]:
    """Return the four corners of the rectangle that words stand in, turned with them."""
    width = width_of(item.text, item.size, item.bold)
    left = {"start": 0.0, "middle": -width / 2.0, "end": -width}[item.anchor]
    low, high = -DESCENT * item.size, ASCENT * item.size
    move = Move.turned(item.turn).then(Move(dx=item.at[0], dy=item.at[1]))
    corners = ((left, low), (left + width, low), (left + width, high), (left, high))
    return [move.point(p) for p in corners]


def box_of(item: Item) -> Box:
    """Return a box that holds an item: the hull of a path's points and half its stroke, or the words' rectangle."""
    match item:
        case Text():
            return box_of_points(text_corners(item))
        case Stroke():
            return box_of_points(item.path.points).grown(item.look.width / 2.0)
        case Fill():
            return box_of_points(item.path.points)


def bounds_of(items: Iterable[Item]) -> Box:
    """Return a box that holds all items, of which there must be one."""
    return box_round(box_of(item) for item in items)


@dataclass(frozen=True, slots=True)
class Move:
    """Scale, then turn (degrees, counter-clockwise) about the origin, then shift."""

    scale: float = 1.0
    turn: float = 0.0
    dx: float = 0.0
    dy: float = 0.0

    @staticmethod
    def turned(degrees: float) -> Move:
        """Return a turn about the origin."""
        return Move(turn=degrees)

    def then(self, other: Move) -> Move:
        """Return this move followed by another."""
        dx, dy = other.point((self.dx, self.dy))
        return Move(self.scale * other.scale, self.turn + other.turn, dx, dy)

    def point(self, p: Point) -> Point:
        """Return where a point comes to."""
        if self.turn == 0.0:
            return (self.scale * p[0] + self.dx, self.scale * p[1] + self.dy)
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        x, y = self.scale * p[0], self.scale * p[1]
        return (c * x - s * y + self.dx, s * x + c * y + self.dy)

    def path(self, path: Path) -> Path:
        """Return where a path comes to."""
        steps: list[Step] = []
        for step in path.steps:
            if len(step) == 1:
                steps.append((self.point(step[0]),))
            else:
                steps.append((self.point(step[0]), self.point(step[1]), self.point(step[2])))
        return Path(self.point(path.start), tuple(steps), path.closed)


def placed(items: Iterable[Item], move: Move) -> tuple[Item, ...]:
    """Return items moved; words and strokes are scaled with them."""
    out: list[Item] = []
    for item in items:
        match item:
            case Text():
                out.append(
                    replace(item, at=move.point(item.at), turn=item.turn + move.turn, size=item.size * move.scale)
                )
            case Stroke():
                look = item.look
                if move.scale != 1.0:
                    dash = tuple(d * move.scale for d in look.dash)
                    look = replace(look, width=look.width * move.scale, dash=dash)
                out.append(replace(item, path=move.path(item.path), look=look))
            case Fill():
                out.append(replace(item, path=move.path(item.path)))
    return tuple(out)
