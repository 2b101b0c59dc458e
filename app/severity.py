"""How severe a finding is, to the eye: a shape and a word before it is a colour."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPalette, QPolygonF

from app.look import look_of
from geometry.findings import Severity

WORDS: Final[dict[Severity, str]] = {"stop": "Stop", "caution": "Caution", "advice": "Advice"}
COUNTED: Final[dict[Severity, tuple[str, str]]] = {
    "stop": ("stop", "stops"),
    "caution": ("caution", "cautions"),
    "advice": ("piece of advice", "pieces of advice"),
}
"""A severity counted: one, and several."""

# dark enough on paper, light enough on a dark ground: at least 4.5 to 1 against the base and the window of either look
_COLOURS: Final[dict[Severity, tuple[str, str]]] = {
    "stop": ("#a3271b", "#ff9683"),
    "caution": ("#7d5700", "#edbf5b"),
    "advice": ("#2c5f82", "#93c4e6"),
}


def severity_colour(severity: Severity, palette: QPalette) -> QColor:
    """Return the colour of a severity that can be read on the grounds of the palette."""
    light, dark = _COLOURS[severity]
    return QColor(dark if look_of(palette).is_dark else light)


def severity_shape(severity: Severity, box: QRectF) -> QPainterPath:
    """Return the shape of a severity within a box: a square stops, a triangle warns, a disc advises."""
    path = QPainterPath()
    if severity == "stop":
        inset = box.width() * 0.08
        path.addRect(box.adjusted(inset, inset, -inset, -inset))
    elif severity == "caution":
        corners = [QPointF(box.center().x(), box.top()), box.bottomRight(), box.bottomLeft()]
        path.addPolygon(QPolygonF(corners))
        path.closeSubpath()
    else:
        path.addEllipse(box.adjusted(0.5, 0.5, -0.5, -0.5))
    return path


def paint_severity(painter: QPainter, severity: Severity, box: QRectF, palette: QPalette) -> None:
    """Paint the shape of a severity in its colour."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillPath(severity_shape(severity, box), severity_colour(severity, palette))
    painter.restore()
