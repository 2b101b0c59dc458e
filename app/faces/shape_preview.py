"""A small picture of the lines a starting shape gives: one face or both, stretched to be seen."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPaintEvent, QPalette, QPen, QPixmap
from PySide6.QtWidgets import QWidget

from app.faces.arrangement import Arrangement, arrange
from app.faces.drawn import drawn_line, line_path
from app.faces.ground import outline
from app.faces.marks import lines_of, paint_leaders, paint_marks, place_marks
from app.faces.strokes import inks_on, paint_line, paint_nodes, paint_slot, paint_thin_walls, paint_tight_bends
from app.faces.wood import WoodPictures, ground_colour, is_many_woods, paint_wood
from app.faces.words import FACE
from app.look import look_of, small_font
from geometry.lines import line_through
from geometry.project import CUT_NAMES, CutName, DisplayUnits, Variant
from geometry.shapes import Room, Shape


class ShapePreview(QWidget):
    """Both faces with the lines a shape would give them."""

    def __init__(self, variant: Variant, units: DisplayUnits, parent: QWidget | None = None) -> None:
        """Make a picture of a design."""
        super().__init__(parent)
        self._variant, self._units = variant, units
        self._pictures = WoodPictures(self)
        self._pictures.ready.connect(self.update)
        self.setAccessibleName("What the faces would look like")

    def show_variant(self, variant: Variant) -> None:
        """Show another design."""
        self._variant = variant
        self.update()

    def sizeHint(self) -> QSize:
        """Return room for two faces."""
        return QSize(240, 320)

    def minimumSizeHint(self) -> QSize:
        """Return the least room."""
        return QSize(160, 200)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint both faces."""
        look = look_of(self.palette())
        font = small_font(self.font())
        painter = QPainter(self)
        painter.fillRect(self.rect(), look.paper)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font)
        room = QRectF(self.rect()).adjusted(10.0, 26.0, -10.0, -10.0)
        placed = arrange(self._variant.blank, room)
        drawn = {cut: drawn_line(self._variant, cut) for cut in CUT_NAMES}
        for cut in CUT_NAMES:
            self._paint_face(painter, placed, cut)
        painter.setPen(QPen(look.ink, 1.4))
        painter.drawLine(placed.front_box.bottomRight(), placed.front_box.topRight())
        lines = lines_of(self._variant, drawn)
        marks = place_marks(lines, (), placed, QRectF(self.rect()), self._units, self.font())
        paint_leaders(painter, marks, look)
        for cut in CUT_NAMES:
            paint_nodes(painter, self._variant.cut(cut).nodes, placed.face(cut), look)
        paint_marks(painter, marks, None, look, self.palette(), self.font())
        painter.end()

    def _paint_face(self, painter: QPainter, placed: Arrangement, name: CutName) -> None:
        look = look_of(self.palette())
        inks = inks_on(ground_colour(self._variant, look), is_many_woods(self._variant), self.palette())
        shape, face, drawn = outline(self._variant, name, placed), placed.face(name), drawn_line(self._variant, name)
        painter.save()
        painter.setClipPath(shape)
        paint_wood(painter, self._variant, name, face, self._pictures, look)
        paint_thin_walls(painter, drawn, face, inks, look)
        paint_slot(painter, drawn, face, inks)
        painter.restore()
        paint_line(painter, drawn, face, shape, inks, look, False)
        paint_tight_bends(painter, drawn, face, inks, look)
        box = placed.box(name)
        painter.setPen(look.ink)
        above = QRectF(box.left() - 20.0, box.top() - 22.0, box.width() + 40.0, 18.0)
        painter.drawText(above, Qt.AlignmentFlag.AlignCenter, FACE[name])


def shape_icon(shape: Shape, room: Room, palette: QPalette, height: int = 44) -> QIcon:
    """Return a shape's line as a small picture, in the colour of text."""
    icon = QIcon()
    for mode, role in (
        (QIcon.Mode.Normal, QPalette.ColorRole.Text),
        (QIcon.Mode.Selected, QPalette.ColorRole.HighlightedText),
    ):
        icon.addPixmap(_line_picture(shape, room, palette.color(role), height), mode)
    return icon


def _line_picture(shape: Shape, room: Room, colour: QColor, height: int) -> QPixmap:
    ratio = 2.0
    pixmap = QPixmap(round(26 * ratio), round(height * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    line = line_through(shape.nodes(room.length_mm))
    widest = max(abs(float(line.pieces[:, :, 0].min())), abs(float(line.pieces[:, :, 0].max())), 1e-6)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(QPointF(13.0, height - 3.0))
    # as wide as the picture, but a nearly straight line stays nearly straight
    painter.scale(min(9.0 / widest, 0.6 * 26.0 / room.width_mm * 1.6), -(height - 6.0) / room.length_mm)
    pen = QPen(colour, 2.0)
    pen.setCosmetic(True)
    painter.setPen(pen)
    painter.drawPath(line_path(line))
    painter.end()
    return pixmap
