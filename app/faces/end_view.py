"""Two small figures below the faces: the blank's end seen from above with its quarters, and the piece's section."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.faces.drawn import drawn_line, middle_of_section, section_of
from app.faces.wood import ground_colour
from app.faces.words import size
from app.look import Look, faded, look_of, mixed, quarter_colour, small_font
from geometry.copying import half_across
from geometry.measures import Section
from geometry.nearest import passes_of_height
from geometry.project import Blank, CutName, DisplayUnits, Variant


@dataclass(frozen=True, slots=True)
class LevelPlaces:
    """What a height comes to: where the lines are, the section of the piece, and where its middle lies."""

    z: float
    front: tuple[float, ...]
    side: tuple[float, ...]
    section: Section | None
    middle: tuple[float, float] | None


def places_at(variant: Variant, z: float) -> LevelPlaces:
    """Return where both lines are at a height."""

    def across(cut: CutName) -> tuple[float, ...]:
        return tuple(u for _, _, u in passes_of_height(drawn_line(variant, cut).line, z))

    return LevelPlaces(z, across("front"), across("side"), section_of(variant, z), middle_of_section(variant, z))


class EndView(QWidget):
    """The end of the blank and the section of the piece at the level, side by side."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make the figures of a straight blank."""
        super().__init__(parent)
        self._variant = Variant("A", Blank(60.0, 60.0, 420.0))
        self._units: DisplayUnits = "mm"
        self._level: float | None = None
        self._places: LevelPlaces | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName("End view from above, and the section of the piece")
        self._describe()

    def show_variant(self, variant: Variant, units: DisplayUnits) -> None:
        """Show another design."""
        if variant != self._variant or units != self._units:
            self._variant, self._units, self._places = variant, units, None
            self._describe()
            self.update()

    def set_level(self, z: float | None) -> None:
        """Show the height z, or the top."""
        if z != self._level:
            self._level, self._places = z, None
            self.update()

    @property
    def places(self) -> LevelPlaces:
        """What is shown."""
        if self._places is None:
            length = self._variant.blank.length
            self._places = places_at(self._variant, length if self._level is None else self._level)
        return self._places

    def _describe(self) -> None:
        blank = self._variant.blank
        self.setAccessibleDescription(
            f"Blank {size(blank.width, self._units)} wide and {size(blank.depth, self._units)} deep, seen from above "
            "with the front face below: quarter 1 front left, 2 front right at the shared corner, 3 back right, "
            "4 back left."
        )

    def sizeHint(self) -> QSize:
        """Return room for two figures with their words."""
        return QSize(300, 132)

    def minimumSizeHint(self) -> QSize:
        """Return the least room."""
        return QSize(200, 110)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint both figures."""
        look = look_of(self.palette())
        painter = QPainter(self)
        painter.fillRect(self.rect(), look.paper)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        width = min(self.width(), 440.0)
        left = (self.width() - width) / 2.0
        half = width / 2.0
        _paint_end(painter, QRectF(left, 0.0, half, self.height()), self, look)
        _paint_section(painter, QRectF(left + half, 0.0, half, self.height()), self, look)
        painter.end()

    @property
    def variant(self) -> Variant:
        """The design that is shown."""
        return self._variant

    @property
    def units(self) -> DisplayUnits:
        """The unit of the words."""
        return self._units

    @property
    def level(self) -> float | None:
        """The height that is shown; None for the top."""
        return self._level


@dataclass(frozen=True, slots=True)
class _Plan:
    """How the plan (x right, y back) is laid on the screen: back is up."""

    middle: QPointF
    scale: float

    def at(self, x: float, y: float) -> QPointF:
        return QPointF(self.middle.x() + self.scale * x, self.middle.y() - self.scale * y)

    def box(self, x0: float, y0: float, x1: float, y1: float) -> QRectF:
        return QRectF(self.at(x0, y0), self.at(x1, y1)).normalized()


def _plan_in(room: QRectF, half_x: float, half_y: float) -> _Plan:
    scale = max(min(room.width() / (2.0 * half_x), room.height() / (2.0 * half_y)), 0.01)
    return _Plan(room.center(), scale)


def _title(painter: QPainter, room: QRectF, text: str, look: Look) -> None:
    painter.setPen(look.ink)
    painter.drawText(QRectF(room.left(), room.top() + 2.0, room.width(), 18.0), Qt.AlignmentFlag.AlignHCenter, text)


def _paint_end(painter: QPainter, room: QRectF, view: EndView, look: Look) -> None:
    """Paint the blank from above: its quarters, the two slots, the edges' names and the shared corner."""
    variant, places = view.variant, view.places
    font = small_font(view.font())
    painter.setFont(font)
    metrics = QFontMetricsF(font)
    line = metrics.height()
    title = "Top end, from above" if view.level is None else f"Blank, {size(places.z, view.units)} up"
    _title(painter, room, title, look)
    a, b = half_across(variant.blank, "front", places.z), half_across(variant.blank, "side", places.z)
    inner = room.adjusted(line + 6.0, line + 6.0, -line - 6.0, -line - 6.0)
    plan = _plan_in(inner, a, b)
    box = plan.box(-a, -b, a, b)
    x = sum(places.front) / len(places.front) if places.front else 0.0
    y = sum(places.side) / len(places.side) if places.side else 0.0
    x, y = min(max(x, -a), a), min(max(y, -b), b)
    corners = {1: (-a, -b), 2: (a, -b), 3: (a, b), 4: (-a, b)}
    for number, (cx, cy) in corners.items():
        painter.fillRect(plan.box(cx, cy, x, y), mixed(quarter_colour(number), look.paper, 0.12))
    _paint_slots(painter, plan, variant, places, a, b, look)
    painter.setPen(QPen(look.ink, 1.2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)
    middles = {
        n: ((cx + x) / 2.0, (cy + y) / 2.0, plan.scale * min(abs(cx - x), abs(cy - y)))
        for n, (cx, cy) in corners.items()
    }
    _paint_numbers(painter, plan, middles, view.font())
    # the edges that carry lines are drawn heavier, and the corner they share is marked
    corner = plan.at(a, -b)
    painter.setPen(QPen(look.ink, 2.6))
    painter.drawLine(plan.at(-a, -b), corner)
    painter.drawLine(corner, plan.at(a, b))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(look.ink)
    painter.drawEllipse(corner, 4.0, 4.0)
    painter.setFont(font)
    painter.setPen(look.ink)
    painter.drawText(
        QRectF(box.center().x() - 60.0, box.bottom() + 3.0, 120.0, line), Qt.AlignmentFlag.AlignHCenter, "FRONT"
    )
    painter.save()
    painter.translate(box.right() + 4.0 + metrics.ascent(), box.center().y())
    painter.rotate(-90.0)
    painter.drawText(QPointF(-metrics.horizontalAdvance("RIGHT") / 2.0, 0.0), "RIGHT")
    painter.restore()


def _paint_slots(
    painter: QPainter, plan: _Plan, variant: Variant, places: LevelPlaces, a: float, b: float, look: Look
) -> None:
    """Draw both lines across the end, at least as wide as can be seen."""
    for across, kerf, is_front in ((places.front, variant.front.kerf, True), (places.side, variant.side.kerf, False)):
        painter.setPen(QPen(look.ink, max(1.4, kerf * plan.scale), Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
        for u in across:
            if is_front and abs(u) <= a:
                painter.drawLine(plan.at(u, -b), plan.at(u, b))
            elif not is_front and abs(u) <= b:
                painter.drawLine(plan.at(-a, u), plan.at(a, u))


def _paint_numbers(painter: QPainter, plan: _Plan, middles: dict[int, tuple[float, float, float]], font: QFont) -> None:
    bold = QFont(font)
    bold.setBold(True)
    painter.setFont(bold)
    painter.setPen(QColor("#17130f"))  # dark reads on all four colours, by day and by night
    for number, (x, y, room_px) in middles.items():
        if room_px < 13.0:
            continue  # too little is left of the quarter for its number
        at = plan.at(x, y)
        painter.drawText(QRectF(at.x() - 12.0, at.y() - 12.0, 24.0, 24.0), Qt.AlignmentFlag.AlignCenter, str(number))


def _paint_section(painter: QPainter, room: QRectF, view: EndView, look: Look) -> None:
    """Paint the section of the piece where it stands within the blank's outline, with its sizes."""
    variant, places = view.variant, view.places
    font = small_font(view.font())
    painter.setFont(font)
    metrics = QFontMetricsF(font)
    line = metrics.height()
    _title(painter, room, "Piece at the top" if view.level is None else f"Piece, {size(places.z, view.units)} up", look)
    a, b = half_across(variant.blank, "front", places.z), half_across(variant.blank, "side", places.z)
    section = places.section
    if section is None or section.width <= 0.0 or section.depth <= 0.0 or places.middle is None:
        painter.setPen(look.faint_ink)
        flags = int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)
        painter.drawText(room, flags, "No wood at this height")
        return
    x, y = places.middle
    # the same scale as the blank beside it, with room for the swing
    inner = room.adjusted(line + 6.0, line + 6.0, -line - 6.0, -line - 6.0)
    reach_x = max(a, abs(x) + section.width / 2.0)
    reach_y = max(b, abs(y) + section.depth / 2.0)
    plan = _plan_in(inner, reach_x, reach_y)
    pen = QPen(look.faint_ink, 1.0)
    pen.setDashPattern([3.0, 3.0])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(plan.box(-a, -b, a, b))
    w, d = section.width / 2.0, section.depth / 2.0
    box = plan.box(x - w, y - d, x + w, y + d)
    wood = ground_colour(variant, look)
    painter.setPen(QPen(look.ink, 1.4))
    painter.setBrush(wood)
    painter.drawRect(box)
    # the glue joints meet at the axis: the blank's outside corners have become the centre
    painter.setPen(QPen(faded(QColor("#17130f") if wood.lightness() > 110 else QColor("#fffaf0"), 0.6), 1.0))
    if box.contains(plan.at(0.0, y)):
        painter.drawLine(QPointF(plan.at(0.0, 0.0).x(), box.top()), QPointF(plan.at(0.0, 0.0).x(), box.bottom()))
    if box.contains(plan.at(x, 0.0)):
        painter.drawLine(QPointF(box.left(), plan.at(0.0, 0.0).y()), QPointF(box.right(), plan.at(0.0, 0.0).y()))
    painter.setPen(look.ink)
    wide = size(section.width, view.units)
    painter.drawText(
        QRectF(box.center().x() - 60.0, room.bottom() - line - 3.0, 120.0, line), Qt.AlignmentFlag.AlignHCenter, wide
    )
    painter.save()
    outer = plan.box(-reach_x, -reach_y, reach_x, reach_y).right()
    painter.translate(outer + 4.0 + metrics.ascent(), box.center().y())
    painter.rotate(-90.0)
    deep = size(section.depth, view.units)
    painter.drawText(QPointF(-metrics.horizontalAdvance(deep) / 2.0, 0.0), deep)
    painter.restore()
    _paint_dimension(painter, QPolygonF([box.bottomLeft(), box.bottomRight()]), look)


def _paint_dimension(painter: QPainter, ends: QPolygonF, look: Look) -> None:
    """Draw small strokes below the section's edges, so that its width reads as that of the figure."""
    painter.setPen(QPen(look.faint_ink, 1.0))
    for i in range(ends.count()):
        painter.drawLine(ends.at(i) + QPointF(0.0, 2.0), ends.at(i) + QPointF(0.0, 6.0))
