"""What is marked at a place of a face, findings and the tightest radius: where the marks go, and how they look.

A mark stands beside its place, with a short leader, where it hides neither the line nor a node nor another mark.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPainterPath, QPalette, QPen

from app.faces.arrangement import Arrangement, FaceMap
from app.faces.drawn import DrawnLine
from app.faces.words import finding_words, radius_label, radius_words
from app.look import Look, faded, small_font
from app.severity import severity_colour, severity_shape
from geometry.editing import nodes_of
from geometry.findings import Finding
from geometry.project import CUT_NAMES, CutName, DisplayUnits, Node, Variant
from geometry.solids import BoolArray, FloatArray, IntArray

_MARK_PX = 17.0

_NEARLY_STRAIGHT_MM = 2000.0
"""A bend so wide is none to the eye, and ten times wider than the widest blade asks for."""

_REACHES = np.array([20.0, 28.0, 38.0, 50.0, 66.0])
_DIRECTIONS = 16
# first straight on, then ever further to either side
_TURNS = np.array([(k + 1) // 2 * (1 if k % 2 else -1) for k in range(_DIRECTIONS)]) * 2.0 * np.pi / _DIRECTIONS


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark: its box, the place it speaks of, and its words.

    Attributes
    ----------
    box : where it is drawn, in pixels
    place : what it points at, in pixels
    words : shown on pointing at it
    finding : the finding it stands for, or None for a radius
    label : written in the box; empty for a finding
    cut : the face it is about, or None for the piece
    trim : the trim a radius is of, or None
    """

    box: QRectF
    place: QPointF
    words: str
    finding: Finding | None = None
    label: str = ""
    cut: CutName | None = None
    trim: int | None = None

    def is_of(self, cut: CutName, trim: int | None) -> bool:
        """Return True where it is about this line or trim."""
        return (self.cut, self.trim) == (cut, trim)


@dataclass(frozen=True, slots=True, eq=False)
class OnSheet:
    """A line or a trim that is drawn on the sheet: its face, its number where it is a trim, its nodes."""

    cut: CutName
    trim: int | None
    nodes: tuple[Node, ...]
    drawn: DrawnLine


def lines_of(variant: Variant, drawn: Mapping[CutName, DrawnLine]) -> tuple[OnSheet, ...]:
    """Return both lines as they are drawn."""
    return tuple(OnSheet(c, None, nodes_of(variant.cut(c), variant.blank.length), drawn[c]) for c in CUT_NAMES)


def place_marks(
    lines: Sequence[OnSheet],
    findings: Iterable[Finding],
    arrangement: Arrangement,
    room: QRectF,
    units: DisplayUnits,
    font: QFont,
) -> tuple[Mark, ...]:
    """Return where the marks of both faces go.

    Parameters
    ----------
    lines : what is drawn
    findings : those with a place are marked
    arrangement, room : where the faces lie, and the sheet no mark may leave
    units, font : for the labels
    """
    in_the_way = _InTheWay(lines, arrangement)
    out: list[Mark] = []
    for finding in findings:
        place = place_of(finding, arrangement)
        if place is None or not _is_seen(finding.at[1] if finding.at else 0.0, arrangement):
            continue
        away = _inward(finding.cut, place, arrangement)
        own = arrangement.both if finding.cut is None else arrangement.box(finding.cut)
        box = in_the_way.free_box(place, QSizeF(_MARK_PX, _MARK_PX), away, room, own)
        out.append(Mark(box, place, finding_words(finding), finding, "", finding.cut))
    metrics = QFontMetricsF(small_font(font))
    for line in lines:
        cut, bend = line.cut, line.drawn.bend
        if bend is None or bend.radius_mm > _NEARLY_STRAIGHT_MM or not _is_seen(bend.at[1], arrangement):
            continue
        face = arrangement.face(cut)
        place = face.to_px(*bend.at)
        label = radius_label(bend.radius_mm, units)
        room_for = QSizeF(metrics.horizontalAdvance(label) + 8.0, metrics.height() + 2.0)
        way = _on_sheet(line.drawn.toward_centre, face)
        box = in_the_way.free_box(place, room_for, way, room, arrangement.box(cut))
        words = radius_words(line.drawn, cut, units, line.trim)
        out.append(Mark(box, place, words, None, label, cut, line.trim))
    return tuple(out)


