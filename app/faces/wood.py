"""The wood of a face: a plain colour with a faint grain along its length."""

from __future__ import annotations

import random

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from app.faces.arrangement import Arrangement
from app.look import Look, faded, luminance, mixed, wood_colour
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.project import CutName, Variant

_GRAIN_PX = 7.0
"""About so far apart are the lines of the grain."""


def ground_colour(variant: Variant, look: Look) -> QColor:
    """Return the colour that a face is drawn in: the wood, a little quieter than the piece beside it."""
    return mixed(wood_colour(_species(variant)), look.paper, 0.10 if look.is_dark else 0.16)


def _species(variant: Variant) -> str:
    match variant.layup:
        case Plain(species=species):
            return species
        case Stripes(strips=strips):
            return strips[0][1]
        case Checker(species=all_species) | Chevron(species=all_species):
            return all_species[0]


def paint_wood(painter: QPainter, variant: Variant, cut: CutName, arrangement: Arrangement, look: Look) -> None:
    """Paint the wood of one face over its box; the painter is clipped to the face's outline."""
    box = arrangement.box(cut)
    ground = ground_colour(variant, look)
    painter.fillRect(box, ground)
    grain = QColor("#000000") if luminance(ground) > 0.16 else QColor("#ffffff")
    draw = random.Random(f"{cut} {_species(variant)}")  # the same grain every time
    lying = arrangement.is_lying
    across, along = (box.height(), box.width()) if lying else (box.width(), box.height())
    painter.setBrush(Qt.BrushStyle.NoBrush)
    at = draw.uniform(0.0, _GRAIN_PX)
    while at < across:
        painter.setPen(QPen(faded(grain, draw.uniform(0.025, 0.085)), draw.uniform(0.6, 1.6)))
        painter.drawPath(_vein(draw, box, at, along, lying))
        at += draw.uniform(0.35, 1.65) * _GRAIN_PX


def _vein(draw: random.Random, box: QRectF, at: float, along: float, lying: bool) -> QPainterPath:
    """Return one line of the grain, wandering a little to either side."""

    def place(off: float, far: float) -> QPointF:
        if lying:
            return QPointF(box.left() + far, box.top() + at + off)
        return QPointF(box.left() + at + off, box.bottom() - far)

    bends = [draw.uniform(-3.0, 3.0) for _ in range(4)]
    path = QPainterPath(place(bends[0], 0.0))
    path.cubicTo(place(bends[1], along / 3.0), place(bends[2], along * 2.0 / 3.0), place(bends[3], along))
    return path
