"""What the window asks about files, with the system's own dialogs."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.files_session import Answer
from geometry.files import SUFFIX

FILTER = f"Cornerwise projects (*{SUFFIX});;All files (*)"


class AskWithDialogs:
    """Asks and tells in front of a window."""

    def __init__(self, parent: QWidget) -> None:
        """Ask in front of ``parent``."""
        self._parent = parent

    def ask_save_before_losing(self, name: str) -> Answer:
        """Ask what becomes of unsaved work."""
        box = QMessageBox(self._parent)
        box.setIcon(QMessageBox.Icon.Question)
        box.setWindowTitle("Unsaved work")
        box.setText(f"Save what you changed in “{name}”?")
        box.setInformativeText("What is not saved is lost.")
        kind = QMessageBox.StandardButton
        box.setStandardButtons(kind.Save | kind.Discard | kind.Cancel)
        box.button(kind.Discard).setText("Do not save")
        box.setDefaultButton(kind.Save)
        answers: dict[int, Answer] = {kind.Save.value: "save", kind.Discard.value: "discard"}
        return answers.get(box.exec(), "cancel")

    def ask_replace(self, path: Path) -> bool:
        """Ask whether a file may be written over."""
        kind = QMessageBox.StandardButton
        question = f"{path.name} is there already. Replace it?"
        return QMessageBox.question(self._parent, "Replace file", question, kind.Yes | kind.No, kind.No) == kind.Yes

    def open_path(self, folder: Path) -> Path | None:
        """Ask which file to open."""
        name, _ = QFileDialog.getOpenFileName(self._parent, "Open a project", str(folder), FILTER)
        return Path(name) if name else None

    def save_path(self, suggested: Path) -> Path | None:
        """Ask where to save."""
        name, _ = QFileDialog.getSaveFileName(self._parent, "Save the project", str(suggested), FILTER)
        return Path(name) if name else None

    def tell(self, sentence: str) -> None:
        """Tell what went wrong."""
        QMessageBox.warning(self._parent, "Cornerwise", sentence)
