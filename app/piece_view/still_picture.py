"""A finished picture of what the views show: any size, smooth, with its numbers and names.

The pieces are drawn one by one by another process, for a large picture takes many seconds; a `StillPicture` says how,
and puts together what comes of it. What is on screen is there already: `on_screen` puts that together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import QRect
from PySide6.QtGui import QGuiApplication, QImage, QPainter

from app.look import DARK, LIGHT
from app.piece_view import overlay
from app.piece_view.turntable import Pose, camera_pose
from app.scene.camera import camera_text, seen_at
from app.scene.png import write_png
from app.scene.theme import ThemeName
from geometry.project import Project, Variant
from geometry.solids import FloatArray

if TYPE_CHECKING:
    from app.piece_view.piece_view import PieceView

_REFERENCE_PX: Final = 700.0
"""A picture this high shows numbers and names in their size on screen; larger pictures, larger ones."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """One piece in a picture.

    Attributes
    ----------
    variant : Variant
    room : QRect
        Where it stands in the whole picture.
    words : of the command line's ``picture``, which draws it
    caption : its name, or nothing
    ends : by quarter's number, (3,) where its number belongs: pixels of its room, and how far away, mm
    """

    variant: Variant
    room: QRect
    words: tuple[str, ...]
    caption: str
    ends: dict[int, FloatArray]

    @property
    def project(self) -> Project:
        """What the other process is to read."""
        return Project(variants=(self.variant,))


@dataclass(frozen=True, slots=True, eq=False)
class StillPicture:
    """A picture to be made: its pieces from left to right.

    Attributes
    ----------
    size : (width, height) of the whole in pixels
    scale : pixels to a unit of the numbers' and names' own measure
    """

    size: tuple[int, int]
    drawings: tuple[Drawing, ...]
    theme: ThemeName
    scale: float

    def put_together(self, drawn: Sequence[QImage]) -> QImage:
        """Return the whole, given its pieces in order."""
        look = DARK if self.theme == "dark" else LIGHT
        whole = QImage(*self.size, QImage.Format.Format_RGB32)
        painter = QPainter(whole)
        painter.setFont(QGuiApplication.font())
        for drawing, image in zip(self.drawings, drawn, strict=True):
            painter.drawImage(drawing.room, image)
            painter.save()
            painter.translate(drawing.room.topLeft())
            painter.scale(self.scale, self.scale)
            by_scale = np.array([self.scale, self.scale, 1.0])
            overlay.paint_numbers(painter, look, {number: end / by_scale for number, end in drawing.ends.items()})
            if drawing.caption:
                overlay.paint_caption(painter, look, drawing.caption, drawing.room.width() / self.scale)
            painter.restore()
        painter.end()
        return whole


@dataclass(frozen=True, slots=True)
class GoingRound:
    """A piece to be shown going round once: what is to be read, and words of the command line's ``picture``."""

    variant: Variant
    words: tuple[str, ...]

    @property
    def project(self) -> Project:
        """What the other process is to read."""
        return Project(variants=(self.variant,))


def still_picture(
    views: Sequence[tuple[str, PieceView]], size: tuple[int, int], theme: ThemeName, numbers: bool
) -> StillPicture:
    """Return the picture of the pieces of some views side by side, from where they are seen.

    Parameters
    ----------
    views : caption and view; each has a piece
    size : (width, height) of the whole in pixels
    numbers : with the quarters' numbers
    """
    drawings, left = [], 0
    for index, (caption, view) in enumerate(views):
        right = round(size[0] * (index + 1) / len(views))
        drawings.append(_drawing(caption, view, QRect(left, 0, right - left, size[1]), theme, numbers))
        left = right
    return StillPicture(size, tuple(drawings), theme, size[1] / _REFERENCE_PX)


def on_screen(views: Sequence[tuple[str, PieceView]], theme: ThemeName, numbers: bool) -> QImage:
    """Return what the views show side by side, at its best, in the screen's own pixels."""
    images = [view.finished_picture() for _, view in views]
    drawings, left = [], 0
    for (caption, view), image in zip(views, images, strict=True):
        room = QRect(left, 0, image.width(), image.height())
        drawings.append(_drawing(caption, view, room, theme, numbers))
        left += image.width()
    size = (left, max(image.height() for image in images))
    return StillPicture(size, tuple(drawings), theme, images[0].devicePixelRatio()).put_together(images)


def _drawing(caption: str, view: PieceView, room: QRect, theme: ThemeName, numbers: bool) -> Drawing:
    stage = view.stage
    assert stage is not None  # a view that shows a piece has one
    aspect = room.width() / room.height()
    camera = camera_pose(_widened(view.pose(), view.aspect(), aspect))
    words = (
        *("--size", f"{room.width()}x{room.height()}"),
        *("--turn", repr(stage.turn)),
        *("--theme", theme),
        *("--show", stage.mode),
        f"--camera={camera_text(camera)}",
    )
    ends = stage.top_ends() if numbers else {}
    if ends:
        seen = seen_at(camera, aspect, np.array(list(ends.values())))
        seen[:, :2] *= [room.width(), room.height()]
        ends = dict(zip(ends, seen, strict=True))
    return Drawing(stage.variant, room, words, caption, ends)


def _widened(pose: Pose, seen_aspect: float, aspect: float) -> Pose:
    """Show at least what is seen, in width as in height."""
    return replace(pose, half_height=pose.half_height * max(1.0, seen_aspect / aspect))


def png_bytes(picture: QImage) -> bytes:
    """Return the picture as a PNG file."""
    plain = picture.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), plain.bytesPerLine())
    return write_png(np.ascontiguousarray(rows[:, : 3 * plain.width()].reshape(plain.height(), plain.width(), 3)))
