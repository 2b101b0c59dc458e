"""A picture of the piece to a file, as large as it is wanted."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSpinBox, QWidget

from app.bench.rows import CalmChoice
from app.export_dialog import file_name
from app.file_dialog import AskPath, FileDialog, ShowFolder, ask_for_path, show_folder
from geometry.errors import CornerwiseError

SMALLEST_PX: Final = 64
LARGEST_PX: Final = 8000

SIZES: Final[dict[str, tuple[int, int]]] = {
    "For a screen, wide": (1920, 1080),
    "For a screen, upright": (1200, 1600),
    "Square": (1600, 1600),
    "For print, wide": (3600, 2400),
    "For print, upright": (2400, 3600),
}

SavePicture = Callable[[str, tuple[int, int]], None]
"""Writes a PNG of a size in pixels to a path; raises `CornerwiseError`."""


class PictureDialog(FileDialog):
    """Asks for size and place, and has the picture of what is shown written there.

    Parameters
    ----------
    save : writes the picture; the piece's own camera, stage and light are known to it alone
    on_screen : the size in pixels of what is shown now, the first to be offered
    folder, name : where the file goes if nothing else is chosen
    """

    def __init__(
        self,
        save: SavePicture,
        on_screen: tuple[int, int],
        folder: Path,
        name: str,
        parent: QWidget | None = None,
        ask_path: AskPath = ask_for_path,
        show: ShowFolder = show_folder,
    ) -> None:
        """Make the dialog; call ``open`` or ``exec``."""
        super().__init__("Save picture", folder / f"{file_name(name)}.png", parent, ask_path, show)
        self.set_word("Save")
        self._save = save
        self._begin = QTimer(self, singleShot=True, interval=0)
        self._begin.timeout.connect(self._draw)
        self.sizes = CalmChoice("Size of the picture")
        self.sizes.addItem(f"As on screen, {on_screen[0]} × {on_screen[1]}", on_screen)
        for words, (width, height) in SIZES.items():
            self.sizes.addItem(f"{words}, {width} × {height}", (width, height))
        self.sizes.addItem("Another size", None)
        self.sizes.activated.connect(self._on_size)
        self.form.addRow("Size", self.sizes)
        self.width_field, self.height_field = self._pixels("Width"), self._pixels("Height")
        row = QHBoxLayout()
        row.setSpacing(6)
        row.addWidget(self.width_field)
        row.addWidget(QLabel("×"))
        row.addWidget(self.height_field)
        row.addWidget(QLabel("pixels"))
        row.addStretch(1)
        self.form.addRow("", row)
        self.add_path_row()
        self._on_size()

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the picture."""
        return self.width_field.value(), self.height_field.value()

    def _pixels(self, name: str) -> QSpinBox:
        box = QSpinBox()
        box.setRange(SMALLEST_PX, LARGEST_PX)
        box.setSingleStep(100)
        box.setAccessibleName(f"{name} in pixels")
        box.setMinimumWidth(84)
        box.valueChanged.connect(self._on_pixels)
        return box

    def _on_size(self) -> None:
        size = self.sizes.currentData()
        if size is None:
            self.width_field.setFocus()
            self.width_field.selectAll()
            return
        for box, value in zip((self.width_field, self.height_field), size, strict=True):
            box.blockSignals(True)
            box.setValue(value)
            box.blockSignals(False)
        self._forget()

    def _on_pixels(self) -> None:
        named = next((i for i in range(self.sizes.count()) if self.sizes.itemData(i) == self.size_px), None)
        self.sizes.setCurrentIndex(self.sizes.count() - 1 if named is None else named)
        self._forget()

    def ending(self) -> str:
        """Return the only format there is."""
        return "png"

    def names(self) -> str:
        """Return the filter for the system's dialog."""
        return "PNG pictures (*.png)"

    def begin(self) -> None:
        """Have it drawn once the dialog has said that it is at work; drawing takes this process."""
        self.repaint()
        self._begin.start()

    def stop(self) -> None:
        """Do not draw, where that has not begun."""
        self._begin.stop()

    def _draw(self) -> None:
        try:
            self._save(str(self.target()), self.size_px)
        except CornerwiseError as error:
            self.fail(self.plain(error))
        else:
            self.has_written([])
