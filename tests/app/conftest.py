"""Shared by the tests of the window: no display is needed, and nothing is kept on this computer."""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")  # before anything of Qt is loaded

import pytest
from PySide6.QtCore import QSettings

from app.remembered import Remembered


@pytest.fixture
def settings(tmp_path) -> QSettings:
    """Settings in a file of the test's own."""
    return QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)


@pytest.fixture
def remembered(settings) -> Remembered:
    """What the program remembers, in the test's own settings."""
    return Remembered(settings)