def place_of(finding: Finding, arrangement: Arrangement) -> QPointF | None:
    """Return where on the sheet a finding has its place: on its face, or for the piece on the shared edge."""
    if finding.at is None:
        return None
    if finding.cut is not None:
        return arrangement.face(finding.cut).to_px(*finding.at)
    box, at = arrangement.front_box, arrangement.front.to_px(0.0, finding.at[1])
    return QPointF(at.x(), box.bottom()) if arrangement.is_lying else QPointF(box.right(), at.y())


def _is_seen(z: float, arrangement: Arrangement) -> bool:
    beyond = 0.1 * (arrangement.high - arrangement.low)  # a line that runs past an end is marked there
    return arrangement.low - beyond <= z <= arrangement.high + beyond


def _inward(cut: CutName | None, place: QPointF, arrangement: Arrangement) -> QPointF:
    """Return the way from a place toward the middle of its face, or for the piece to the left."""
    if cut is None:
        return QPointF(0.0, -1.0) if arrangement.is_lying else QPointF(-1.0, 0.0)
    middle = arrangement.box(cut).center()
    if arrangement.is_lying:
        return QPointF(0.0, 1.0 if middle.y() >= place.y() else -1.0)
    return QPointF(1.0 if middle.x() >= place.x() else -1.0, 0.0)


def _on_sheet(way: tuple[float, float], face: FaceMap) -> QPointF:
    """Return a direction of the face as a unit vector on the sheet."""
    d = face.to_px(*way) - face.to_px(0.0, 0.0)
    length = math.hypot(d.x(), d.y())
    return d / length if length > 0.0 else QPointF(1.0, 0.0)


class _InTheWay:
    """What a mark should not hide: the lines, their nodes, and marks placed before."""

    def __init__(self, lines: Sequence[OnSheet], arrangement: Arrangement) -> None:
        self._boxes: list[QRectF] = []
        self._faces = arrangement.both
        none = np.zeros((0, 2))
        self._line = np.vstack([none, *(_mapped(x.drawn.stations, arrangement.face(x.cut)) for x in lines)])
        nodes = (_mapped(np.array([n.at for n in x.nodes]), arrangement.face(x.cut)) for x in lines)
        self._nodes = np.vstack([none, *nodes])

    def free_box(self, place: QPointF, wanted: QSizeF, way: QPointF, room: QRectF, own: QRectF) -> QRectF:
        """Return the best box about a place, within the room and best on its own face, and remember it as taken."""
        angle = math.atan2(way.y(), way.x()) + _TURNS
        on = np.stack([np.cos(angle), np.sin(angle)], axis=1)
        far = _REACHES[:, None] + np.abs(on[None, :, 0]) * (wanted.width() - _MARK_PX) / 2.0
        middles = (np.array([place.x(), place.y()]) + on[None] * far[..., None]).reshape(-1, 2)
        half = np.array([wanted.width(), wanted.height()]) / 2.0
        low, high = middles - half, middles + half
        cost = (0.15 * np.arange(_DIRECTIONS)[None] + 0.04 * _REACHES[:, None]).ravel()
        cost += 1000.0 * _reaches_out(low, high, room)
        # beside both faces are rulers and names, and the other face has marks of its own
        cost += 25.0 * _reaches_out(low, high, self._faces) + 8.0 * _reaches_out(low, high, own)
        for box in self._boxes:
            apart_x = (low[:, 0] - 3.0 > box.right()) | (high[:, 0] + 3.0 < box.left())
            apart_y = (low[:, 1] - 3.0 > box.bottom()) | (high[:, 1] + 3.0 < box.top())
            cost += 200.0 * ~(apart_x | apart_y)
        cost += 40.0 * _count_inside(self._nodes, low - 7.0, high + 7.0)
        cost += 6.0 * np.minimum(_count_inside(self._line, low - 3.0, high + 3.0), 5)
        best = QRectF(QPointF(*low[int(cost.argmin())]), wanted)
        self._boxes.append(best)
        return best


def _reaches_out(low: FloatArray, high: FloatArray, box: QRectF) -> BoolArray:
    """Return for each box (k, 2) from low to high whether it reaches out of another."""
    out = (low[:, 0] < box.left()) | (low[:, 1] < box.top()) | (high[:, 0] > box.right()) | (high[:, 1] > box.bottom())
    return cast(BoolArray, out)


