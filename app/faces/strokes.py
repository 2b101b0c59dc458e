"""How lines, nodes, the level and what is too thin or too tight are painted over the ground."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPalette, QPen, QPolygonF

from app.faces.arrangement import Arrangement, FaceMap
from app.faces.drawn import DrawnLine
from app.faces.rulers import number_of
from app.look import Look, faded, pencil_on, small_font
from app.severity import severity_colour
from geometry.lines import first_direction
from geometry.project import DisplayUnits, Node

NODE_PX = 5.0
"""Half the size of a node."""

_STITCH_PX = 6.0


@dataclass(frozen=True, slots=True)
class Inks:
    """The colours of one face: its pencil, what is wrong with it, and a rim where the pencil runs over many woods."""

    pencil: QColor
    stop: QColor
    caution: QColor
    rim: QColor | None = None


def inks_on(ground: QColor, many_woods: bool, palette: QPalette) -> Inks:
    """Return the colours that show on a wood; on many woods the pencil gets a rim of the other shade."""
    pencil = pencil_on(ground)
    rim = faded(QColor("#17130f") if pencil.lightness() > 127 else QColor("#fffaf0"), 0.55) if many_woods else None
    return Inks(pencil, severity_colour("stop", palette), severity_colour("caution", palette), rim)


def paint_slot(painter: QPainter, drawn: DrawnLine, face: FaceMap, inks: Inks) -> None:
    """Paint what blade and sanding remove as a faint band; the painter is clipped to the face."""
    to_sheet = face.transform
    painter.fillPath(to_sheet.map(drawn.sanded), faded(inks.pencil, 0.14))
    painter.fillPath(to_sheet.map(drawn.slot), faded(inks.pencil, 0.34))


def paint_thin_walls(painter: QPainter, drawn: DrawnLine, face: FaceMap, inks: Inks, look: Look) -> None:
    """Hatch the walls that are too thin; the painter is clipped to the face."""
    for wall in drawn.thin_walls:
        area = face.transform.map(wall.area)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(faded(look.paper, 0.55))
        painter.drawPolygon(area)
        painter.setBrush(QBrush(inks.caution, Qt.BrushStyle.FDiagPattern))
        painter.drawPolygon(area)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def paint_line(
    painter: QPainter, drawn: DrawnLine, face: FaceMap, shape: QPainterPath, inks: Inks, look: Look, impossible: bool
) -> None:
    """Paint the pencil line; where it leaves the face it is broken and in the colour of what cannot be."""
    path = face.transform.map(drawn.path)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    bounds = path.boundingRect()
    if not shape.boundingRect().adjusted(-0.5, -0.5, 0.5, 0.5).contains(bounds):
        painter.save()
        around = QPainterPath()
        around.addRect(bounds.united(shape.boundingRect()).adjusted(-20.0, -20.0, 20.0, 20.0))
        painter.setClipPath(around.subtracted(shape), Qt.ClipOperation.IntersectClip)
        painter.setPen(QPen(look.paper, 4.5))
        painter.drawPath(path)
        painter.setPen(QPen(inks.stop, 2.0, Qt.PenStyle.DashLine))
        painter.drawPath(path)
        painter.restore()
    painter.save()
    painter.setClipPath(shape, Qt.ClipOperation.IntersectClip)
    if inks.rim is not None:
        painter.setPen(QPen(inks.rim, 3.6, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
        painter.drawPath(path)
    pen = QPen(inks.pencil, 1.4, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
    if impossible:
        pen.setDashPattern([5.0, 3.0])
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.drawPath(path)
    painter.restore()


def paint_tight_bends(painter: QPainter, drawn: DrawnLine, face: FaceMap, inks: Inks, look: Look) -> None:
    """Lay stitches across the stretches that bend tighter than the blade follows."""
    for bend in drawn.tight_bends:
        points = [face.to_px(u, z) for u, z in bend.points.tolist()]
        stitches = _stitches(points)
        for colour, wide in ((look.paper, 4.0), (inks.stop, 2.0)):
            painter.setPen(QPen(colour, wide, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
            painter.drawLines(stitches)


def _stitches(points: list[QPointF]) -> list[QLineF]:
    """Return short strokes square to a path on the sheet, evenly spaced."""
    xy = np.array([(p.x(), p.y()) for p in points])
    steps = np.hypot(*np.diff(xy, axis=0).T)
    far = np.concatenate([[0.0], np.cumsum(steps)])
    if far[-1] <= 0.0:
        return []
    at = np.linspace(0.0, far[-1], max(2, round(far[-1] / 7.0) + 1))
    x, y = np.interp(at, far, xy[:, 0]), np.interp(at, far, xy[:, 1])
    dx, dy = np.gradient(x), np.gradient(y)
    length = np.maximum(np.hypot(dx, dy), 1e-9)
    nx, ny = -dy / length * _STITCH_PX, dx / length * _STITCH_PX
    return [QLineF(*four) for four in np.stack([x - nx, y - ny, x + nx, y + ny], axis=1).tolist()]


# ---------------------------------------------------------------- nodes


def paint_nodes(
    painter: QPainter,
    nodes: tuple[Node, ...],
    face: FaceMap,
    look: Look,
    chosen: tuple[int, ...] = (),
    ringed: int | None = None,
    pointed: int | None = None,
) -> None:
    """Paint nodes: round where the line is smooth, square at a corner, with a whisker where a curve leaves tangent.

    Parameters
    ----------
    chosen : numbers of those that are selected
    ringed : the one that has the keyboard
    pointed : the one the mouse is over
    """
    for i, node in enumerate(nodes):
        at = face.to_px(*node.at)
        grown = NODE_PX + (1.0 if i in chosen or i == pointed else 0.0)
        if i == ringed:
            for colour, wide in ((look.paper, 5.0), (look.accent, 2.2)):
                painter.setPen(QPen(colour, wide))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawEllipse(at, grown + 5.0, grown + 5.0)
        if node.kind == "corner" and node.tangent:
            _paint_whisker(painter, nodes, i, face, look)
        shape = _node_shape(node, at, grown)
        painter.setPen(
            QPen(look.paper, 4.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.SquareCap, Qt.PenJoinStyle.MiterJoin)
        )
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(shape)
        painter.setPen(QPen(look.ink, 1.6, Qt.PenStyle.SolidLine, Qt.PenCapStyle.SquareCap, Qt.PenJoinStyle.MiterJoin))
        painter.setBrush(look.accent if i in chosen else look.paper)
        painter.drawPath(shape)


def _node_shape(node: Node, at: QPointF, half: float) -> QPainterPath:
    path = QPainterPath()
    if node.kind == "smooth":
        path.addEllipse(at, half, half)
    else:
        half *= 0.9
        path.addRect(QRectF(at.x() - half, at.y() - half, 2.0 * half, 2.0 * half))
    return path


def _paint_whisker(painter: QPainter, nodes: tuple[Node, ...], i: int, face: FaceMap, look: Look) -> None:
    """Carry the straight stretch on past its node, the way the curve leaves it."""
    at = np.array(nodes[i].at)
    for j in (i - 1, i + 1):
        if 0 <= j < len(nodes) and nodes[j].kind == "corner":
            # the whisker points away from the straight
            way = first_direction(np.stack([np.array(nodes[j].at), at, at, at]))
            start, end = face.to_px(*at), face.to_px(*(at + way))
            d = end - start
            tip = start + d * (17.0 / max(math.hypot(d.x(), d.y()), 1e-9))
            for colour, wide in ((look.paper, 4.5), (look.ink, 1.8)):
                painter.setPen(QPen(colour, wide))
                painter.drawLine(start, tip)


def paint_ghost(painter: QPainter, at: QPointF, look: Look) -> None:
    """Paint the node that a click would add."""
    for colour, wide in ((look.paper, 4.0), (look.accent, 1.8)):
        painter.setPen(QPen(colour, wide))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(at, NODE_PX + 1.0, NODE_PX + 1.0)
        painter.drawLine(at - QPointF(3.0, 0.0), at + QPointF(3.0, 0.0))
        painter.drawLine(at - QPointF(0.0, 3.0), at + QPointF(0.0, 3.0))


# ---------------------------------------------------------------- the level, the hand's helps


def paint_level(
    painter: QPainter, z: float, arrangement: Arrangement, units: DisplayUnits, font: QFont, look: Look
) -> None:
    """Paint the level line over both faces and its height on the ruler."""
    both, at = arrangement.both, arrangement.front.to_px(0.0, z)
    if not arrangement.low - 1e-9 <= z <= arrangement.high + 1e-9:
        return
    painter.setFont(small_font(font))
    metrics = QFontMetricsF(painter.font())
    text = number_of(z, units)
    wide, tall = metrics.horizontalAdvance(text) + 8.0, metrics.height() + 2.0
    if arrangement.is_lying:
        line = QLineF(QPointF(at.x(), both.top()), QPointF(at.x(), both.bottom()))
        left = min(max(at.x() - wide / 2.0, both.left() - 8.0), both.right() + 8.0 - wide)
        chip = QRectF(left, both.bottom() + 8.0, wide, tall)
    else:
        line = QLineF(QPointF(both.left(), at.y()), QPointF(both.right(), at.y()))
        chip = QRectF(both.left() - 9.0 - wide, at.y() - tall / 2.0, wide, tall)
    painter.setPen(QPen(faded(look.paper, 0.7), 3.0))
    painter.drawLine(line)
    painter.setPen(QPen(look.accent, 1.2))
    painter.drawLine(line)
    painter.setPen(QPen(look.paper, 3.0))
    painter.setBrush(look.accent)
    painter.drawRoundedRect(chip, 3.0, 3.0)
    painter.setPen(look.on_accent)
    painter.drawText(chip, Qt.AlignmentFlag.AlignCenter, text)


def paint_grid(painter: QPainter, box: QRectF, face: FaceMap, grid_mm: float, half: float, colour: QColor) -> None:
    """Paint the grid that places are caught at, where it is not too fine to be seen."""
    for scale, upright in ((face.across, True), (face.up, False)):
        if scale * grid_mm < 5.0:
            continue
        low, high = face.to_mm(box.bottomLeft()), face.to_mm(box.topRight())
        ends = sorted((low[0], high[0])) if upright else sorted((low[1], high[1]))
        painter.setPen(QPen(faded(colour, 0.16), 1.0))
        for k in range(math.ceil(ends[0] / grid_mm), math.floor(ends[1] / grid_mm) + 1):
            at = k * grid_mm
            if upright:
                painter.drawLine(face.to_px(at, low[1]), face.to_px(at, high[1]))
            else:
                painter.drawLine(face.to_px(-half, at), face.to_px(half, at))


def paint_guide(painter: QPainter, line: QLineF, look: Look) -> None:
    """Paint what a dragged place is caught by."""
    painter.setPen(QPen(look.paper, 3.0))
    painter.drawLine(line)
    painter.setPen(QPen(look.accent, 1.4, Qt.PenStyle.DashLine))
    painter.drawLine(line)


def paint_band(painter: QPainter, band: QRectF, look: Look) -> None:
    """Paint the rubber band."""
    painter.setPen(QPen(look.accent, 1.2, Qt.PenStyle.DashLine))
    painter.setBrush(faded(look.accent, 0.12))
    painter.drawRect(band)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def paint_places(painter: QPainter, places: list[QPointF], path: QPainterPath, look: Look) -> None:
    """Paint what the pen has drawn so far."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for colour, wide in ((look.paper, 4.5), (look.accent, 2.0)):
        painter.setPen(QPen(colour, wide))
        painter.drawPath(path)
        painter.drawPoints(QPolygonF(places))
    painter.setBrush(look.accent)
    painter.setPen(QPen(look.paper, 1.5))
    for place in places:
        painter.drawEllipse(place, NODE_PX, NODE_PX)
