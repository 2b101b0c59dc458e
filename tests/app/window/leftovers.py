"""What a test may leave behind: nothing. Warnings of Qt, windows, processes, timers and threads are counted."""

from __future__ import annotations

import ctypes
import gc
import os
import sys
import threading
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import (
    QCoreApplication,
    QEvent,
    QMessageLogContext,
    QObject,
    QTimer,
    QtMsgType,
    qInstallMessageHandler,
)
from PySide6.QtWidgets import QApplication, QComboBox, QWidget
from shiboken6 import Shiboken

from app.window.main_window import MainWindow

OF_THE_PLATFORM = ("This plugin does not support propagateSizeHints()",)
"""What Qt's platform without a screen says of itself; no fault of ours."""


class Warnings:
    """Everything Qt warned of between `start` and `stop`."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self._before: object = None

    def start(self) -> None:
        self._before = qInstallMessageHandler(self._hear)

    def stop(self) -> None:
        qInstallMessageHandler(self._before)  # type: ignore[arg-type]

    def _hear(self, kind: QtMsgType, _context: QMessageLogContext, message: str) -> None:
        worth_a_word = (QtMsgType.QtWarningMsg, QtMsgType.QtCriticalMsg, QtMsgType.QtFatalMsg)
        if kind in worth_a_word and message not in OF_THE_PLATFORM:
            self.said.append(f"Qt said: {message}")


class Around:
    """What there is around a test before it begins, so that what it leaves can be told."""

    def __init__(self) -> None:
        # held, not only remembered by number: a number may come again
        self._windows = windows_there()
        self._processes = children()
        self._threads = set(threading.enumerate())
        self._timers = active_timers()

    def left(self, kept: Sequence[MainWindow]) -> list[str]:
        """Name what is there now and was not, but for what belongs to windows that are kept open."""
        if self._left(kept):
            tidy()  # takes its time, and most of the time nothing is there
        return self._left(kept)

    def _left(self, kept: Sequence[MainWindow]) -> list[str]:
        windows = [w for w in windows_there() if not any(w is b for b in self._windows)]
        timers = [t for t in active_timers() if not any(t is b for b in self._timers) and owner(t) not in kept]
        processes = children() - self._processes - {window.pieces.builder.worker_pid for window in kept}
        return [
            *(f"a window is left: {type(w).__name__} {w.objectName()!r} {w.windowTitle()!r}" for w in windows),
            *(f"a process is left: {pid}" for pid in processes),
            *(f"a thread is left: {t.name}" for t in set(threading.enumerate()) - self._threads),
            *(f"a timer runs on: every {t.interval()} ms, of {t.parent()!r}" for t in timers),
        ]


def owner(thing: QObject) -> QObject:
    """What a thing belongs to in the end."""
    while thing.parent() is not None:
        thing = thing.parent()
    return thing


def tidy() -> None:
    """Let go of everything that nobody holds any more."""
    for _ in range(2):
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QCoreApplication.processEvents()
        gc.collect()


def windows_there() -> list[QWidget]:
    """Every window, but for the lists that boxes of choices unfold: they go with their boxes."""
    return [w for w in QApplication.topLevelWidgets() if not isinstance(w.parent(), QComboBox)]


def active_timers() -> list[QTimer]:
    return [o for o in gc.get_objects() if isinstance(o, QTimer) and Shiboken.isValid(o) and o.isActive()]


def children() -> set[int]:
    """The process numbers of this process's children; none where the system does not tell."""
    if not sys.platform.startswith("linux"):
        return set()
    found = set()
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue  # it has just ended
        if int(fields[1]) == os.getpid() and fields[0] != "Z":
            found.add(int(stat.parent.name))
    return found


def resident_kb() -> int:
    """Memory of this process that is in use now, in kB, without what is only kept for later."""
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)  # of the GNU library
    if trim is not None:
        trim(0)
    fields = Path("/proc/self/statm").read_text().split()
    return int(fields[1]) * os.sysconf("SC_PAGE_SIZE") // 1024
