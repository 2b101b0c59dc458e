"""Marks on the seams of the glued piece: where borders of the pattern meet, where they step, where they stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from app.look import Look, faded, palette_of, small_font
from app.severity import severity_colour
from geometry.lineup import Seam
from geometry.solids import BoolArray, FloatArray

MarkKind = Literal["meets", "steps", "stops"]

_DOT, _RING, _BAR = 3.0, 4.5, 4.0  # px

_LEGEND: Final[tuple[tuple[MarkKind, str], ...]] = (("meets", "meets"), ("steps", "steps"), ("stops", "stops"))


@dataclass(frozen=True, slots=True, eq=False)
class SeamMarks:
    """All marks of a piece.

    Attributes
    ----------
    kinds : of each mark
    ends : (n, 2, 3) its two ends on the glued piece, in millimetres; both the same but where it steps
    """

    kinds: tuple[MarkKind, ...]
    ends: FloatArray


def seam_marks(seams: Sequence[Seam]) -> SeamMarks:
    """Return the marks of a piece's seams."""
    kinds: list[MarkKind] = []
    ends: list[tuple[tuple[float, float, float], tuple[float, float, float]]] = []
    for seam in seams:
        for pair in seam.pairs:
            low, high = seam.low[pair.low].on_piece, seam.high[pair.high].on_piece
            kinds.append("meets" if pair.meets else "steps")
            ends.append((low, low) if pair.meets else (low, high))
        for crossing in seam.stopping:
            kinds.append("stops")
            ends.append((crossing.on_piece, crossing.on_piece))
    return SeamMarks(tuple(kinds), np.array(ends, dtype=np.float64).reshape(-1, 2, 3))


def paint_seam_marks(painter: QPainter, look: Look, marks: SeamMarks, flat: FloatArray, seen: BoolArray) -> None:
    """Paint the marks that can be seen.

    Parameters
    ----------
    marks : what is marked
    flat : (n, 2, 2) their ends in the widget's measure
    seen : (n,)
    """
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    # what is well goes below what is not
    for kind in ("meets", "stops", "steps"):
        for k in np.flatnonzero(seen):
            if marks.kinds[k] == kind:
                _paint(painter, look, kind, QPointF(*flat[k, 0]), QPointF(*flat[k, 1]))
    painter.restore()


def _paint(painter: QPainter, look: Look, kind: str, a: QPointF, b: QPointF) -> None:
    caution = severity_colour("caution", palette_of(look))
    if kind == "meets":
        painter.setPen(QPen(faded(look.ink, 0.8), 1.0))
        painter.setBrush(look.paper)
        painter.drawEllipse(a, _DOT, _DOT)
    elif kind == "stops":
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for colour, wide in ((faded(look.paper, 0.9), 4.5), (caution, 2.2)):
            painter.setPen(QPen(colour, wide))
            painter.drawEllipse(a, _RING, _RING)
    else:
        along = b - a
        if along.manhattanLength() < _BAR:  # so small a step is drawn as large as can be seen
            b = a + QPointF(0.0, _BAR)
        for colour, wide in ((faded(look.paper, 0.95), _BAR + 3.0), (caution, _BAR)):
            painter.setPen(QPen(colour, wide, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
            painter.drawLine(a, b)


def paint_legend(painter: QPainter, look: Look, marks: SeamMarks, box: QRectF) -> None:
    """Say in the lower left corner what the marks mean, with how many there are of each."""
    if not marks.kinds:
        return
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(small_font(painter.font()))
    metrics = QFontMetricsF(painter.font())
    line = metrics.height() + 4.0
    shown = [(kind, word) for kind, word in _LEGEND if kind in marks.kinds]
    top = box.bottom() - 8.0 - line * len(shown)
    words = [f"{word}: {marks.kinds.count(kind)}" for kind, word in shown]
    wide = max(metrics.horizontalAdvance(w) for w in words) + 34.0
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(faded(look.paper, 0.85))
    painter.drawRoundedRect(QRectF(box.left() + 8.0, top - 3.0, wide, line * len(shown) + 6.0), 4.0, 4.0)
    for i, ((kind, _), text) in enumerate(zip(shown, words, strict=True)):
        middle = top + (i + 0.5) * line
        half = 3.0 if kind == "steps" else 0.0
        at = QPointF(box.left() + 20.0, middle - half)
        _paint(painter, look, kind, at, at + QPointF(0.0, 2.0 * half))
        painter.setPen(look.ink)
        painter.drawText(QPointF(box.left() + 32.0, middle + metrics.ascent() / 2.0 - 1.0), text)
    painter.restore()
