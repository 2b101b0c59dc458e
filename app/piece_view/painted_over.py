"""All that is painted over the picture of the piece, in its order: level, seam marks, numbers, words, focus."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app.look import Look
from app.piece_view import overlay
from app.piece_view.offscreen import Offscreen
from app.piece_view.seam_marks import SeamMarks, paint_legend, paint_seam_marks
from app.piece_view.stage import Stage
from geometry.solids import BoolArray, FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class PaintedOver:
    """What is to be painted.

    Attributes
    ----------
    stage, offscreen : the scene, and the picture it was last rendered to; None where nothing can be drawn
    ratio : how many pixels of the picture one of the widget is
    level, level_words, level_fineness_mm : height of the level line or None, how it is written, and in how short
        pieces it is looked at
    marks : on the seams, or None
    has_numbers : write each quarter's number on it
    words, caption, impossible, hint : in the middle, in the corner, on the banner, in passing; empty for none
    has_focus : paint the frame that shows where the keys go
    """

    stage: Stage | None
    offscreen: Offscreen | None
    ratio: float
    level: float | None
    level_words: Callable[[float], str]
    level_fineness_mm: float
    marks: SeamMarks | None
    has_numbers: bool
    words: str
    caption: str
    impossible: str
    hint: str
    has_focus: bool

    def paint(self, painter: QPainter, look: Look, box: QRectF) -> None:
        """Paint it all over a widget of this size."""
        if self.words:
            overlay.paint_words(painter, look, self.words, box.adjusted(20, 20, -20, -20))
        if self.stage is not None and self.offscreen is not None:
            self._paint_on_piece(painter, look, box, self.stage, self.offscreen)
        if self.caption:
            overlay.paint_caption(painter, look, self.caption, box.width())
        if self.impossible:
            overlay.paint_banner(painter, look, self.impossible, box.width(), box.height())
        if self.hint:
            overlay.paint_hint(painter, look, self.hint, box.width())
        if self.has_focus:
            overlay.paint_focus(painter, look, box)

    def _paint_on_piece(self, painter: QPainter, look: Look, box: QRectF, stage: Stage, offscreen: Offscreen) -> None:
        if self.level is not None and not stage.is_empty:
            pieces = overlay.pieces_of(stage.outline_at(self.level), self.level_fineness_mm)
            if len(pieces):
                flat, seen = self._in_picture(offscreen, pieces)
                overlay.paint_level(painter, look, flat, seen, self.level_words(self.level))
        if self.marks is not None and len(self.marks.ends):
            flat, seen = self._in_picture(offscreen, self.marks.ends)
            paint_seam_marks(painter, look, self.marks, flat, seen)
            paint_legend(painter, look, self.marks, box)
        ends = stage.top_ends() if self.has_numbers else {}
        if ends:
            places = offscreen.project(np.array(list(ends.values())))
            places[:, :2] /= self.ratio
            overlay.paint_numbers(painter, look, dict(zip(ends, places, strict=True)))

    def _in_picture(self, offscreen: Offscreen, ends: FloatArray) -> tuple[FloatArray, BoolArray]:
        """Return where segments (n, 2, 3) lie in the widget, (n, 2, 2), and which of them are seen, (n,)."""
        seen = offscreen.can_see(ends.mean(axis=1))
        flat = offscreen.project(ends.reshape(-1, 3))[:, :2] / self.ratio
        return flat.reshape(-1, 2, 2), seen
