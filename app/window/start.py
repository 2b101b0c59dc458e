"""Start the program: one application, one window, closed in order."""

from __future__ import annotations

import os
import signal
import sys
from pathlib import Path

from geometry.errors import CornerwiseError

NO_DISPLAY = (
    "there is no display to open a window on; these commands work without one: report, export, picture, template, "
    "sheet, fit (see cornerwise --help)"
)


class NoDisplay(CornerwiseError):
    """There is no screen to open a window on."""


def has_display() -> bool:
    """Return True where a window can be opened: a screen is named, or Qt was told to do without one."""
    if not sys.platform.startswith("linux") or os.environ.get("QT_QPA_PLATFORM"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def run_window(file: Path | None) -> int:
    """Open the window on a project file, or on the first sample; give the exit code when it is closed.

    Raises
    ------
    NoDisplay
        one sentence that names the commands that work without
    """
    if not has_display():
        raise NoDisplay(NO_DISPLAY)
    from PySide6.QtCore import QTimer

    from app.window.application import new_application
    from app.window.main_window import MainWindow

    application = new_application(sys.argv[:1])
    window = MainWindow()
    window.open_at_start(file)
    window.show()
    # Ctrl+C in the terminal closes the window; Python only looks at signals when it runs, so let it run now and then
    signal.signal(signal.SIGINT, lambda *_: window.close())
    tick = QTimer(application)
    tick.start(500)
    tick.timeout.connect(lambda: None)
    try:
        return int(application.exec())
    finally:
        tick.stop()
        window.shutdown()
