"""The page one meets first: three samples as pictures, a blank of one's own, or a file."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QHideEvent, QPainter, QPainterPath, QPaintEvent, QPen, QPixmap, QShowEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.look import faded, look_of
from app.panel_text import demibold
from app.piece_numbers import times
from app.sample_pictures import PICTURE, SamplePictures, first_species, silhouettes
from app.samples import Sample, samples
from geometry.errors import CornerwiseError
from geometry.files import read_project
from geometry.layup import Plain
from geometry.project import DisplayUnits
from geometry.species import SPECIES

_CARD_WIDTH: Final = 208
_PICTURE_HEIGHT: Final = _CARD_WIDTH * PICTURE.height() // PICTURE.width()
_PADDING: Final = 12
_RADIUS: Final = 8.0


class SampleCard(QAbstractButton):
    """A sample as a picture with its name and sizes; pressing it opens the sample."""

    def __init__(self, sample: Sample, parent: QWidget | None = None) -> None:
        """Make a card with a simple drawing until its picture comes."""
        super().__init__(parent)
        self.sample = sample
        self.setText(sample.title)
        self.setAccessibleName(f"Open the sample {sample.title}")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._words = ""
        self._picture: QPixmap | None = None
        self.has_photograph = False

    def describe(self, units: DisplayUnits) -> None:
        """Say sizes and wood in the maker's unit."""
        try:
            variant = read_project(self.sample.path).variant()
        except CornerwiseError:
            self._words = ""
            return
        blank = variant.blank
        wood = SPECIES[first_species(variant.layup)].label.partition(" (")[0].lower()
        if not isinstance(variant.layup, Plain):
            wood = f"{wood} and others"
        self._words = f"{times((blank.width, blank.depth, blank.length), units)}, {wood}"
        self.setAccessibleDescription(f"from a blank of {self._words}")
        self.setToolTip(f"From a blank of {self._words}")
        self.update()

    def draw_simply(self) -> None:
        """Draw the piece's outlines, unless there is a picture already."""
        if self._picture is None:
            self._picture = silhouettes(self.sample)
            self.update()

    def set_picture(self, picture: QPixmap) -> None:
        """Show a picture."""
        self._picture = picture
        self.has_photograph = True
        self.update()

    def sizeHint(self) -> QSize:
        """Return the picture with two lines of text below."""
        return QSize(_CARD_WIDTH, _PICTURE_HEIGHT + 2 * self.fontMetrics().height() + 2 * _PADDING + 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the card."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        look = look_of(self.palette())
        card = QPainterPath()
        card.addRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), _RADIUS, _RADIUS)
        painter.fillPath(card, look.paper)
        painter.save()
        painter.setClipPath(card)
        top = QRect(0, 0, self.width(), _PICTURE_HEIGHT)
        if self._picture is not None:
            painter.drawPixmap(top, self._picture)
        if self.isDown():
            painter.fillRect(self.rect(), faded(look.ink, 0.08))
        painter.restore()
        self._paint_words(painter)
        is_marked = self.hasFocus() or self.underMouse()
        painter.setPen(QPen(look.accent if is_marked else look.rule, 2.0 if self.hasFocus() else 1.0))
        painter.drawPath(card)
        painter.end()

    def _paint_words(self, painter: QPainter) -> None:
        look, metrics = look_of(self.palette()), self.fontMetrics()
        room = QRect(_PADDING, _PICTURE_HEIGHT + _PADDING - 2, self.width() - 2 * _PADDING, metrics.height())
        painter.setPen(look.ink)
        painter.setFont(demibold(self.font()))
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter, self.text())
        painter.setPen(look.faint_ink)
        painter.setFont(self.font())
        shown = metrics.elidedText(self._words, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room.translated(0, metrics.height() + 2), Qt.AlignmentFlag.AlignVCenter, shown)


class StartPage(QWidget):
    """Where to begin."""

    open_sample = Signal(str)
    """Path of the sample's file."""

    new_blank = Signal()
    open_file = Signal()

    def __init__(self, units: DisplayUnits = "mm", cache: Path | None = None, parent: QWidget | None = None) -> None:
        """Make the page; pictures are drawn while it is shown, and kept in a folder (the user's own when left out)."""
        super().__init__(parent)
        self.cards = tuple(SampleCard(sample) for sample in samples()[:3])
        self._pictures = SamplePictures(cache, self)
        self._pictures.ready.connect(self._on_picture)
        title = QLabel("Two lines, four quarters, one piece")
        font = demibold(title.font())
        font.setPointSizeF(font.pointSizeF() * 1.6)
        title.setFont(font)
        words = QLabel("Begin with a sample and change its lines, or with a blank of your own.")
        self.blank = QPushButton("Start from a blank")
        self.file = QPushButton("Open a project …")
        for button in (self.blank, self.file):
            button.setMinimumSize(140, 32)
        self.blank.clicked.connect(self.new_blank)
        self.file.clicked.connect(self.open_file)

        row, buttons, column = QHBoxLayout(), QHBoxLayout(), QVBoxLayout()
        row.setSpacing(18)
        for card in self.cards:
            card.clicked.connect(lambda _=False, c=card: self.open_sample.emit(str(c.sample.path)))
            row.addWidget(card)
        buttons.setSpacing(10)
        buttons.addWidget(self.blank)
        buttons.addWidget(self.file)
        buttons.addStretch(1)
        column.setSpacing(0)
        for item, space in ((title, 4), (words, 20), (row, 20), (buttons, 0)):
            if isinstance(item, QWidget):
                column.addWidget(item)
            else:
                column.addLayout(item)
            column.addSpacing(space)
        whole = QVBoxLayout(self)
        middle = QHBoxLayout()
        middle.addStretch(1)
        middle.addLayout(column)
        middle.addStretch(1)
        whole.addStretch(2)
        whole.addLayout(middle)
        whole.addStretch(3)
        self.setAccessibleName("Where to begin")
        self.show_units(units)

    def show_units(self, units: DisplayUnits) -> None:
        """Say the sizes of the samples in the maker's unit."""
        for card in self.cards:
            card.describe(units)

    def shutdown(self) -> None:
        """Stop drawing pictures; the page may be thrown away."""
        self._pictures.stop()

    def showEvent(self, event: QShowEvent) -> None:
        """Ask for the pictures there are not yet."""
        super().showEvent(event)
        if not event.spontaneous():
            self._pictures.want([card.sample for card in self.cards if not card.has_photograph])
            for card in self.cards:
                card.draw_simply()

    def hideEvent(self, event: QHideEvent) -> None:
        """Draw nothing that is not looked at."""
        super().hideEvent(event)
        if not event.spontaneous():
            self._pictures.stop()

    def _on_picture(self, sample: Sample, picture: QPixmap) -> None:
        for card in self.cards:
            if card.sample == sample:
                card.set_picture(picture)
