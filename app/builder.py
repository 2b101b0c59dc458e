"""Pieces built beside the window: one long-lived worker process, newest request first, the window never waits.

While a line is dragged ask for coarse pieces, as often as the line changes. Each key (a variant on screen) has
at most one request waiting; a newer one takes its place. Once nothing newer has come for a moment the last
coarse request is repeated fine. A worker that dies is started again and given the same request once more.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QObject, QProcess, QTimer, Signal

from app.builder_worker import READY, Answer, Job, frame, unframed
from geometry.project import DisplayUnits, Variant
from geometry.report import Report
from geometry.solids import Solid
from geometry.tolerances import EXPORT_CHORD_MM, LIVE_CHORD_MM

REST_MS = 150
"""No newer request for this long means that the hand rests."""

PATIENCE_MS = 1500
"""A build older than this is broken off when a newer design waits; starting anew takes about a second."""

CLOSING_MS = 2000
"""How long to wait for the system to take a killed worker away."""

STARTS = 3
"""So many workers in a row that end before they are ready, and no more are started until the next request."""

RESTARTED = "The part of the program that works out the piece had stopped; it was started again and nothing is lost."
DEADLY = (
    "The piece could not be worked out from these lines: the program stopped over them twice. "
    "Undo the last step, or move the last node a little."
)
WILL_NOT_START = (
    "The part of the program that works out the piece does not start, so the piece cannot follow the lines. "
    "Your drawing is safe: save it, then start the program again."
)

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, eq=False)
class Built:
    """A piece worked out.

    Attributes
    ----------
    key : what the request was made under
    variant : the design, the very object that was asked for
    chord_mm : ``LIVE_CHORD_MM`` while dragging, ``EXPORT_CHORD_MM`` at rest
    report : numbers, findings and the piece itself
    """

    key: Hashable
    variant: Variant
    chord_mm: float
    report: Report

    @property
    def quarters(self) -> tuple[Solid, ...]:
        """Quarters 1 to 4 in the blank's coordinates; any may be without wood."""
        return self.report.piece.quarters

    @property
    def is_fine(self) -> bool:
        """True when it was built to be measured, not only to be looked at."""
        return self.chord_mm <= EXPORT_CHORD_MM


@dataclass(frozen=True, slots=True)
class _Wish:
    key: Hashable
    variant: Variant
    units: DisplayUnits
    chord_mm: float


def worker_command() -> list[str]:
    """Return the command that starts a worker: this very interpreter, finding the program where it lies.

    ``-P`` keeps the folder in which the maker happens to work from being searched for modules.
    """
    code = "import sys; sys.path.insert(0, sys.argv[1]); from app.builder_worker import main; main()"
    return [sys.executable, "-P", "-c", code, str(Path(__file__).resolve().parent.parent)]


