"""Plays the turning from sawn to glued."""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

FRAME_MS = 16
WHOLE_MS = 6000
"""From sawn to glued: long enough to follow each quarter with the eye."""


class Player(QObject):
    """Moves a value from where it is to 1 and stops there.

    It goes by the clock, not by frames: a slow machine shows fewer pictures, not a slower film.

    Signals
    -------
    moved : float
    playing_changed : bool
    """

    moved = Signal(float)
    playing_changed = Signal(bool)

    def __init__(self, parent: QObject | None = None, whole_ms: int = WHOLE_MS) -> None:
        """Begin at rest."""
        super().__init__(parent)
        self.whole_ms = whole_ms
        self._from = 0.0
        self._clock = QElapsedTimer()
        self._timer = QTimer(self, interval=FRAME_MS)
        self._timer.timeout.connect(self._step)

    @property
    def is_playing(self) -> bool:
        """True while it moves."""
        return self._timer.isActive()

    def play(self, turn: float) -> None:
        """Go on from there; from the end begin anew."""
        if self.is_playing:
            return
        self._from = turn if turn < 1.0 else 0.0
        self._clock.start()
        self._timer.start()
        self.playing_changed.emit(True)
        self.moved.emit(self._from)

    def stop(self) -> None:
        """Stay where it is."""
        if self.is_playing:
            self._timer.stop()
            self.playing_changed.emit(False)

    def _step(self) -> None:
        turn = min(1.0, self._from + self._clock.elapsed() / self.whole_ms)
        self.moved.emit(turn)
        if turn >= 1.0:
            self.stop()
