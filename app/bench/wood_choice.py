"""Choosing species: one, or several that take turns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.bench.rows import CalmChoice
from app.look import wood_colour
from geometry.layup_words import species_word
from geometry.species import SPECIES, SPECIES_NAMES, SpeciesName

SWATCH: Final = 14
MOST_IN_TURN: Final = 6


class WoodChoice(CalmChoice):
    """The sixteen species with their colours."""

    def __init__(self, name: str, in_short: bool = False, parent: QWidget | None = None) -> None:
        """Make a list with a name for screen readers; in short, where there is little room for their names."""
        super().__init__(name, parent)
        self.setIconSize(QSize(SWATCH, SWATCH))
        for species in SPECIES_NAMES:
            label = species_word(species).capitalize() if in_short else SPECIES[species].label
            self.addItem(swatch(wood_colour(species)), label, species)

    def show_species(self, species: SpeciesName) -> None:
        """Show a species as chosen."""
        self.setCurrentIndex(self.findData(species))
        self.setToolTip(SPECIES[species].label)


class WoodsInTurn(QWidget):
    """The species of a pattern in the order in which they take turns."""

    committed = Signal(object)
    """A tuple of species."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make it with one species."""
        super().__init__(parent)
        self._species: tuple[SpeciesName, ...] = ()
        self.choices: list[WoodChoice] = []
        self._rows = QVBoxLayout()
        self._rows.setSpacing(3)
        self.more = QPushButton("Add a wood")
        self.fewer = QPushButton("Take the last out")
        self.more.clicked.connect(self._on_more)
        self.fewer.clicked.connect(self._on_fewer)
        buttons = QHBoxLayout()
        buttons.setSpacing(6)
        buttons.addWidget(self.more)
        buttons.addWidget(self.fewer)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(QLabel("Woods that take turns"))
        column.addLayout(self._rows)
        column.addLayout(buttons)

    def show_species(self, species: Sequence[SpeciesName]) -> None:
        """Show the species of a pattern."""
        self._species = tuple(species)
        while len(self.choices) < len(species):
            choice = WoodChoice(f"Wood {len(self.choices) + 1}")
            choice.activated.connect(self._on_chosen)
            self._rows.addWidget(choice)
            self.choices.append(choice)
        while len(self.choices) > len(species):
            gone = self.choices.pop()
            self._rows.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        for choice, name in zip(self.choices, species, strict=True):
            choice.show_species(name)
        self.more.setEnabled(len(species) < MOST_IN_TURN)
        self.fewer.setEnabled(len(species) > 1)

    def _on_chosen(self) -> None:
        self.committed.emit(tuple(c.currentData() for c in self.choices))

    def _on_more(self) -> None:
        new = next(s for s in ("walnut", "maple", "cherry", *SPECIES_NAMES) if s not in self._species)
        self.committed.emit((*self._species, new))

    def _on_fewer(self) -> None:
        self.committed.emit(self._species[:-1])


def swatch(colour: QColor) -> QIcon:
    """Return a small square of a wood's colour."""
    pixmap = QPixmap(2 * SWATCH, 2 * SWATCH)
    pixmap.setDevicePixelRatio(2.0)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(colour)
    painter.setPen(QColor(0, 0, 0, 90))
    painter.drawRoundedRect(1, 1, SWATCH - 2, SWATCH - 2, 3, 3)
    painter.end()
    return QIcon(pixmap)
