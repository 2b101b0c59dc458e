"""One picture of one piece, turned, zoomed and pointed at with mouse and keys.

Nothing is rendered in an event handler: handlers note what changed and ask for a repaint, and the repaint renders
once, whatever happened in between. While something moves, edges are left rough and the shadow waits; once it rests
both follow.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QElapsedTimer, QEvent, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import (
    QImage,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QShowEvent,
)
from PySide6.QtWidgets import QWidget

from app.builder import Built
from app.look import DARK, LIGHT, Look
from app.piece_view import gestures, overlay
from app.piece_view.handled_view import HandledView
from app.piece_view.offscreen import Offscreen
from app.piece_view.painted_over import PaintedOver
from app.piece_view.seam_marks import SeamMarks, seam_marks
from app.piece_view.stage import Stage
from app.piece_view.turntable import Extent, Pose, camera_pose
from app.piece_view.viewpoint import Viewpoint
from app.scene.theme import ThemeName
from app.scene.wood.table import ShowThrough
from geometry.errors import OutputError
from geometry.project import Variant
from geometry.turning import GLUED

REST_MS: Final = 180
"""Nothing moved for this long: time for smooth edges and the shadow."""

PASSING_REST_MS: Final = 600
"""The same for a coarse piece: the next, or the fine one, is on its way, and a finished picture would hold it up."""

SHADOW_EVERY_MS: Final = 120
"""How often the shadow follows while the quarters move."""

WARM_AFTER_MS: Final = 30
"""The window is painted first; then the graphics system gets ready for wood while the piece is worked out."""

HINT_AFTER_MS: Final = 300
"""A build shorter than this is not worth a word."""

EMPTY: Final = "The piece stands here as soon as it is worked out."
HINT: Final = "Working out the piece…"

IN_WORDS: Final[dict[ShowThrough, str]] = {
    "wood": "The glued piece, drawn in its wood.",
    "quarters": "The glued piece, each quarter in a colour of its own.",
    "pattern": "The glued piece, each wood in one flat colour.",
}


@dataclass(slots=True)
class _Stale:
    """What the next repaint, or the next rest, has to bring up to date."""

    picture: bool = True
    shadow: bool = True
    smooth: bool = True


class PieceView(HandledView):
    """A view of one piece.

    Signals
    -------
    level_pointed : float or None
        The height on the piece under the pointer, mm; None when it leaves the piece.
    picture_painted
        A new picture has been rendered and painted.
    """

    level_pointed = Signal(object)
    picture_painted = Signal()

    def __init__(
        self,
        viewpoint: Viewpoint,
        theme: ThemeName = "light",
        length_words: Callable[[float], str] = lambda mm: f"{mm:.0f} mm",
        parent: QWidget | None = None,
    ) -> None:
        """Begin empty.

        Parameters
        ----------
        viewpoint : shared by linked views
        length_words : how a height is written beside the level line
        """
        super().__init__(viewpoint, parent)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMinimumSize(150, 150)
        self.setAccessibleName("Piece")
        self.length_words = length_words
        self._theme: ThemeName = theme
        self._stale = _Stale()
        self._image = QImage()
        self._grey: QImage | None = None
        self._built: Built | None = None
        self._caption, self._impossible = "", ""
        self._numbers = False
        self._marks_shown, self._is_glued = False, True
        self._seam_marks: SeamMarks | None = None
        self._mode: ShowThrough = "wood"
        self._level: float | None = None
        self._pointed: float | None = None
        self._closed = False
        self._cannot_draw = ""
        self._stage: Stage | None = None
        self._offscreen: Offscreen | None = None
        try:
            self._stage = Stage(theme)
            self._offscreen = Offscreen(self._stage.scene)
        except OutputError as reason:
            self._cannot_draw = str(reason)

        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self._come_to_rest)
        self._warm = QTimer(self, singleShot=True, interval=WARM_AFTER_MS)
        self._warm.timeout.connect(self._warm_up)
        self._hint = QTimer(self, singleShot=True, interval=HINT_AFTER_MS)
        self._hint.timeout.connect(self.update)
        self._is_building = False
        self._since_shadow = QElapsedTimer()
        self._since_shadow.start()
        viewpoint.changed.connect(self._camera_moved)
        viewpoint.link(self)
        self._describe()

    # ---- what is shown

    @property
    def built(self) -> Built | None:
        """The piece that is shown."""
        return self._built

    @property
    def stage(self) -> Stage | None:
        """The scene behind the picture; None where nothing can be drawn."""
        return self._stage

    @property
    def theme(self) -> ThemeName:
        """Day or night."""
        return self._theme

    def set_caption(self, caption: str) -> None:
        """Write a name in the corner, or none."""
        self._caption = caption
        self._describe()
        self.update()

    def show_built(self, built: Built) -> None:
        """Show a piece in the place of the one before; the eye stays where it is.

        A piece without any wood is not shown: the last good one stays.
        """
        if self._closed or self._stage is None or all(quarter.is_empty for quarter in built.quarters):
            return
        before, self._built = self._built, built
        self._seam_marks = None
        self._stage.show(built.variant, built.quarters)
        if before is None or before.variant.blank != built.variant.blank:
            self._viewpoint.keep_fitted()
        self._describe()
        # A fine piece follows a coarse one at rest: rough edges for a moment would only flicker.
        if built.is_fine and not self.is_dragged:
            self._rest.stop()
        self._moved(shadow=True, rough=not built.is_fine)

    def clear(self) -> None:
        """Show no piece: that of another design is to come."""
        if self._closed or self._stage is None or self._built is None:
            return
        self._built = None
        self._stage.clear()
        self._describe()
        self._moved(shadow=True, rough=False)

    def set_turn(self, turn: float) -> None:
        """Stand at this stage of the turning."""
        if self._stage is None or self._closed:
            return
        self._is_glued = turn >= GLUED
        self._stage.set_turn(turn)
        self._moved(shadow=True)

    def set_impossible(self, sentence: str | None) -> None:
        """Grey the last good piece and say why, or take that back with None."""
        self._impossible = sentence or ""
        self._describe()
        self.update()

    def set_building(self, building: bool) -> None:
        """Say that a newer piece is on its way, should that take long enough to be noticed."""
        self._is_building = building
        self._hint.stop()
        if building:
            self._hint.start()
        self.update()

    def set_numbers(self, shown: bool) -> None:
        """Write each quarter's number on it, or not."""
        self._numbers = shown
        self.update()

    def set_seam_marks(self, shown: bool) -> None:
        """Mark on the glued piece where the pattern meets at the seams and where it does not, or not."""
        self._marks_shown = shown
        self.update()

    def show_wood(self, variant: Variant) -> None:
        """Show the piece there is in the wood of a variant that differs from its own in nothing else."""
        if self._stage is None or self._built is None or self._closed:
            return
        if self._stage.show_wood(variant):
            self._moved()

    def set_mode(self, mode: ShowThrough) -> None:
        """Show the wood, the quarters apart by colour, or the pattern alone."""
        self._mode = mode
        if self._stage is not None:
            self._stage.set_mode(mode)
        self._describe()
        self._moved(rough=False)

    def set_level(self, z: float | None) -> None:
        """Show the level line at this height, or none."""
        if z != self._level:
            self._level = z
            self.update()

    def set_theme(self, theme: ThemeName) -> None:
        """Day or night."""
        self._theme = theme
        if self._stage is not None:
            self._stage.scene.set_theme(theme)
        self._moved(rough=False)

    def _look(self) -> Look:
        return DARK if self._theme == "dark" else LIGHT

    def _describe(self) -> None:
        """Say in words what the picture shows, for those who cannot see it."""
        words = [self._cannot_draw or (EMPTY if self._built is None else IN_WORDS[self._mode])]
        if self._caption:
            words.insert(0, f"Variant {self._caption}.")
        if self._impossible:
            words.append(f"Greyed, because: {self._impossible}")
        words.append(gestures.IN_WORDS)
        self.setAccessibleDescription(" ".join(words))

    # ---- for the viewpoint

    def extent(self) -> Extent | None:
        """Room the piece takes, or None while there is none to see."""
        return None if self._stage is None or self.isHidden() else self._stage.extent()

    def aspect(self) -> float:
        """Width over height."""
        return max(self.width(), 1) / max(self.height(), 1)

    def pose(self) -> Pose:
        """Where the eye stands."""
        return self._viewpoint.pose

    # ---- rendering

    def warm_up(self) -> None:
        """Have the graphics system made ready for wood in a moment: the first picture of a piece then comes at once."""
        if not self._closed and self._built is None:
            self._warm.start()

    def _warm_up(self) -> None:
        if self._stage is not None and self._offscreen is not None and self._built is None:
            self._stage.warm_up(self._offscreen.warm_up)

    def _camera_moved(self) -> None:
        self._moved()

    def _moved(self, shadow: bool = False, rough: bool = True) -> None:
        """Ask for a new picture: a rough one at once and a smooth one at rest, or smooth at once if all rests."""
        if self._closed:
            return
        self._stale.picture = self._stale.smooth = True
        self._stale.shadow |= shadow
        if rough:
            is_passing = self._built is not None and not self._built.is_fine
            self._rest.start(PASSING_REST_MS if is_passing else REST_MS)
        self.update()

    def _come_to_rest(self) -> None:
        # a smooth picture while a line is dragged would hold up the next piece, which is on its way
        if self.is_dragged or self._is_building:
            self._rest.start()
            return
        self._stale.picture = True
        self.update()

    @property
    def is_at_rest(self) -> bool:
        """True once the finished picture is painted: smooth edges, shadow and all."""
        stale = self._stale
        return not (stale.picture or stale.smooth or stale.shadow or self._rest.isActive())

    def finished_picture(self) -> QImage:
        """Return the picture at its best, without what is written over it, in the screen's own pixels."""
        if not self.is_at_rest:
            self.finish_picture()
        return self._image

    def finish_picture(self) -> None:
        """Bring the picture to its best at once."""
        self._rest.stop()
        self._stale.picture = True
        self.repaint()

    def _render(self) -> None:
        if self._stage is None or self._offscreen is None:
            return
        still = not self._rest.isActive()
        self._stage.set_moving(not still)
        self._stage.prepare()
        if self._stale.shadow and still:
            self._stage.scene.update_shadow()
            self._stale.shadow = False
        elif self._stale.shadow and self._since_shadow.elapsed() > SHADOW_EVERY_MS:
            self._stage.scene.update_shadow(moving=True)
            self._since_shadow.restart()
        ratio = self.devicePixelRatioF()
        size = (max(1, round(self.width() * ratio)), max(1, round(self.height() * ratio)))
        self._stage.scene.stand(camera_pose(self._viewpoint.pose))
        self._image = self._offscreen.render(*size, ratio, still)
        self._image.setDevicePixelRatio(ratio)
        self._grey = None
        self._stale.picture, self._stale.smooth = False, not still

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: D102
        look = self._look()
        rendered = self._stale.picture and not self._closed
        if rendered:
            self._render()
        painter = QPainter(self)
        box = QRectF(self.rect())
        if self._cannot_draw or self._closed or self._image.isNull():
            painter.fillRect(self.rect(), look.window)
            overlay.paint_words(painter, look, self._cannot_draw, box.adjusted(20, 20, -20, -20))
            painter.end()
            return
        if self._impossible and self._built is not None:
            if self._grey is None:
                self._grey = overlay.greyed(self._image, look)
                self._grey.setDevicePixelRatio(self._image.devicePixelRatioF())
            painter.drawImage(0, 0, self._grey)
        else:
            painter.drawImage(0, 0, self._image)
        self._paint_over(painter, box)
        painter.end()
        if rendered:
            self.picture_painted.emit()

    def _paint_over(self, painter: QPainter, box: QRectF) -> None:
        if self._marks_shown and self._seam_marks is None and self._built is not None:
            self._seam_marks = seam_marks(self._built.report.seams)
        PaintedOver(
            self._stage,
            self._offscreen,
            self._image.devicePixelRatioF(),
            self._level,
            self.length_words,
            max(2.0 * gestures.mm_per_px(self._viewpoint, self.size()), 0.2),
            self._seam_marks if self._marks_shown and self._is_glued and self._built is not None else None,
            self._numbers,
            words=EMPTY if self._built is None else "",
            caption=self._caption,
            impossible=self._impossible,
            hint=HINT if self._is_building and not self._hint.isActive() else "",
            has_focus=self.hasFocus(),
        ).paint(painter, self._look(), box)

    # ---- pointing

    def pointed_at(self, place: QPointF | None) -> None:
        """Tell the height on the piece at a place of the picture."""
        if place is None:
            self._tell_pointed(None)
            return
        if self._stage is None or self._stage.is_empty or self._stale.picture or self._closed:
            return
        ratio = self.devicePixelRatioF()
        x, y = place.x() * ratio, (self.height() - place.y()) * ratio - 1.0
        self._stage.scene.stand(camera_pose(self._viewpoint.pose))
        hit = self._stage.scene.pick(x, y)
        # Turning and closing never lift a quarter: a height in the blank is the height in the piece.
        self._tell_pointed(None if hit is None else float(hit[1][2]))

    def _tell_pointed(self, z: float | None) -> None:
        if z != self._pointed:
            self._pointed = z
            self.level_pointed.emit(z)

    # ---- size and end

    def showEvent(self, event: QShowEvent) -> None:  # noqa: D102
        self.warm_up()
        super().showEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: D102
        self._viewpoint.keep_fitted()
        self._moved()
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:  # noqa: D102
        if event.type() == QEvent.Type.DevicePixelRatioChange:
            self._moved()
        super().changeEvent(event)

    def shutdown(self) -> None:
        """Give everything back; a child widget gets no close event, so its owner calls this."""
        if self._closed:
            return
        self._closed = True
        for timer in (self._rest, self._hint, self._warm):
            timer.stop()
        self.stop_pointing()
        self._viewpoint.changed.disconnect(self._camera_moved)
        self._viewpoint.unlink(self)
        if self._offscreen is not None:
            self._offscreen.close()
        self._offscreen, self._stage = None, None
