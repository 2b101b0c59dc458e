"""The sheet below the lines, painted once and kept: paper, wood, rulers, names and the arrow that says UP."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QBrush, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPixmap, QPolygonF

from app.faces.arrangement import Arrangement, face_width
from app.faces.flats import DrawnFlats
from app.faces.rulers import number_of, strokes
from app.faces.wood import WoodPictures, ground_colour, paint_wood
from app.faces.words import FACE, VIEWED
from app.look import Look, faded, pencil_on, small_font
from geometry.copying import half_across
from geometry.project import CUT_NAMES, CutName, DisplayUnits, Variant

_STROKE_PX, _LONG_STROKE_PX = 4.0, 7.0


@dataclass(frozen=True, slots=True)
class Margins:
    """Room around the faces for rulers and names, in pixels."""

    left: float
    top: float
    right: float
    bottom: float

    def within(self, size: QSizeF) -> QRectF:
        """Return what is left for the faces."""
        room = QRectF(0.0, 0.0, size.width(), size.height()).adjusted(self.left, self.top, -self.right, -self.bottom)
        return QRectF(room.topLeft(), QSizeF(max(room.width(), 10.0), max(room.height(), 10.0)))


def margins_for(font: QFont, variant: Variant, units: DisplayUnits, lying: bool) -> Margins:
    """Return the margins that rulers and names need."""
    small, normal = QFontMetricsF(small_font(font)), QFontMetricsF(font)
    # the widest numbers there can be on the ruler of heights
    numbers = ["00 00/00" if units == "in" else "000", number_of(variant.blank.length, units)]
    gutter = max(small.horizontalAdvance(n) for n in numbers) + _LONG_STROKE_PX + 10.0
    line = small.height()
    if lying:
        names = max(normal.horizontalAdvance(word) for word in ("Front", "Right", "face", "From the"))
        across = small.horizontalAdvance("−00" if units == "mm" else "−0 0/0") + _LONG_STROKE_PX + 8.0
        return Margins(across, 10.0, names + 18.0, _LONG_STROKE_PX + line + 8.0)
    return Margins(gutter, normal.height() + 14.0, 12.0, _LONG_STROKE_PX + line + 6.0)


def outline(variant: Variant, cut: CutName, arrangement: Arrangement) -> QPainterPath:
    """Return the outline of what is seen of a face: a rectangle, or a tapered face's four edges."""
    face = arrangement.face(cut)
    low, high = arrangement.low, arrangement.high
    foot, top = half_across(variant.blank, cut, low), half_across(variant.blank, cut, high)
    path = QPainterPath()
    path.addPolygon(QPolygonF([face.to_px(u, z) for u, z in ((-foot, low), (foot, low), (top, high), (-top, high))]))
    path.closeSubpath()
    return path


def painted_ground(
    size: QSizeF,
    ratio: float,
    variant: Variant,
    arrangement: Arrangement,
    units: DisplayUnits,
    font: QFont,
    look: Look,
    pictures: WoodPictures,
    flats: Mapping[CutName, DrawnFlats] | None = None,
) -> QPixmap:
    """Return the sheet without its lines.

    Parameters
    ----------
    size, ratio : of the sheet in pixels of the widget, and how many pixels of the screen each is
    variant, arrangement : what is drawn and where
    units, font, look : how
    pictures : of the faces' wood
    flats : both directions flats together, where these are to be seen instead of the faces
    """
    pixmap = QPixmap((size * ratio).toSize())
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(look.paper)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(font)
    for cut in CUT_NAMES if flats is None else ():
        shape = outline(variant, cut, arrangement)
        painter.save()
        painter.setClipPath(shape)
        paint_wood(painter, variant, cut, arrangement.face(cut), pictures, look)
        _paint_horns(painter, variant, cut, arrangement, look)
        painter.restore()
        painter.setPen(QPen(look.rule, 1.0))
        painter.drawPath(shape)
        _paint_centre_line(painter, variant, cut, arrangement, look)
    if flats is None:
        _paint_shared_edge(painter, arrangement, look)
    else:
        for cut in CUT_NAMES:
            _paint_flats(painter, variant, cut, flats[cut], arrangement, pictures, look)
        painter.setPen(QPen(look.rule, 1.0))
        painter.drawLine(_shared_edge(arrangement))
    _paint_names(painter, arrangement, font, look, FACE if flats is None else VIEWED)
    painter.setFont(small_font(font))
    _paint_heights(painter, arrangement, units, look)
    for cut in CUT_NAMES:
        half = half_across(variant.blank, cut, arrangement.low)
        if flats is not None:
            bounds = flats[cut].profile.bounds
            half = max(abs(bounds[0]), abs(bounds[2])) if bounds else half
        _paint_across(painter, half, cut, arrangement, units, look)
    painter.end()
    return pixmap


