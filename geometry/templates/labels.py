"""Finding room for words and marks on a template, clear of the lines and of one another."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.drawing.items import BLACK, Fill, Ink, Item, Look, Point, Stroke, Text
from geometry.drawing.placing import Box
from geometry.drawing.shapes import arrow, segment
from geometry.drawing.words import ASCENT, DESCENT, width_of

SMALLEST_TYPE_MM = 1.9
"""Smaller than this (5.4 pt) nobody reads at the bench."""

_SHRINKS = (1.0, 0.85, 0.7, 0.55, 0.45)
_MOST_ROWS, _ACROSS = 320, 11


class Room:
    """A plane region in which marks are placed one after the other, none on another or on what is to be kept clear."""

    def __init__(self, region: BaseGeometry, keep_clear: Iterable[BaseGeometry]) -> None:
        """Begin with an empty region.

        Parameters
        ----------
        region : where marks may stand
        keep_clear : what they must not touch
        """
        self._region = region
        self._taken = shapely.union_all([g for g in keep_clear if not g.is_empty])
        shapely.prepare(self._region)

    def take(self, shape: BaseGeometry) -> None:
        """Keep a shape clear of all that follows."""
        self._taken = shapely.union(self._taken, shape)

    def is_free(self, box: Box) -> bool:
        """Return True when nothing stands in a box yet; it may reach out of the region."""
        return not self._taken.intersects(shapely.box(box.left, box.bottom, box.right, box.top))

    def find(self, width: float, height: float, near: Point, *, gap: float = 0.8) -> Box | None:
        """Return the free box of a size whose middle is nearest to a place, and take it; None where there is none."""
        if self._region.is_empty:
            return None
        left, bottom, right, top = self._region.bounds
        if width > right - left or height > top - bottom:
            return None
        us = np.unique(
            np.append(np.linspace(left, right - width, _ACROSS), np.clip(near[0] - width / 2.0, left, right - width))
        )
        step = max(1.0, (top - bottom) / _MOST_ROWS)
        zs = np.append(np.arange(bottom, top - height, step), np.clip(near[1] - height / 2.0, bottom, top - height))
        u, z = (grid.ravel() for grid in np.meshgrid(us, zs))
        # across counts less than along: a word that moved to the other side of the line is still where one looks
        far = np.hypot(0.5 * (u + width / 2.0 - near[0]), z + height / 2.0 - near[1])
        order = np.argsort(far, kind="stable")
        u, z = u[order], z[order]
        shapely.prepare(self._taken)
        for start in range(0, len(u), 256):  # the nearest first: mostly the first handful will do
            some = slice(start, start + 256)
            boxes = shapely.box(u[some], z[some], u[some] + width, z[some] + height)
            around = shapely.box(u[some] - gap, z[some] - gap, u[some] + width + gap, z[some] + height + gap)
            good = shapely.contains(self._region, boxes) & ~shapely.intersects(self._taken, around)
            hits = np.flatnonzero(good)
            if len(hits):
                k = start + int(hits[0])
                box = Box(float(u[k]), float(z[k]), float(u[k]) + width, float(z[k]) + height)
                self.take(shapely.box(box.left, box.bottom, box.right, box.top))
                return box
        return None

    def words(
        self,
        text: str,
        size: float,
        near: Point,
        layer: str,
        *,
        upright: bool = False,
        bold: bool = False,
        ink: Ink = BLACK,
    ) -> list[Item]:
        """Return words placed near a place, smaller where need be, or nothing where they fit nowhere.

        They run up the region, readable from the right, or across it where ``upright``.
        """
        for shrink in _SHRINKS:
            em = size * shrink
            if em < SMALLEST_TYPE_MM:
                break
            long, high = width_of(text, em, bold), (ASCENT + DESCENT) * em
            box = self.find(long, high, near) if upright else self.find(high, long, near)
            if box is None:
                continue
            if upright:
                return [Text((box.left, box.bottom + DESCENT * em), text, em, layer, bold=bold, ink=ink)]
            return [Text((box.right - DESCENT * em, box.bottom), text, em, layer, turn=90.0, bold=bold, ink=ink)]
        return []

    def up_arrow(self, word: str, near: Point, layer: str) -> list[Item]:
        """Return an arrow that points up, with its word below, near a place; nothing where it fits nowhere."""
        for scale in (1.0, 0.75, 0.55, 0.4):
            em = 5.0 * scale
            width, height = max(6.0 * scale, width_of(word, em, True)), 26.0 * scale
            box = self.find(width, height, near) if em >= SMALLEST_TYPE_MM else None
            if box is None:
                continue
            x = box.middle[0]
            shaft, head = arrow((x, box.bottom + 1.1 * em), (x, box.top), 5.0 * scale, 8.0 * scale)
            return [
                Stroke(shaft, layer, Look(1.2 * scale)),
                Fill(head, layer),
                Text((x, box.bottom + DESCENT * em), word, em, layer, "middle", bold=True),
            ]
        return []

    def grain_arrow(self, word: str, near: Point, layer: str) -> list[Item]:
        """Return an arrow with two heads along the grain, and its word beside it; nothing where it fits nowhere."""
        for scale in (1.0, 0.8, 0.65):
            em = 3.0 * scale
            width, height = (ASCENT + DESCENT) * em + 2.5 * scale, 34.0 * scale
            box = self.find(width, height, near) if em >= SMALLEST_TYPE_MM else None
            if box is None:
                continue
            x, middle = box.right - 1.2 * scale, box.middle[1]
            look = Look(0.3)
            out: list[Item] = []
            for end in (box.top, box.bottom):
                shaft, head = arrow((x, middle), (x, end), 2.0 * scale, 4.0 * scale)
                out += [Stroke(shaft, layer, look), Fill(head, layer)]
            out.append(Text((box.left + ASCENT * em, middle), word, em, layer, "middle", turn=90.0))
            return out
        return []


def number_in(number: int, box: Box, layer: str, most: float = 12.0) -> list[Item]:
    """Return a quarter's number in the middle of a box, as large as it may be; nothing where the box is too small."""
    em = min(most, 0.6 * box.height, 0.8 * box.width)
    if em < SMALLEST_TYPE_MM:
        return []
    x, y = box.middle
    return [Text((x, y - 0.36 * em), str(number), em, layer, "middle", bold=True)]


def rule(a: Point, b: Point, layer: str, look: Look) -> Stroke:
    """Return one straight stroke."""
    return Stroke(segment(a, b), layer, look)
