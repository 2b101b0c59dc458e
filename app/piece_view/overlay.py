"""What is drawn over the picture of the piece: numbers, the level line, words."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontInfo, QFontMetricsF, QImage, QPainter, QPainterPath, QPen

from app.look import Look, faded, mixed, palette_of, quarter_colour, small_font
from app.severity import paint_severity
from geometry.solids import BoolArray, FloatArray

_DISC = 11.0  # radius of a number's disc
_APART = 25.0  # least distance between two discs
_INK_ON_DISC = QColor("#17130f")  # reads on all four colours


def greyed(picture: QImage, look: Look) -> QImage:
    """Return the picture without colour and with little contrast, in tones of the paper."""
    tones = picture.convertToFormat(QImage.Format.Format_Grayscale8)
    out = QImage(tones.constBits(), tones.width(), tones.height(), tones.bytesPerLine(), QImage.Format.Format_Indexed8)
    dark, light = (look.window, look.ink) if look.is_dark else (mixed(look.window, look.ink, 0.75), look.window)
    out.setColorTable([mixed(dark, light, level / 255.0).rgb() for level in range(256)])
    return out.convertToFormat(QImage.Format.Format_RGB32)


def paint_numbers(painter: QPainter, look: Look, ends: dict[int, FloatArray]) -> None:
    """Paint each quarter's number on a disc of its colour, led to the middle of its top end.

    Parameters
    ----------
    ends : by number, (3,) the place in the widget's measure and the depth in the picture
    """
    if not ends:
        return
    numbers = sorted(ends, key=lambda number: -ends[number][2])  # the nearest is painted last
    feet = np.array([ends[number][:2] for number in numbers])
    discs = _apart(feet - [0.0, 0.6 * _DISC])
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for foot, disc in zip(feet, discs, strict=True):
        if np.hypot(*(foot - disc)) > _DISC:
            painter.setPen(QPen(look.ink, 1.2))
            painter.drawLine(QPointF(*foot), QPointF(*disc))
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look.ink)
            painter.drawEllipse(QPointF(*foot), 2.2, 2.2)
    font = QFont(painter.font())
    font.setPixelSize(14)
    font.setBold(True)
    painter.setFont(font)
    for number, disc in zip(numbers, discs, strict=True):
        painter.setPen(QPen(look.paper, 1.5))
        painter.setBrush(quarter_colour(number))
        painter.drawEllipse(QPointF(*disc), _DISC, _DISC)
        painter.setPen(_INK_ON_DISC)
        box = QRectF(disc[0] - _DISC, disc[1] - _DISC, 2.0 * _DISC, 2.0 * _DISC)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, str(number))
    painter.restore()


def _apart(places: FloatArray) -> FloatArray:
    """Push places (n, 2) apart until no two discs overlap; what is further back goes up."""
    out = places.copy()
    for _ in range(40):
        moved = False
        for i in range(len(out)):
            for j in range(i + 1, len(out)):
                gap = out[j] - out[i]
                distance = float(np.hypot(*gap))
                if distance >= _APART:
                    continue
                # Almost on one spot: the nearer one goes down, beside the wood it belongs to.
                way = gap / distance if distance > 8.0 else np.array([0.0, 1.0])
                push = (_APART - distance + 0.1) / 2.0 * way
                out[i] -= push
                out[j] += push
                moved = True
        if not moved:
            break
    out[:, 1] -= max(0.0, float((out[:, 1] - places[:, 1]).max()))  # never further down onto the piece
    out[:, 1] += max(0.0, _DISC + 3.0 - float(out[:, 1].min()))  # nor out of the picture
    return out


def paint_level(painter: QPainter, look: Look, ends: FloatArray, seen: BoolArray, words: str = "") -> None:
    """Paint the level line where it can be seen, with its height beside it.

    Parameters
    ----------
    ends : (n, 2, 2) short pieces of the line, in the widget's measure
    seen : (n,)
    """
    if not seen.any():
        return
    path = QPainterPath()
    for start, end in ends[seen]:
        path.moveTo(*start)
        path.lineTo(*end)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(faded(look.paper, 0.75), 3.6, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
    painter.drawPath(path)
    painter.setPen(QPen(look.accent, 1.8, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
    painter.drawPath(path)
    if words:
        shown = ends[seen].reshape(-1, 2)
        at = shown[shown[:, 0].argmax()]
        painter.setFont(small_font(painter.font()))
        width = QFontMetricsF(painter.font()).horizontalAdvance(words)
        room = painter.viewport().width() / painter.device().devicePixelRatioF() - width - 6.0
        place = QPointF(min(float(at[0]) + 8.0, room), float(at[1]) + 4.0)
        outline = QPainterPath()
        outline.addText(place, painter.font(), words)
        painter.strokePath(outline, QPen(faded(look.paper, 0.85), 3.0))
        painter.fillPath(outline, look.accent)
    painter.restore()


def pieces_of(ends: FloatArray, longest: float) -> FloatArray:
    """Cut segments (n, 2, 3) into pieces no longer than that, so that each is either seen or hidden."""
    length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    count = np.maximum(1, np.ceil(length / longest)).astype(np.int64)
    which = np.repeat(np.arange(len(ends)), count)
    step = np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count)
    low, high = (step / count[which])[:, None], ((step + 1) / count[which])[:, None]
    run = ends[which, 1] - ends[which, 0]
    return np.stack([ends[which, 0] + low * run, ends[which, 0] + high * run], axis=1)


def paint_caption(painter: QPainter, look: Look, words: str, width: float) -> None:
    """Paint a variant's name in the upper left corner."""
    font = QFont(painter.font())
    font.setBold(True)
    painter.save()
    painter.setFont(font)
    painter.setPen(look.ink)
    metrics = QFontMetricsF(font)
    short = metrics.elidedText(words, Qt.TextElideMode.ElideRight, width - 28.0)
    painter.drawText(QPointF(14.0, 14.0 + metrics.ascent()), short)
    painter.restore()


