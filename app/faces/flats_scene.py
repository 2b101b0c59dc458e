"""What is painted flats together over the halves: the waste and its numbers, the trims, the quarters' numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPen

from app.faces.arrangement import FaceMap
from app.faces.flats import HALVES, DrawnFlats, DrawnTrim
from app.faces.marks import paint_osculating_arc
from app.faces.strokes import Inks, paint_tight_bends
from app.faces.words import INVITE_TO_TRIM
from app.look import Look, faded, quarter_colour, small_font
from geometry.project import CutName

if TYPE_CHECKING:
    from app.faces.sheet import Sheet

_DISC = 9.0


def paint_flats(painter: QPainter, sheet: Sheet, cut: CutName, inks: Inks, look: Look) -> None:
    """Paint what is sawn off one direction, and the lines it is sawn along."""
    face, flats, box = sheet.arrangement.face(cut), sheet.flats[cut], sheet.arrangement.box(cut)
    painter.save()
    painter.setClipRect(box.adjusted(-1.0, -1.0, 1.0, 1.0))
    for i, trim in enumerate(flats.trims):
        _paint_waste(painter, trim, face, inks, look, sheet.selection.is_on(cut, i))
    _paint_quarters(painter, sheet, cut, face, flats, look)
    for i, trim in enumerate(flats.trims):
        if any(m.finding is None and m.is_of(cut, i) for m in sheet.marks):
            paint_osculating_arc(painter, trim.line, face, look)
        _paint_trim(painter, trim, face, inks, look)
        paint_tight_bends(painter, trim.line, face, inks, look)
    painter.restore()
    for trim in flats.trims:
        _paint_number(painter, trim, face, sheet.font(), look)


def _paint_waste(painter: QPainter, trim: DrawnTrim, face: FaceMap, inks: Inks, look: Look, chosen: bool) -> None:
    """Hatch what comes off, and show the kerf as the dust it becomes."""
    offcut, kerf = face.transform.map(trim.offcut), face.transform.map(trim.kerf)
    painter.fillPath(offcut, faded(look.paper, 0.62))
    painter.fillPath(offcut, QBrush(faded(look.accent if chosen else look.ink, 0.75), Qt.BrushStyle.BDiagPattern))
    painter.fillPath(kerf, faded(look.paper, 0.5))
    painter.fillPath(kerf, faded(look.ink, 0.55))


def _paint_trim(painter: QPainter, trim: DrawnTrim, face: FaceMap, inks: Inks, look: Look) -> None:
    """Paint the line of a trim: over wood as over paper it has to be seen; broken where it cannot be sawn."""
    path = face.transform.map(trim.line.path)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(faded(look.paper, 0.8), 4.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
    painter.drawPath(path)
    is_faulty = trim.sawn.fault is not None
    pen = QPen(inks.stop if is_faulty else look.ink, 2.0 if is_faulty else 1.5)
    if is_faulty:
        pen.setStyle(Qt.PenStyle.DashLine)
    painter.setPen(pen)
    painter.drawPath(path)


def _paint_number(painter: QPainter, trim: DrawnTrim, face: FaceMap, font: QFont, look: Look) -> None:
    if trim.number_at is None:
        return
    bold = small_font(font)
    bold.setBold(True)
    painter.setFont(bold)
    text, metrics = str(trim.sawn.number), QFontMetricsF(bold)
    wide, tall = max(metrics.horizontalAdvance(text) + 8.0, metrics.height()), metrics.height() + 1.0
    at = face.to_px(*trim.number_at)
    chip = QRectF(at.x() - wide / 2.0, at.y() - tall / 2.0, wide, tall)
    painter.setPen(QPen(look.ink, 1.0))
    painter.setBrush(look.paper)
    painter.drawRoundedRect(chip, 3.0, 3.0)
    painter.setPen(look.ink)
    painter.drawText(chip, Qt.AlignmentFlag.AlignCenter, text)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _paint_quarters(
    painter: QPainter, sheet: Sheet, cut: CutName, face: FaceMap, flats: DrawnFlats, look: Look
) -> None:
    """Number the halves near the top: the quarter that is seen, and smaller the one below it."""
    font = small_font(sheet.font())
    font.setBold(True)
    placed = sheet.arrangement
    top = min(placed.high, placed.length)
    for side, (seen, below) in HALVES[cut].items():
        z = top - 16.0 / face.up
        edge = flats.edge(z, side)
        room = edge * face.across
        if room < 2.0 * _DISC:
            continue
        at = face.to_px(side * edge / 2.0, z)
        if room >= 3.4 * _DISC:
            way = QPointF(0.0, 1.0) if face.is_lying else QPointF(1.0, 0.0)
            _paint_disc(painter, at + way * (side * 1.7 * _DISC), below, 0.8 * _DISC, font, look)
        _paint_disc(painter, at, seen, _DISC, font, look)


def _paint_disc(painter: QPainter, at: QPointF, number: int, radius: float, font: QFont, look: Look) -> None:
    painter.setPen(QPen(look.paper, 1.2))
    painter.setBrush(quarter_colour(number))
    painter.drawEllipse(at, radius, radius)
    painter.setFont(font)
    painter.setPen(QColor("#17130f"))  # reads on all four colours
    box = QRectF(at.x() - 20.0, at.y() - 20.0, 40.0, 40.0)
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, str(number))
    painter.setBrush(Qt.BrushStyle.NoBrush)


def paint_invitation_to_trim(painter: QPainter, sheet: Sheet, cut: CutName, look: Look) -> None:
    """Say how a trim is begun, in a direction without any."""
    if sheet.variant.cut(cut).trims or sheet.hand.gesture is not None or sheet.variant.blank.is_tapered:
        return
    box = sheet.arrangement.box(cut)
    painter.setFont(small_font(sheet.font()))
    flags = int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)
    room = box.adjusted(10.0, 0.0, -10.0, 0.0)
    words = QFontMetricsF(painter.font()).boundingRect(room, flags, INVITE_TO_TRIM).adjusted(-7.0, -4.0, 7.0, 4.0)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(faded(look.paper, 0.88))
    painter.drawRoundedRect(words, 5.0, 5.0)
    painter.setPen(look.ink)
    painter.drawText(words, flags, INVITE_TO_TRIM)
    painter.setBrush(Qt.BrushStyle.NoBrush)
