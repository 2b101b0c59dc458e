"""The application: its name, its style, and the look that follows the system by day and by night."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from app.look import DARK, LIGHT, Look, palette_of
from app.paper_style import PaperStyle

LookChoice = Literal["system", "light", "dark"]

NAME = "Cornerwise"


def new_application(arguments: Sequence[str] = ("cornerwise",)) -> QApplication:
    """Return the one application, in the project's look."""
    there = QApplication.instance()
    if isinstance(there, QApplication):
        application = there
    else:
        QGuiApplication.setHighDpiScaleFactorRoundingPolicy(Qt.HighDpiScaleFactorRoundingPolicy.PassThrough)
        application = QApplication(list(arguments))
    application.setApplicationName(NAME)
    application.setOrganizationName(NAME)
    application.setApplicationDisplayName(NAME)
    # one drawing of the plain widgets on every system, in our own colours
    application.setStyle(PaperStyle())
    wear(application, "system")
    return application


def look_for(application: QApplication, choice: LookChoice) -> Look:
    """Return the look for a choice; the system's is dark where the system says so."""
    if choice == "system":
        is_dark = application.styleHints().colorScheme() == Qt.ColorScheme.Dark
        return DARK if is_dark else LIGHT
    return DARK if choice == "dark" else LIGHT


def wear(application: QApplication, choice: LookChoice) -> Look:
    """Put a look on every window of the application and return it."""
    look = look_for(application, choice)
    application.setPalette(palette_of(look))
    return look