def paint_hint(painter: QPainter, look: Look, words: str, width: float) -> None:
    """Paint a few faint words in the upper right corner."""
    painter.save()
    painter.setFont(small_font(painter.font()))
    painter.setPen(look.faint_ink)
    painter.drawText(QRectF(14.0, 14.0, width - 28.0, 24.0), Qt.AlignmentFlag.AlignRight, words)
    painter.restore()


def paint_banner(painter: QPainter, look: Look, sentence: str, width: float, height: float) -> None:
    """Paint the reason why the piece is grey, calmly, on a slip of paper at the lower edge of the widget."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    font = painter.font()
    most = min(width - 24.0, 44.0 * QFontInfo(font).pixelSize())
    flags = int(Qt.TextFlag.TextWordWrap) | int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
    text = QFontMetricsF(font).boundingRect(QRectF(0.0, 0.0, most - 54.0, 10_000.0), flags, sentence)
    wide, high = text.width() + 54.0, max(text.height(), 18.0) + 20.0
    slip = QRectF((width - wide) / 2.0, height - high - 12.0, wide, high)
    painter.setPen(QPen(look.rule, 1.0))
    painter.setBrush(faded(look.paper, 0.96))
    painter.drawRoundedRect(slip, 6.0, 6.0)
    first_line = slip.top() + 10.0 + QFontMetricsF(font).height() / 2.0
    paint_severity(painter, "stop", QRectF(slip.left() + 14.0, first_line - 6.5, 13.0, 13.0), palette_of(look))
    painter.setPen(look.ink)
    painter.drawText(slip.adjusted(40.0, 10.0, -10.0, -8.0), flags, sentence)
    painter.restore()


def paint_words(painter: QPainter, look: Look, words: str, box: QRectF) -> None:
    """Paint words in the middle of a view that has nothing else to show."""
    painter.save()
    painter.setPen(look.faint_ink)
    flags = int(Qt.TextFlag.TextWordWrap) | int(Qt.AlignmentFlag.AlignCenter)
    painter.drawText(box, flags, words)
    painter.restore()


def paint_focus(painter: QPainter, look: Look, box: QRectF) -> None:
    """Paint the frame that shows where the keys go."""
    painter.save()
    painter.setPen(QPen(look.accent, 2.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box.adjusted(1.0, 1.0, -1.0, -1.0))
    painter.restore()
