"""A finished picture of what the views show: any size, smooth, with its numbers and names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtGui import QGuiApplication, QImage, QPainter

from app.look import DARK, LIGHT
from app.piece_view import overlay
from app.piece_view.turntable import Pose, camera_pose
from app.scene.png import write_png
from app.scene.still import render_still
from app.scene.theme import ThemeName

if TYPE_CHECKING:
    from app.piece_view.piece_view import PieceView

_REFERENCE_PX = 700.0
"""A picture this high shows numbers and names in their size on screen; larger pictures, larger ones."""


def still_picture(
    views: Sequence[tuple[str, PieceView]], size: tuple[int, int], theme: ThemeName, numbers: bool
) -> QImage:
    """Render the pieces of some views side by side, from where they are seen.

    Parameters
    ----------
    views : caption and view; each has a piece
    size : (width, height) of the whole in pixels
    numbers : with the quarters' numbers

    Raises
    ------
    OutputError
        This machine cannot draw, or not that large.
    """
    whole = QImage(*size, QImage.Format.Format_RGB32)
    painter = QPainter(whole)
    painter.setFont(QGuiApplication.font())
    scale = size[1] / _REFERENCE_PX
    look = DARK if theme == "dark" else LIGHT
    left = 0
    try:
        for index, (caption, view) in enumerate(views):
            width = round(size[0] * (index + 1) / len(views)) - left
            picture, ends = _one(view, (width, size[1]), theme, scale)
            painter.drawImage(left, 0, picture)
            painter.save()
            painter.translate(left, 0)
            painter.scale(scale, scale)
            if numbers:
                overlay.paint_numbers(painter, look, ends)
            if caption:
                overlay.paint_caption(painter, look, caption, width / scale)
            painter.restore()
            left += width
    finally:
        painter.end()
    return whole


def _one(
    view: PieceView, size: tuple[int, int], theme: ThemeName, scale: float
) -> tuple[QImage, dict[int, np.ndarray]]:
    stage = view.stage
    assert stage is not None  # a view that shows a piece has one
    scene = stage.scene_for_picture(theme)
    aspect = size[0] / size[1]
    scene.stand(camera_pose(_widened(view.pose(), view.aspect(), aspect)))
    pixels = render_still(scene, size)
    picture = QImage(pixels.data, *size, 3 * size[0], QImage.Format.Format_RGB888).copy()
    matrix = scene.renderer.GetActiveCamera().GetCompositeProjectionTransformMatrix(aspect, -1.0, 1.0)
    to_clip = np.array([[matrix.GetElement(r, c) for c in range(4)] for r in range(4)])
    ends = {}
    for number, place in stage.top_ends().items():
        clip = to_clip @ [*place, 1.0]
        x, y, depth = clip[:3] / clip[3]
        ends[number] = np.array([(x + 1.0) * size[0] / 2.0 / scale, (1.0 - y) * size[1] / 2.0 / scale, depth])
    return picture, ends


def _widened(pose: Pose, seen_aspect: float, aspect: float) -> Pose:
    """Show at least what is seen, in width as in height."""
    return replace(pose, half_height=pose.half_height * max(1.0, seen_aspect / aspect))


def png_bytes(picture: QImage) -> bytes:
    """Return the picture as a PNG file."""
    plain = picture.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), plain.bytesPerLine())
    return write_png(np.ascontiguousarray(rows[:, : 3 * plain.width()].reshape(plain.height(), plain.width(), 3)))
