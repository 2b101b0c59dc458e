"""A picture of the piece to a file, as large as it is wanted: as it is seen, or going round once."""

from __future__ import annotations

from pathlib import Path
from typing import Final, Literal, Protocol

from PySide6.QtWidgets import QHBoxLayout, QLabel, QSpinBox, QWidget

from app.bench.rows import CalmChoice
from app.export_dialog import file_name
from app.file_dialog import AskPath, FileDialog, ShowFolder, ask_for_path, show_folder
from app.picture_maker import PictureMaker
from app.piece_view.still_picture import GoingRound, StillPicture
from geometry.errors import CornerwiseError

Kind = Literal["png", "gif"]

SMALLEST_PX: Final = 64
LARGEST_PX: Final[dict[Kind, int]] = {"png": 8000, "gif": 1600}

SIZES: Final[dict[str, tuple[int, int]]] = {
    "For a screen, wide": (1920, 1080),
    "For a screen, upright": (1200, 1600),
    "Square": (1600, 1600),
    "For print, wide": (3600, 2400),
    "For print, upright": (2400, 3600),
}
ROUND_SIZES: Final[dict[str, tuple[int, int]]] = {
    "Usual": (450, 600),
    "Small, for a message": (300, 400),
    "Large": (750, 1000),
}
STEPS: Final[dict[str, int]] = {"36 pictures": 36, "24 pictures, a smaller file": 24, "72 pictures, smoother": 72}

_KINDS: Final[dict[Kind, str]] = {"png": "A picture as it is seen now", "gif": "A moving picture: once round"}
_NAMES: Final[dict[Kind, str]] = {"png": "PNG pictures (*.png)", "gif": "GIF pictures (*.gif)"}


class Seen(Protocol):
    """What pictures are made of."""

    def still(self, size: tuple[int, int]) -> StillPicture:
        """Return the picture to be made of what is seen; raises `NoSolidError` where there is nothing."""

    def going_round(self, name: str) -> GoingRound:
        """Return the turntable to be made of a variant; raises likewise."""

    def picture_size(self) -> tuple[int, int]:
        """Return the size on screen in pixels."""


class PictureDialog(FileDialog):
    """Asks for kind, size and place, and has the picture of what is shown drawn and written there.

    Parameters
    ----------
    seen : what is shown
    variant_name : which variant goes round, where two are shown
    folder, name : where the file goes if nothing else is chosen
    """

    def __init__(
        self,
        seen: Seen,
        variant_name: str,
        folder: Path,
        name: str,
        parent: QWidget | None = None,
        ask_path: AskPath = ask_for_path,
        show: ShowFolder = show_folder,
    ) -> None:
        """Make the dialog; call ``open`` or ``exec``."""
        super().__init__("Save picture", folder / f"{file_name(name)}.png", parent, ask_path, show)
        self.set_word("Save")
        self._seen, self._variant_name = seen, variant_name
        self._maker = PictureMaker(self)
        self._maker.done.connect(lambda data: self.write({self.target().name: data}, []))
        self._maker.advanced.connect(self.show_progress)
        self._maker.failed.connect(self.fail)

        self.kinds = CalmChoice("Kind of picture")
        for kind, words in _KINDS.items():
            self.kinds.addItem(words, kind)
        self.kinds.activated.connect(self._on_kind)
        self.form.addRow("What", self.kinds)
        self.sizes = CalmChoice("Size of the picture")
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
        self.steps = CalmChoice("How many pictures once round")
        for words, count in STEPS.items():
            self.steps.addItem(words, count)
        self.form.addRow("Once round", self.steps)
        self.add_path_row()
        self._on_kind()

    # -------------------------------------------------------------- what is chosen

    @property
    def kind(self) -> Kind:
        """One picture, or a moving one."""
        kind: Kind = self.kinds.currentData()
        return kind

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the picture."""
        return self.width_field.value(), self.height_field.value()

    def ending(self) -> str:
        """Return the kind, which is the ending too."""
        return self.kind

    def names(self) -> str:
        """Return the filter for the system's dialog."""
        return _NAMES[self.kind]

    def _pixels(self, name: str) -> QSpinBox:
        box = QSpinBox()
        box.setSingleStep(100)
        box.setAccessibleName(f"{name} in pixels")
        box.setMinimumWidth(84)
        box.valueChanged.connect(self._on_pixels)
        return box

    def _on_kind(self) -> None:
        named = dict(ROUND_SIZES)
        if self.kind == "png":
            named = {"As on screen": self._seen.picture_size(), **SIZES}
        self.sizes.clear()
        for words, (width, height) in named.items():
            self.sizes.addItem(f"{words}, {width} × {height}", (width, height))
        self.sizes.addItem("Another size", None)
        for box in (self.width_field, self.height_field):
            box.blockSignals(True)
            box.setRange(SMALLEST_PX, LARGEST_PX[self.kind])
            box.blockSignals(False)
        self.form.setRowVisible(self.steps, self.kind == "gif")
        self.take_ending()
        self._on_size()

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

    # -------------------------------------------------------------- the work

    def begin(self) -> None:
        """Have it drawn by another process."""
        try:
            if self.kind == "png":
                self._maker.draw(self._seen.still(self.size_px))
            else:
                count: int = self.steps.currentData()
                self._maker.draw_round(self._seen.going_round(self._variant_name), self.size_px, count)
        except CornerwiseError as error:
            self.fail(str(error))

    def stop(self) -> None:
        """Stop that process."""
        self._maker.cancel()
