"""Makes the picture files that the picture dialog asks for, with another process that draws."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QImage

from app.errand import STOPPED, Errand
from app.piece_view.still_picture import GoingRound, StillPicture, png_bytes


class PictureMaker(QObject):
    """Draws one picture, or one turntable, at a time.

    Signals
    -------
    done : bytes of the file
    advanced : how many of how many pictures are drawn
    failed : one sentence
    """

    done = Signal(object)
    advanced = Signal(int, int)
    failed = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        """Make a maker that draws nothing yet."""
        super().__init__(parent)
        self._still: StillPicture | None = None
        self._drawn: list[QImage] = []
        self._errand = Errand(self)
        self._errand.done.connect(self._on_done)
        self._errand.advanced.connect(self.advanced)
        self._errand.failed.connect(self._on_failed)

    def draw(self, still: StillPicture) -> None:
        """Begin with a PNG picture."""
        self._still, self._drawn = still, []
        self._draw_next()

    def draw_round(self, round_once: GoingRound, size: tuple[int, int], count: int) -> None:
        """Begin with a GIF of so many pictures once round."""
        self._still = None
        words = ["--size", f"{size[0]}x{size[1]}", "--turntable", str(count), "--progress"]
        self._errand.start(round_once.project, "picture", "round.gif", [*round_once.words, *words])

    def cancel(self) -> None:
        """Stop at once; nothing more is heard of it."""
        self._still, self._drawn = None, []
        self._errand.cancel()

    def _draw_next(self) -> None:
        assert self._still is not None
        drawing = self._still.drawings[len(self._drawn)]
        self._errand.start(drawing.project, "picture", "piece.png", drawing.words)

    def _on_done(self, made: dict[str, bytes]) -> None:
        data = next(iter(made.values()))
        if self._still is None:
            self.done.emit(data)
            return
        image = QImage.fromData(data)
        if image.isNull():
            self._on_failed(STOPPED)
            return
        self._drawn.append(image)
        if len(self._drawn) < len(self._still.drawings):
            self._draw_next()
            return
        whole = self._still.put_together(self._drawn)
        self._still, self._drawn = None, []
        self.done.emit(png_bytes(whole))

    def _on_failed(self, sentence: str) -> None:
        self._still, self._drawn = None, []
        self.failed.emit(sentence)