def _paint_flats(
    painter: QPainter, variant: Variant, cut: CutName, flats: DrawnFlats, arrangement: Arrangement,
    pictures: WoodPictures, look: Look,
) -> None:  # fmt: skip
    """Paint both halves of the stock flat to flat, each in the wood of the face that is seen, and the glue seam."""
    face, box = arrangement.face(cut), arrangement.box(cut)
    shape = face.transform.map(flats.outline)
    half = face_width(variant.blank, cut) / 2.0
    for side in (1, -1):
        beside = QPainterPath()
        beside.addRect(
            QRectF(face.to_px(0.0, arrangement.low), face.to_px(side * 4.0 * half, arrangement.high)).normalized()
        )
        painter.save()
        painter.setClipRect(box)
        painter.setClipPath(shape.intersected(beside), Qt.ClipOperation.IntersectClip)
        # the left half of the blank stands at u > 0: it is carried over by half the width
        paint_wood(painter, variant, cut, face, pictures, look, side * half)
        painter.restore()
    painter.save()
    painter.setClipRect(box.adjusted(-1.0, -1.0, 1.0, 1.0))
    painter.setPen(QPen(look.rule, 1.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(shape)
    painter.setClipPath(shape, Qt.ClipOperation.IntersectClip)
    painter.setPen(QPen(pencil_on(ground_colour(variant, look)), 1.2))
    painter.drawLine(face.to_px(0.0, arrangement.low), face.to_px(0.0, arrangement.high))
    painter.restore()


def _paint_horns(painter: QPainter, variant: Variant, cut: CutName, arrangement: Arrangement, look: Look) -> None:
    """Hatch what is sawn off after gluing."""
    half, length, horn = arrangement.length, variant.blank.length, variant.horn
    for low, high in ((0.0, horn.foot), (length - horn.top, length)):
        if high > low:
            hatch = QBrush(faded(pencil_on(ground_colour(variant, look)), 0.35), Qt.BrushStyle.BDiagPattern)
            painter.fillRect(arrangement.face(cut).box(half, low, high), hatch)


def _paint_centre_line(painter: QPainter, variant: Variant, cut: CutName, arrangement: Arrangement, look: Look) -> None:
    face = arrangement.face(cut)
    pen = QPen(faded(pencil_on(ground_colour(variant, look)), 0.45), 1.0)
    pen.setDashPattern([9.0, 3.0, 2.0, 3.0])
    painter.setPen(pen)
    painter.drawLine(face.to_px(0.0, arrangement.low), face.to_px(0.0, arrangement.high))


def _paint_shared_edge(painter: QPainter, arrangement: Arrangement, look: Look) -> None:
    painter.setPen(QPen(look.ink, 1.6))
    painter.drawLine(_shared_edge(arrangement))


def _shared_edge(arrangement: Arrangement) -> QLineF:
    """Return the edge the faces share, from the foot up."""
    box = arrangement.front_box
    if arrangement.is_lying:
        return QLineF(box.bottomLeft(), box.bottomRight())
    return QLineF(box.bottomRight(), box.topRight())


def _paint_names(
    painter: QPainter, arrangement: Arrangement, font: QFont, look: Look, names: Mapping[CutName, str]
) -> None:
    """Write the names at the top of the faces, with the arrow between them."""
    metrics = QFontMetricsF(font)
    edge = _shared_edge(arrangement).p2()
    bold = QFont(font)
    bold.setBold(True)
    up_width = QFontMetricsF(bold).horizontalAdvance("UP")
    painter.setPen(look.ink)
    if arrangement.is_lying:
        left = edge.x() + 8.0
        tall = 2.0 * metrics.height()
        room = metrics.height() / 2.0 + 2.0  # kept clear on either side of the edge
        for cut in CUT_NAMES:
            top = arrangement.box(cut).center().y() - tall / 2.0
            top = min(top, edge.y() - room - tall) if cut == "front" else max(top, edge.y() + room)
            painter.drawText(
                QRectF(left, top, 200.0, tall),
                Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter,
                names[cut].replace(" ", "\n") if names is FACE else names[cut].replace(" the ", " the\n"),
            )
        painter.setFont(bold)
        painter.drawText(QPointF(left, edge.y() + metrics.ascent() / 2.0 - 1.5), "UP")
        _paint_arrow(painter, QPointF(left + up_width + 5.0, edge.y()), QPointF(1.0, 0.0), look)
    else:
        base = edge.y() - 8.0 - metrics.descent()
        room = up_width / 2.0 + 16.0  # kept clear on either side of the edge
        for cut in CUT_NAMES:
            box = arrangement.box(cut)
            wide = metrics.horizontalAdvance(names[cut])
            left = box.center().x() - wide / 2.0
            left = min(left, edge.x() - room - wide) if cut == "front" else max(left, edge.x() + room)
            painter.drawText(QPointF(max(left, 2.0), base), names[cut])
        painter.setFont(bold)
        painter.drawText(QPointF(edge.x() - up_width / 2.0 - 6.0, base), "UP")
        _paint_arrow(painter, QPointF(edge.x() + up_width / 2.0 + 1.0, base + 1.0), QPointF(0.0, -1.0), look)
    painter.setFont(font)


def _paint_arrow(painter: QPainter, tail: QPointF, way: QPointF, look: Look) -> None:
    long, head = 13.0, 4.0
    tip = tail + way * long
    side = QPointF(-way.y(), way.x()) * head
    painter.setPen(QPen(look.ink, 1.8, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
    painter.drawLine(tail, tip)
    painter.drawPolyline(QPolygonF([tip - way * head * 1.3 + side, tip, tip - way * head * 1.3 - side]))


def _paint_heights(painter: QPainter, arrangement: Arrangement, units: DisplayUnits, look: Look) -> None:
    """Draw the ruler of heights: left of the front face, or below the right face."""
    face, lying = arrangement.front, arrangement.is_lying
    metrics = QFontMetricsF(painter.font())
    both = arrangement.both
    room = (
        metrics.horizontalAdvance("00 00/00" if units == "in" else "0000") + 10.0 if lying else 2.2 * metrics.height()
    )
    whole = arrangement.high >= arrangement.length - 1e-9
    low, high = max(arrangement.low, 0.0), min(arrangement.high, arrangement.length)
    for stroke in strokes(low, high, face.up, units, room, closes=whole):
        long = _LONG_STROKE_PX if stroke.number else _STROKE_PX
        at = face.to_px(0.0, stroke.at_mm)
        painter.setPen(QPen(look.faint_ink, 1.0))
        wide = metrics.horizontalAdvance(stroke.number)
        if lying:
            painter.drawLine(QPointF(at.x(), both.bottom() + 2.0), QPointF(at.x(), both.bottom() + 2.0 + long))
            left = min(max(at.x() - wide / 2.0, both.left() - 6.0), both.right() + 6.0 - wide)
            painter.drawText(QPointF(left, both.bottom() + _LONG_STROKE_PX + 3.0 + metrics.ascent()), stroke.number)
        else:
            painter.drawLine(QPointF(both.left() - 2.0 - long, at.y()), QPointF(both.left() - 2.0, at.y()))
            base = at.y() + metrics.ascent() / 2.0 - 1.0
            painter.drawText(QPointF(both.left() - _LONG_STROKE_PX - 5.0 - wide, base), stroke.number)


def _paint_across(
    painter: QPainter, half: float, cut: CutName, arrangement: Arrangement, units: DisplayUnits, look: Look
) -> None:
    """Draw the ruler across a face, counted from its centre line."""
    face, box, lying = arrangement.face(cut), arrangement.box(cut), arrangement.is_lying
    metrics = QFontMetricsF(painter.font())
    room = 1.6 * metrics.height() if lying else metrics.horizontalAdvance("−0 0/00" if units == "in" else "−000") + 6.0
    for stroke in strokes(-half, half, face.across, units, room):
        long = _LONG_STROKE_PX if stroke.number else _STROKE_PX
        at = face.to_px(stroke.at_mm, arrangement.low)
        painter.setPen(QPen(look.faint_ink, 1.0))
        wide = metrics.horizontalAdvance(stroke.number)
        room_to_rim = half - abs(stroke.at_mm)
        if lying:
            painter.drawLine(QPointF(box.left() - 2.0 - long, at.y()), QPointF(box.left() - 2.0, at.y()))
            if room_to_rim * face.across >= metrics.height() / 2.0:
                base = at.y() + metrics.ascent() / 2.0 - 1.0
                painter.drawText(QPointF(box.left() - _LONG_STROKE_PX - 5.0 - wide, base), stroke.number)
        else:
            painter.drawLine(QPointF(at.x(), box.bottom() + 2.0), QPointF(at.x(), box.bottom() + 2.0 + long))
            if room_to_rim * face.across >= wide / 2.0 - 2.0:
                base = box.bottom() + _LONG_STROKE_PX + 3.0 + metrics.ascent()
                painter.drawText(QPointF(at.x() - wide / 2.0, base), stroke.number)
