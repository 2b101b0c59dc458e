"""Export: what, in which format, how large, and where to. The work is done by another process."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np
from PySide6.QtWidgets import QButtonGroup, QCheckBox, QComboBox, QRadioButton, QVBoxLayout, QWidget

from app.bench.rows import CalmChoice, Sentence
from app.errand import Errand
from app.file_dialog import AskPath, FileDialog, ShowFolder, ask_for_path, show_folder
from app.piece_numbers import sizes_mm, times
from app.scale_words import COMMON, parse_scale
from geometry.layup_grid import grid_of
from geometry.meshes import FORMATS, PARTS, MeshFormat, Parts
from geometry.print_bed import laid_flat
from geometry.project import DisplayUnits, Project, Variant
from geometry.report import Report

_PARTS: Final[dict[Parts, str]] = {
    "piece": "The piece, glued",
    "quarters": "The four quarters, laid flat side by side",
    "blank": "The blank, before any cut",
}
_FORMATS: Final[dict[MeshFormat, str]] = {
    "stl": "STL, for most 3D printers",
    "3mf": "3MF, for 3D printers, with its unit and names",
    "glb": "GLB, to be shown and turned on a screen",
    "obj": "OBJ, for drawing programs",
}
_BAKED: Final = "The wood comes along as a picture inside the file, so that it looks the same in any viewer."
_BARE: Final = "The shape alone, for programs that put a surface of their own on it."
_WOODS: Final[dict[MeshFormat, str]] = {
    "stl": "The shape alone: an STL file holds no colours. 3MF keeps the woods apart.",
    "3mf": "Each wood comes as a part of its own in its colour, for printing in several colours.",
    "obj": "Each wood comes as a part of its own; its colour is in an MTL file beside the OBJ. Keep the two together.",
}
_NOT_A_SCALE: Final = "Write a scale like 1:4, 25 % or 0.25, from 1:1000 to 1000:1."


class ExportDialog(FileDialog):
    """Writes the piece, its quarters or its blank as a mesh.

    Parameters
    ----------
    variant : the design to export, as it stands; it need not be saved
    units : the maker's unit
    folder, name : where the file goes if nothing else is chosen
    report : the numbers of the variant, for the size of what comes out; None while they are not there
    """

    def __init__(
        self,
        variant: Variant,
        units: DisplayUnits,
        folder: Path,
        name: str,
        report: Report | None = None,
        parent: QWidget | None = None,
        ask_path: AskPath = ask_for_path,
        show: ShowFolder = show_folder,
    ) -> None:
        """Make the dialog; call ``open`` or ``exec``."""
        super().__init__("Export", folder / f"{file_name(name)}.stl", parent, ask_path, show)
        self._variant, self._units, self._report = variant, units, report
        self._has_woods = len(grid_of(variant).species) > 1
        self._sizes: dict[Parts, tuple[float, float, float] | None] = {}
        self._errand = Errand(self)
        self._errand.done.connect(self.write)
        self._errand.advanced.connect(self.show_progress)
        self._errand.failed.connect(self.fail)

        self.parts: dict[Parts, QRadioButton] = {}
        group, column = QButtonGroup(self), QVBoxLayout()
        column.setSpacing(4)
        for part in PARTS:
            button = self.parts[part] = QRadioButton(_PARTS[part])
            group.addButton(button)
            column.addWidget(button)
            button.toggled.connect(self._on_what)
        self.form.addRow("What", column)

        self.formats = CalmChoice("Format")
        for form in FORMATS:
            self.formats.addItem(_FORMATS[form], form)
        self.formats.activated.connect(self._on_format)
        self.form.addRow("Format", self.formats)
        self.baked = QCheckBox("With its wood baked in")
        self.baked.setChecked(True)
        self.baked.toggled.connect(self._on_format)
        self.wood_words = Sentence()
        self.form.addRow("", self.baked)
        self.form.addRow("", self.wood_words)

        self.scale = QComboBox()
        self.scale.setEditable(True)
        self.scale.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.scale.addItems(list(COMMON))
        self.scale.setAccessibleName("Scale")
        self.scale.editTextChanged.connect(self._on_what)
        self.form.addRow("Scale", self.scale)
        self.size_words = Sentence()
        self.form.addRow("", self.size_words)
        self.add_path_row()
        self.parts["piece"].setChecked(True)
        self._on_format()

    # -------------------------------------------------------------- what is chosen

    @property
    def part(self) -> Parts:
        """What is to be exported."""
        return next(part for part, button in self.parts.items() if button.isChecked())

    def ending(self) -> str:
        """Return the format, which is the ending too."""
        return str(self.formats.currentData())

    def names(self) -> str:
        """Return the filter for the system's dialog."""
        return f"{_FORMATS[self.formats.currentData()].partition(',')[0]} (*.{self.ending()})"

    def companions(self) -> list[Path]:
        """Return the file of colours that an OBJ of several woods comes with."""
        target = self.target()
        return [target.with_suffix(".mtl")] if self.ending() == "obj" and self._has_woods and target.name else []

    def _on_format(self) -> None:
        self.take_ending()
        form: MeshFormat = self.formats.currentData()
        self.form.setRowVisible(self.baked, form == "glb")
        if form == "glb":
            self.wood_words.say(_BAKED if self.baked.isChecked() else _BARE)
        else:
            self.wood_words.say(_WOODS[form] if self._has_woods else "")
        self.form.setRowVisible(self.wood_words, bool(self.wood_words.text()))

    def _on_what(self) -> None:
        scale = parse_scale(self.scale.currentText())
        self.size_words.set_trouble(scale is None)
        if scale is None:
            self.size_words.say(_NOT_A_SCALE)
            return
        sizes = self._size_of(self.part)
        self.size_words.say(
            "" if sizes is None else f"Comes out {times([mm * scale for mm in sizes], self._units)} over all."
        )

    def _size_of(self, part: Parts) -> tuple[float, float, float] | None:
        """Return the room that a part takes at full size; the quarters' takes a moment, so it is kept."""
        if part not in self._sizes:
            self._sizes[part] = export_sizes_mm(self._variant, self._report, part)
        return self._sizes[part]

    # -------------------------------------------------------------- the work

    def begin(self) -> None:
        """Send another process to make the mesh."""
        scale = parse_scale(self.scale.currentText())
        if scale is None:
            self.fail(_NOT_A_SCALE)
            self.scale.setFocus()
            return
        project = Project(variants=(self._variant,), display_units=self._units)
        words = ["--parts", self.part, "--scale", repr(scale)]
        if self.ending() == "glb" and self.baked.isChecked():
            words.append("--texture")
        self._errand.start(project, "export", self.target().name, words)

    def stop(self) -> None:
        """Stop that process."""
        self._errand.cancel()


def export_sizes_mm(variant: Variant, report: Report | None, part: Parts) -> tuple[float, float, float] | None:
    """Return the room along x, y and z that an export takes at full size, or None while it is not known."""
    if part == "blank":
        return variant.blank.width, variant.blank.depth, variant.blank.length
    if report is None:
        return None
    if part == "piece":
        return sizes_mm(report)
    lying = laid_flat(report.piece.quarters, variant.blank)
    if not lying:
        return None
    corners = np.concatenate([quarter.vertices for quarter in lying])
    x, y, z = (corners.max(axis=0) - corners.min(axis=0)).tolist()
    return x, y, z


def file_name(name: str) -> str:
    """Return a name as one that every system takes for a file."""
    kept = "".join(c if c.isalnum() or c in " -_" else " " for c in name)
    return "_".join(kept.lower().split())[:60] or "piece"
