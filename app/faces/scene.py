"""What is painted over the ground on every change, from the back to the front."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPainterPath, QPen

from app.faces.drawn import line_path
from app.faces.flats_scene import paint_flats, paint_invitation_to_trim
from app.faces.gestures import Band, NodeDrag, Pen
from app.faces.ground import outline
from app.faces.marks import paint_leaders, paint_marks, paint_osculating_arc
from app.faces.selection import Selection, cut_of, lines_on
from app.faces.strokes import (
    inks_on,
    paint_band,
    paint_ghost,
    paint_grid,
    paint_guide,
    paint_level,
    paint_line,
    paint_nodes,
    paint_places,
    paint_slot,
    paint_thin_walls,
    paint_tight_bends,
)
from app.faces.wood import ground_colour, is_many_woods
from app.faces.words import INVITE
from app.look import Look, faded
from geometry.copying import other_face
from geometry.lines import line_through
from geometry.project import CUT_NAMES, CutName, Node

if TYPE_CHECKING:
    from app.faces.sheet import Sheet


def paint_scene(painter: QPainter, sheet: Sheet, look: Look) -> None:
    """Paint lines, nodes, marks, the level and what the hand is doing."""
    placed, drawn, gesture = sheet.arrangement, sheet.drawn, sheet.hand.gesture
    inks = inks_on(ground_colour(sheet.variant, look), is_many_woods(sheet.variant), sheet.palette())
    for cut in CUT_NAMES if sheet.view == "flats" else ():
        paint_flats(painter, sheet, cut, inks, look)
    for cut in CUT_NAMES if sheet.view == "faces" else ():
        face, shape = placed.face(cut), outline(sheet.variant, cut, placed)
        painter.save()
        painter.setClipPath(shape)
        if sheet.grid_mm and isinstance(gesture, NodeDrag | Pen):
            half = placed.box(cut).height() if placed.is_lying else placed.box(cut).width()
            paint_grid(painter, placed.box(cut), face, sheet.grid_mm, half / face.across / 2.0, inks.pencil)
        paint_thin_walls(painter, drawn[cut], face, inks, look)
        paint_slot(painter, drawn[cut], face, inks)
        painter.restore()
        if any(m.finding is None and m.cut == cut for m in sheet.marks):
            paint_osculating_arc(painter, drawn[cut], face, look)
        paint_line(painter, drawn[cut], face, shape, inks, look, sheet.is_impossible)
        paint_tight_bends(painter, drawn[cut], face, inks, look)
        if not sheet.variant.cut(cut).nodes and sheet.hand.gesture is None:
            _paint_invitation(painter, sheet, cut, look)
    if sheet.level is not None:
        paint_level(painter, sheet.level, placed, sheet.units, sheet.font(), look)
    for cut in CUT_NAMES if sheet.view == "flats" else ():
        paint_invitation_to_trim(painter, sheet, cut, look)
    if isinstance(gesture, NodeDrag) and gesture.is_under_way:
        _paint_guides(painter, sheet, gesture, look)
    paint_leaders(painter, sheet.marks, look)
    for cut, trim in lines_on(sheet.variant, sheet.view):
        is_here = sheet.selection.is_on(cut, trim)
        pointed = sheet.hand.pointed
        paint_nodes(
            painter,
            cut_of(sheet.variant, Selection(cut, trim=trim)).nodes,
            placed.face(cut),
            look,
            sheet.selection.nodes if is_here else (),
            sheet.selection.at if is_here and sheet.hasFocus() else None,
            pointed.node if pointed is not None and (pointed.cut, pointed.trim) == (cut, trim) else None,
        )
    paint_marks(painter, sheet.marks, sheet.chosen_finding, look, sheet.palette(), sheet.font())
    _paint_hand(painter, sheet, look)
    if sheet.hasFocus():
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(look.accent, 2.0))
        painter.drawRect(sheet.rect().adjusted(1, 1, -1, -1))


def _paint_invitation(painter: QPainter, sheet: Sheet, cut: CutName, look: Look) -> None:
    """Say on a face without nodes what a click there does, a little to the right of its line."""
    box = sheet.arrangement.box(cut)
    metrics = QFontMetricsF(sheet.font())
    painter.setFont(sheet.font())
    flags = int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)
    room = box.adjusted(6.0, 0.0, -6.0, 0.0)
    words = metrics.boundingRect(room, flags, INVITE).adjusted(-7.0, -4.0, 7.0, 4.0)
    if sheet.arrangement.is_lying:
        words.moveCenter(box.center())
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(faded(look.paper, 0.88))
    painter.drawRoundedRect(words, 5.0, 5.0)
    painter.setPen(look.ink)
    painter.drawText(words, flags, INVITE)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _paint_guides(painter: QPainter, sheet: Sheet, drag: NodeDrag, look: Look) -> None:
    """Show what the node in the hand is caught by."""
    caught, placed, cut = drag.caught, sheet.arrangement, drag.selection.cut
    if caught is None:
        return
    if caught.across == "centre line":
        face = placed.face(cut)
        paint_guide(painter, QLineF(face.to_px(0.0, placed.low), face.to_px(0.0, placed.high)), look)
    if caught.up in ("other face", "end"):
        both, at = placed.both, placed.front.to_px(0.0, caught.at[1])
        line = (
            QLineF(at.x(), both.top(), at.x(), both.bottom())
            if placed.is_lying
            else QLineF(both.left(), at.y(), both.right(), at.y())
        )
        paint_guide(painter, line, look)
    if caught.up == "other face":
        other = other_face(cut)
        for node in sheet.variant.cut(other).nodes if sheet.view == "faces" else ():
            if abs(node.at[1] - caught.at[1]) < 1e-9:
                painter.setPen(QPen(look.accent, 2.0))
                painter.drawEllipse(placed.face(other).to_px(*node.at), 10.0, 10.0)


def _paint_hand(painter: QPainter, sheet: Sheet, look: Look) -> None:
    gesture, pointed, placed = sheet.hand.gesture, sheet.hand.pointed, sheet.arrangement
    if isinstance(gesture, Band) and gesture.is_drawn:
        paint_band(painter, gesture.box, look)
    elif isinstance(gesture, Pen):
        face = placed.face(gesture.cut)
        places = [*gesture.places, *([gesture.pointer] if gesture.pointer else [])]
        path = QPainterPath()
        nodes = [Node(at) for i, at in enumerate(places) if i == 0 or at != places[i - 1]]
        if len(nodes) > 1:
            path = face.transform.map(line_path(line_through(nodes)))
        paint_places(painter, [face.to_px(*at) for at in gesture.places], path, look)
    elif gesture is None and sheet.tool == "select" and pointed is not None and pointed.on_line is not None:
        paint_ghost(painter, placed.face(pointed.cut).to_px(*pointed.on_line), look)