class Builder(QObject):
    """Asks the worker for pieces and tells when they are there.

    Signals
    -------
    built : Built
        Coarse or fine, never older than one of the same key that came before.
    failed : key, sentence
        There is no piece for the newest request of that key, and why.
    worker_restarted : sentence
    busy_changed : bool
    """

    built = Signal(object)
    failed = Signal(object, str)
    worker_restarted = Signal(str)
    busy_changed = Signal(bool)

    def __init__(self, parent: QObject | None = None, command: list[str] | None = None) -> None:
        """Start the worker; it is ready in well under a second, and requests may be made at once."""
        super().__init__(parent)
        self._command = command or worker_command()
        self._waiting: dict[Hashable, _Wish] = {}
        self._resting: dict[Hashable, _Wish] = {}
        self._flight: _Wish | None = None
        self._ticket = 0
        self._cancelled = False  # the worker is being killed on purpose
        self._deadly: _Wish | None = None  # the request over which the worker died last
        self._has_begun = False  # the worker of now has said that it is ready
        self._failed_starts = 0  # workers in a row that never were
        self._busy = False
        self._closed = False
        self._received = bytearray()

        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self._ask_for_fine)
        self._patience = QTimer(self, singleShot=True, interval=PATIENCE_MS)
        self._patience.timeout.connect(self._pump)

        self._process = QProcess(self)
        self._process.setProgram(self._command[0])
        self._process.setArguments(self._command[1:])
        self._process.setStandardErrorFile(QProcess.nullDevice())
        self._process.readyReadStandardOutput.connect(self._receive)
        self._process.finished.connect(self._died)
        self._process.errorOccurred.connect(self._erred)
        self._process.start()
        application = QCoreApplication.instance()
        if application is not None:
            application.aboutToQuit.connect(self.close)

    # ---- asking

    def request(self, variants: Mapping[Hashable, Variant], units: DisplayUnits = "mm", coarse: bool = False) -> None:
        """Ask for pieces, one for each key; a request of the same key that still waits is forgotten.

        Parameters
        ----------
        variants : what to build under each key; keys left out are not touched
        units : the maker's unit, for the sentences of the findings
        coarse : True while dragging; the fine piece follows by itself once the hand rests
        """
        if self._closed:
            return
        for key, variant in variants.items():
            wish = _Wish(key, variant, units, LIVE_CHORD_MM if coarse else EXPORT_CHORD_MM)
            if coarse:
                self._resting[key] = wish
            else:
                self._resting.pop(key, None)
            self._wait(wish)
        if coarse:
            self._rest.start()
        self._pump()

    def forget(self, key: Hashable) -> None:
        """Ask for nothing more under this key, and drop what is on its way."""
        self._waiting.pop(key, None)
        self._resting.pop(key, None)
        if self._flight is not None and self._flight.key == key:
            self._flight = _Wish(None, self._flight.variant, self._flight.units, self._flight.chord_mm)
        self._tell_busy()

    @property
    def is_busy(self) -> bool:
        """True while a piece is being worked out or waits to be."""
        return self._busy

    @property
    def worker_pid(self) -> int:
        """The worker's process number, 0 while it does not run."""
        return int(self._process.processId())

    def close(self) -> None:
        """End the worker and wait until it is gone. Nothing is delivered afterwards."""
        if self._closed:
            return
        self._closed = True
        self._rest.stop()
        self._patience.stop()
        self._waiting.clear()
        self._resting.clear()
        self._flight = None
        for signal in (self._process.readyReadStandardOutput, self._process.finished, self._process.errorOccurred):
            signal.disconnect()
        if self._process.state() != QProcess.ProcessState.NotRunning:
            self._process.kill()
            self._process.waitForFinished(CLOSING_MS)
        self._process.close()

    # ---- in and out of the worker

    def _wait(self, wish: _Wish) -> None:
        if self._flight == wish and not self._cancelled:
            self._waiting.pop(wish.key, None)  # it is being built already
        else:
            self._waiting[wish.key] = wish

    def _ask_for_fine(self) -> None:
        for key, coarse in self._resting.items():
            self._wait(_Wish(key, coarse.variant, coarse.units, EXPORT_CHORD_MM))
        self._resting.clear()
        self._pump()

    def _pump(self) -> None:
        self._advance()
        self._tell_busy()

    def _advance(self) -> None:
        """Give the worker the next request, or break off one that takes too long while a newer design waits."""
        if self._flight is not None:
            if not self._patience.isActive() and not self._cancelled and self._is_outdated(self._flight):
                self._cancelled = True
                self._process.kill()
        elif self._waiting:
            if self._process.state() == QProcess.ProcessState.NotRunning:
                self._process.start()
            self._flight = self._waiting.pop(next(iter(self._waiting)))
            self._ticket += 1
            flight = self._flight
            self._process.write(frame(Job(self._ticket, flight.variant, flight.units, flight.chord_mm)))
            self._patience.start()

    def _is_outdated(self, flight: _Wish) -> bool:
        """True when another design waits under its key, or its key was forgotten and anything waits."""
        newer = self._waiting.get(flight.key)
        return bool(self._waiting) if flight.key is None else newer is not None and newer.variant != flight.variant

    def _receive(self) -> None:
        self._received += self._process.readAllStandardOutput().data()
        for message in unframed(self._received):
            if message == READY:
                self._has_begun, self._failed_starts = True, 0
            else:
                self._deliver(message)

    def _deliver(self, answer: Answer) -> None:
        flight = self._flight
        if flight is None or answer.ticket != self._ticket:
            return
        self._flight, self._deadly = None, None
        self._patience.stop()
        if answer.fault:
            _log.error("building variant %r failed\n%s", flight.variant.name, answer.fault)
        if self._rest.isActive():
            self._rest.start()  # on a busy computer the coarse one alone may have taken that long
        self._advance()  # the worker goes on while the window shows this one
        if flight.key is not None and answer.report is not None:
            self.built.emit(Built(flight.key, flight.variant, flight.chord_mm, answer.report))
        elif flight.key is not None:
            self.failed.emit(flight.key, answer.sentence)
        self._tell_busy()

    def _tell_busy(self) -> None:
        busy = self._flight is not None or bool(self._waiting)
        if busy != self._busy:
            self._busy = busy
            self.busy_changed.emit(busy)

    # ---- when the worker ends

    def _erred(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:  # the only one after which ``finished`` does not come
            self._give_up()

    def _died(self) -> None:
        self._receive()  # what it still said before
        self._received.clear()
        self._patience.stop()
        flight, self._flight = self._flight, None
        on_purpose, self._cancelled = self._cancelled, False
        began, self._has_begun = self._has_begun, False
        if not on_purpose:
            self._failed_starts = 0 if began else self._failed_starts + 1
            if self._failed_starts >= STARTS:
                self._flight = flight
                self._give_up()
                return
        self._process.start()
        again = flight is not None and flight.key is not None and flight.key not in self._waiting
        fails = again and began and flight == self._deadly and not on_purpose
        if flight is not None and again and not fails:
            self._waiting = {flight.key: flight, **self._waiting}
        if began and not on_purpose:
            self._deadly = None if fails else flight
        self._pump()
        if not on_purpose:
            self.worker_restarted.emit(RESTARTED)
        if flight is not None and fails:
            self._resting.pop(flight.key, None)
            self.failed.emit(flight.key, DEADLY)

    def _give_up(self) -> None:
        """Say under every key that nothing can be built; the next request tries once more."""
        keys = [*self._waiting] + ([self._flight.key] if self._flight is not None else [])
        self._waiting.clear()
        self._resting.clear()
        self._flight, self._deadly, self._failed_starts = None, None, 0
        self._patience.stop()
        self._tell_busy()
        for key in dict.fromkeys(keys):
            if key is not None:
                self.failed.emit(key, WILL_NOT_START)