def _mapped(points: FloatArray, face: FaceMap) -> FloatArray:
    x, y = face.origin.x(), face.origin.y()
    if face.is_lying:
        return np.stack([x + face.up * points[:, 1], y + face.across * points[:, 0]], axis=1)
    return np.stack([x + face.across * points[:, 0], y - face.up * points[:, 1]], axis=1)


def _count_inside(points: FloatArray, low: FloatArray, high: FloatArray) -> IntArray:
    """Return for each box (k, 2) from low to high how many points (n, 2) lie in it."""
    x, y = points[None, :, 0], points[None, :, 1]
    inside = (x >= low[:, :1]) & (x <= high[:, :1]) & (y >= low[:, 1:]) & (y <= high[:, 1:])
    return cast(IntArray, inside.sum(axis=1))


# ---------------------------------------------------------------- painting


def paint_marks(
    painter: QPainter, marks: Iterable[Mark], chosen: Finding | None, look: Look, palette: QPalette, font: QFont
) -> None:
    """Paint the marks; the finding that is chosen gets a ring."""
    for mark in marks:
        if mark.finding is None:
            _paint_label(painter, mark, look, font)
            continue
        shape = severity_shape(mark.finding.severity, mark.box.adjusted(1.0, 1.0, -1.0, -1.0))
        if mark.finding == chosen:
            painter.setPen(QPen(look.paper, 6.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(mark.box.adjusted(-5.0, -5.0, 5.0, 5.0))
            painter.setPen(QPen(look.accent, 2.5))
            painter.drawEllipse(mark.box.adjusted(-5.0, -5.0, 5.0, 5.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(
            QPen(look.paper, 4.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.SquareCap, Qt.PenJoinStyle.RoundJoin)
        )
        painter.drawPath(shape)
        painter.fillPath(shape, severity_colour(mark.finding.severity, palette))


def paint_leaders(painter: QPainter, marks: Iterable[Mark], look: Look) -> None:
    """Paint the leaders from places to marks; they go below the nodes."""
    for mark in marks:
        middle = mark.box.center()
        for colour, wide in ((faded(look.paper, 0.85), 3.0), (look.ink, 1.0)):
            painter.setPen(QPen(colour, wide))
            painter.drawLine(mark.place, middle)
        painter.setPen(QPen(look.paper, 1.0))
        painter.setBrush(look.ink)
        painter.drawEllipse(mark.place, 2.4, 2.4)


def _paint_label(painter: QPainter, mark: Mark, look: Look, font: QFont) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(faded(look.paper, 0.92))
    painter.drawRoundedRect(mark.box, 4.0, 4.0)
    painter.setPen(look.ink)
    painter.setFont(small_font(font))
    painter.drawText(mark.box, Qt.AlignmentFlag.AlignCenter, mark.label)


def osculating_arc(drawn: DrawnLine, face: FaceMap) -> QPainterPath:
    """Return a piece of the circle that fits the line at its tightest bend, on the sheet, about 30 px to either side.

    Where the face is drawn stretched the circle is an ellipse there, and still touches the line.
    """
    path = QPainterPath()
    bend = drawn.bend
    if bend is None or bend.radius_mm <= 0.0:
        return path
    r, (nx, nz) = bend.radius_mm, drawn.toward_centre
    u, z = bend.at[0] + r * nx, bend.at[1] + r * nz
    start = math.atan2(-nz, -nx)
    span = min(30.0 / (r * max(face.up, 1e-9)), math.pi / 3.0)
    points = [
        face.to_px(u + r * math.cos(start + span * k / 12.0), z + r * math.sin(start + span * k / 12.0))
        for k in range(-12, 13)
    ]
    path.moveTo(points[0])
    for point in points[1:]:
        path.lineTo(point)
    return path


def paint_osculating_arc(painter: QPainter, drawn: DrawnLine, face: FaceMap, look: Look) -> None:
    """Paint the arc of the tightest bend as a broad soft stroke below the line."""
    arc = osculating_arc(drawn, face)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for colour, wide in ((faded(look.paper, 0.6), 7.0), (faded(look.accent, 0.75), 4.0)):
        painter.setPen(QPen(colour, wide, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawPath(arc)
