"""Where the two faces lie on the sheet, and how millimetres become pixels and back.

Upright, up is up, across is to the right, the front face left and the right face right of the edge they share.
Lying is the same sheet turned a quarter clockwise: up is to the right, the front face above, the right face below.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QTransform

from geometry.project import Blank, CutName


@dataclass(frozen=True, slots=True)
class FaceMap:
    """How one face is laid on the sheet.

    Attributes
    ----------
    origin : where (0, 0) lies, in pixels
    across, up : pixels per millimetre in either direction
    is_lying : up runs to the right of the sheet
    """

    origin: QPointF
    across: float
    up: float
    is_lying: bool

    def to_px(self, u: float, z: float) -> QPointF:
        """Return where a place of the face lies on the sheet."""
        if self.is_lying:
            return QPointF(self.origin.x() + self.up * z, self.origin.y() + self.across * u)
        return QPointF(self.origin.x() + self.across * u, self.origin.y() - self.up * z)

    def to_mm(self, point: QPointF) -> tuple[float, float]:
        """Return the place (u, z) of the face under a point of the sheet."""
        right, down = point.x() - self.origin.x(), point.y() - self.origin.y()
        return (down / self.across, right / self.up) if self.is_lying else (right / self.across, -down / self.up)

    @property
    def transform(self) -> QTransform:
        """The same as `to_px`, for paths."""
        x, y = self.origin.x(), self.origin.y()
        if self.is_lying:
            return QTransform(0.0, self.across, self.up, 0.0, x, y)
        return QTransform(self.across, 0.0, 0.0, -self.up, x, y)

    def box(self, half: float, low: float, high: float) -> QRectF:
        """Return the rectangle of the sheet that a face covers between two heights."""
        return QRectF(self.to_px(-half, low), self.to_px(half, high)).normalized()


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Both faces on the sheet.

    Attributes
    ----------
    front, side : the two maps
    front_box, side_box : what is seen of each face
    factor : how many times wider than true the faces are drawn
    low, high : heights between which the faces are seen
    length : of the blank
    most_zoom : the zoom at which true proportion fills the room
    """

    front: FaceMap
    side: FaceMap
    front_box: QRectF
    side_box: QRectF
    factor: float
    low: float
    high: float
    length: float
    most_zoom: float

    @property
    def is_lying(self) -> bool:
        """True when up runs to the right."""
        return self.front.is_lying

    def face(self, cut: CutName) -> FaceMap:
        """Return the map of a face."""
        return self.front if cut == "front" else self.side

    def box(self, cut: CutName) -> QRectF:
        """Return what is seen of a face."""
        return self.front_box if cut == "front" else self.side_box

    @property
    def both(self) -> QRectF:
        """What is seen of both faces together."""
        return self.front_box.united(self.side_box)

    def face_at(self, point: QPointF) -> CutName:
        """Return the face a point lies on, or beside."""
        if self.is_lying:
            return "front" if point.y() < self.front_box.bottom() else "side"
        return "front" if point.x() < self.front_box.right() else "side"

    def height_at(self, point: QPointF) -> float:
        """Return the height of a point, within the length."""
        return min(max(self.front.to_mm(point)[1], 0.0), self.length)


def face_width(blank: Blank, cut: CutName) -> float:
    """Return the greatest width of a face."""
    foot, top = (blank.width, blank.top_width) if cut == "front" else (blank.depth, blank.top_depth)
    return max(foot, foot if top is None else top)


def stated_factor(most: float) -> float:
    """Return the largest factor up to the given one that is easily said: quarters, then halves, then whole numbers."""
    if most < 1.0:
        return 1.0
    step = 0.25 if most < 3.0 else 0.5 if most < 10.0 else 1.0
    return math.floor(most / step + 1e-9) * step


def arrange(
    blank: Blank,
    room: QRectF,
    fills: bool = True,
    lying: bool = False,
    zoom: float = 1.0,
    middle: float | None = None,
    halves: tuple[float, float] | None = None,
    beyond: float = 0.0,
) -> Arrangement:
    """Lay both faces into a rectangle of the sheet.

    Parameters
    ----------
    blank : the blank
    room : the rectangle, in pixels
    fills : stretch across by a stated factor that fills the room; otherwise true proportion
    lying : up to the right
    zoom : how many times larger than the whole length needs; held where true proportion fills the room across
    middle : the height to be seen in the middle, where zoomed
    halves : half of what is to be seen across of either, where that is not the faces themselves
    beyond : how much more is to be seen below the foot and above the top
    """
    length = blank.length
    front, side = face_width(blank, "front"), face_width(blank, "side")
    if halves is not None:
        front, side = 2.0 * halves[0], 2.0 * halves[1]
    whole = length + 2.0 * beyond
    along, across_room = (room.width(), room.height()) if lying else (room.height(), room.width())
    along, across_room = max(along, 1.0), max(across_room, 1.0)
    most_across = across_room / (front + side)
    fit = min(along / whole, most_across)  # a short wide blank is never squeezed
    up = min(fit * max(zoom, 1.0), most_across)
    factor = stated_factor(most_across / up) if fills else 1.0
    across = up * factor
    seen = min(whole, along / up)
    low = (length if middle is None else 2.0 * middle) / 2.0 - seen / 2.0
    low = min(max(low, -beyond), length + beyond - seen)
    margin = (along - seen * up) / 2.0
    edge = (across_room - (front + side) * across) / 2.0
    centres = (edge + front * across / 2.0, edge + (front + side / 2.0) * across)
    maps = []
    for centre in centres:
        if lying:
            origin = QPointF(room.left() + margin - low * up, room.top() + centre)
        else:
            origin = QPointF(room.left() + centre, room.bottom() - margin + low * up)
        maps.append(FaceMap(origin, across, up, lying))
    boxes = [m.box(w / 2.0, low, low + seen) for m, w in zip(maps, (front, side), strict=True)]
    return Arrangement(maps[0], maps[1], boxes[0], boxes[1], factor, low, low + seen, length, most_across / fit)
