"""Small matters of text on the panels: what is said in passing, figures of one width, lengths that stay on one line."""

from __future__ import annotations

import re
from typing import Final

from PySide6.QtGui import QColor, QFont, QPalette

from app.look import look_of

_INSIDE_A_LENGTH: Final = re.compile(r"(?<=\d) (?=(?:mm|kg|lb|l)\b|cu in\b|\d+/\d)|(?<=cu) (?=in\b)| (?=[×·] )")


def muted(palette: QPalette) -> QColor:
    """Return the colour of what is said in passing."""
    return look_of(palette).faint_ink


def unbroken(text: str) -> str:
    """Return the text with spaces that keep a length on one line: 44.2 mm, 2 3/8"."""
    return _INSIDE_A_LENGTH.sub("\u00a0", text)


def with_tabular_figures(font: QFont) -> QFont:
    """Return the font with figures of one width, where it has them (OpenType tag "tnum")."""
    tabular = QFont(font)
    tabular.setFeature(QFont.Tag("tnum"), 1)
    return tabular


def demibold(font: QFont) -> QFont:
    """Return the font a little heavier, for titles."""
    heavier = QFont(font)
    heavier.setWeight(QFont.Weight.DemiBold)
    return heavier
