"""How plain widgets are drawn: paper, hairlines and the accent, so that they are seen by night as by day.

Qt's own Fusion draws outlines darker than the window, which on a dark window cannot be seen.
"""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPalette, QPen
from PySide6.QtWidgets import (
    QProxyStyle,
    QPushButton,
    QStyle,
    QStyleHintReturn,
    QStyleOption,
    QStyleOptionButton,
    QWidget,
)

from app.look import Look, faded, look_of, mixed

_Primitive = QStyle.PrimitiveElement
_State = QStyle.StateFlag


class PaperStyle(QProxyStyle):
    """Fusion, with buttons, boxes to tick and round choices drawn in the look's own colours."""

    def __init__(self) -> None:
        """Build on Fusion."""
        super().__init__("Fusion")

    def styleHint(
        self,
        hint: QStyle.StyleHint,
        option: QStyleOption | None = None,
        widget: QWidget | None = None,
        returnData: QStyleHintReturn | None = None,
    ) -> int:
        """Leave little pictures off the buttons of dialogs: their words are enough.

        (A style sheet could say so too, but under one, widgets no longer follow the application's palette.)
        """
        if hint == QStyle.StyleHint.SH_DialogButtonBox_ButtonsHaveIcons:
            return 0
        return int(super().styleHint(hint, option, widget, returnData))

    def drawPrimitive(
        self,
        element: QStyle.PrimitiveElement,
        option: QStyleOption,
        painter: QPainter,
        widget: QWidget | None = None,
    ) -> None:
        """Draw what Fusion draws invisibly by night; leave the rest to it."""
        if element not in (
            _Primitive.PE_IndicatorCheckBox,
            _Primitive.PE_IndicatorRadioButton,
            _Primitive.PE_PanelButtonCommand,
        ):
            super().drawPrimitive(element, option, painter, widget)
            return
        palette: QPalette = option.palette  # type: ignore[attr-defined]
        state: QStyle.StateFlag = option.state  # type: ignore[attr-defined]
        box = QRectF(option.rect).adjusted(0.5, 0.5, -0.5, -0.5)  # type: ignore[attr-defined]
        look = look_of(palette)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if element == _Primitive.PE_PanelButtonCommand:
            _button(painter, box, look, state, _is_default(option, widget))
        else:
            _indicator(painter, box, look, state, element == _Primitive.PE_IndicatorRadioButton)
        painter.restore()


def _is_default(option: QStyleOption, widget: QWidget | None) -> bool:
    if isinstance(option, QStyleOptionButton):
        return bool(option.features & QStyleOptionButton.ButtonFeature.DefaultButton)  # type: ignore[attr-defined]
    return isinstance(widget, QPushButton) and widget.isDefault()


def _button(painter: QPainter, box: QRectF, look: Look, state: QStyle.StateFlag, is_default: bool) -> None:
    ground = look.paper
    if state & _State.State_Sunken or state & _State.State_On:
        ground = mixed(look.paper, look.ink, 0.16)
    elif state & _State.State_MouseOver and state & _State.State_Enabled:
        ground = mixed(look.paper, look.ink, 0.06)
    has_focus = bool(state & _State.State_HasFocus)
    edge = look.accent if has_focus or is_default else look.rule
    painter.setPen(QPen(edge, 2.0 if has_focus else 1.0))
    painter.setBrush(ground)
    inset = 0.5 if has_focus else 0.0
    painter.drawRoundedRect(box.adjusted(inset, inset, -inset, -inset), 4, 4)


def _indicator(painter: QPainter, box: QRectF, look: Look, state: QStyle.StateFlag, is_round: bool) -> None:
    side = min(box.width(), box.height())
    box = QRectF(box.center().x() - side / 2, box.center().y() - side / 2, side, side)
    is_on = bool(state & (_State.State_On | _State.State_NoChange))
    is_enabled = bool(state & _State.State_Enabled)
    has_focus = bool(state & _State.State_HasFocus)
    accent = look.accent if is_enabled else faded(look.accent, 0.45)
    edge = accent if is_on or has_focus else (look.faint_ink if is_enabled else look.rule)
    painter.setPen(QPen(edge, 1.2))
    painter.setBrush(accent if is_on else look.paper)
    if is_round:
        painter.drawEllipse(box)
        if is_on:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look.on_accent)
            painter.drawEllipse(box.center(), side * 0.2, side * 0.2)
        return
    painter.drawRoundedRect(box, 2.5, 2.5)
    if state & _State.State_NoChange:
        painter.setPen(QPen(look.on_accent, 2.0))
        painter.drawLine(QPointF(box.left() + 3, box.center().y()), QPointF(box.right() - 3, box.center().y()))
    elif is_on:
        pen = QPen(look.on_accent, 1.8, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        tick = ((0.24, 0.52), (0.43, 0.71), (0.77, 0.31))
        painter.drawPolyline([QPointF(box.left() + x * side, box.top() + y * side) for x, y in tick])
