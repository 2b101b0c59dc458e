"""What the dialogs share that write a file: where to, progress, one sentence on how it went, and showing it."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt, QTimer, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.bench.rows import Sentence
from geometry.errors import CornerwiseError, OutputError
from geometry.files import write_whole

AskPath = Callable[[QWidget, str, str], str]
"""Asks for a file to write, given a parent, what is already chosen and a filter; gives nothing when it is left."""

ShowFolder = Callable[[Path], None]

_PATIENCE_MS: Final = 300
"""What takes no longer than this needs no bar."""


def ask_for_path(parent: QWidget, chosen: str, names: str) -> str:
    """Ask with the system's own dialog; it asks itself before a file is written over."""
    path, _ = QFileDialog.getSaveFileName(parent, "Where to", chosen, names)
    return path


def show_folder(path: Path) -> None:
    """Open the folder of a file in the system's file manager."""
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(path.parent)))


def write_together(files: Mapping[Path, bytes]) -> None:
    """Write files that belong together, each whole: all of them, or none where one cannot be written.

    The first is written last, for it is the one that names the others.

    Raises
    ------
    OutputError
        one sentence naming the file
    """
    before: dict[Path, bytes | None] = {}
    for path, data in reversed(list(files.items())):
        try:
            there = path.read_bytes() if len(files) > 1 and path.is_file() else None
            write_whole(path, data)
        except (OSError, OutputError) as error:
            _put_back(before)
            if isinstance(error, OutputError):
                raise
            raise OutputError(f"{path}: cannot be read before it is written over: {error.strerror}") from error
        before[path] = there


def _put_back(files: Mapping[Path, bytes | None]) -> None:
    for path, data in files.items():
        with contextlib.suppress(OSError, OutputError):
            if data is None:
                path.unlink()
            else:
                write_whole(path, data)


class FileDialog(QDialog):
    """A dialog that makes one file, with what belongs beside it; what kind is for its children to say.

    Children add rows to `form`, give `ending()`, `names()` and `companions()`, begin the work in `begin()`, and report
    with `show_progress`, `write`, `fail`; they stop it in `stop()`.
    """

    def __init__(
        self,
        title: str,
        suggested: Path,
        parent: QWidget | None = None,
        ask_path: AskPath = ask_for_path,
        show: ShowFolder = show_folder,
    ) -> None:
        """Make the parts that all such dialogs have."""
        super().__init__(parent)
        self.setWindowTitle(title)
        self._ask_path, self._show_folder = ask_path, show
        self._may_replace: str | None = None  # the file the maker said may be written over
        self.written: Path | None = None

        self._inputs = QWidget()
        self.form = QFormLayout(self._inputs)
        self.form.setContentsMargins(0, 0, 0, 0)
        self.form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.DontWrapRows)
        self.form.setLabelAlignment(Qt.AlignmentFlag.AlignLeft)
        self.form.setHorizontalSpacing(14)
        self.form.setVerticalSpacing(9)
        self.path = QLineEdit(str(suggested))
        self.path.setAccessibleName("File")
        self.path.textEdited.connect(self._on_path)
        self.choose = QPushButton("Choose …")
        self.choose.setAutoDefault(False)
        self.choose.clicked.connect(self._on_choose)

        self.bar = QProgressBar()
        self.bar.setRange(0, 0)
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(6)
        self.bar.setAccessibleName("At work")
        self.bar.hide()
        self.words = Sentence()
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.show_button = QPushButton("Show in folder")
        self.show_button.setAutoDefault(False)
        self.show_button.clicked.connect(self._on_show)
        self.show_button.hide()

        self.buttons = QDialogButtonBox()
        self.go = self.buttons.addButton("Export", QDialogButtonBox.ButtonRole.AcceptRole)
        self.leave = self.buttons.addButton("Close", QDialogButtonBox.ButtonRole.RejectRole)
        self.go.setDefault(True)
        self.leave.setAutoDefault(False)
        self.go.clicked.connect(self._on_go)
        self.leave.clicked.connect(self._on_leave)

        self._patience = QTimer(self, singleShot=True, interval=_PATIENCE_MS)
        self._patience.timeout.connect(self.bar.show)

        bottom = QHBoxLayout()
        bottom.addWidget(self.show_button)
        bottom.addStretch(1)
        bottom.addWidget(self.buttons)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(18, 16, 18, 14)
        whole.setSpacing(12)
        whole.addWidget(self._inputs)
        whole.addWidget(self.bar)
        whole.addWidget(self.words)
        whole.addStretch(1)
        whole.addLayout(bottom)
        self.setMinimumWidth(460)

    # -------------------------------------------------------------- for children

    def add_path_row(self) -> None:
        """Put the row of the file below what was added so far."""
        row = QHBoxLayout()
        row.setSpacing(6)
        row.addWidget(self.path, 1)
        row.addWidget(self.choose)
        self.form.addRow("File", row)

    def ending(self) -> str:
        """Return the ending of the file's name, without the dot."""
        raise NotImplementedError

    def names(self) -> str:
        """Return the filter for the system's dialog."""
        raise NotImplementedError

    def begin(self) -> None:
        """Begin the work; it ends in `write` or `fail`."""
        raise NotImplementedError

    def stop(self) -> None:
        """Stop the work."""
        raise NotImplementedError

    def companions(self) -> list[Path]:
        """Return the files that will be written beside the one that is named."""
        return []

    def target(self) -> Path:
        """Return the file to write."""
        return Path(self.path.text().strip()).expanduser()

    def take_ending(self) -> None:
        """Give the file's name the ending of the format."""
        text = self.path.text().strip()
        if text:
            self.path.setText(str(Path(text).with_suffix(f".{self.ending()}")))
        self._forget()

    def show_progress(self, done: int, count: int) -> None:
        """Say how much of the work is done."""
        if self.is_at_work:
            self.bar.setRange(0, count)
            self.bar.setValue(done)
            self._say(f"Picture {done} of {count} is drawn …" if done < count else "Putting it together …", False)

    def write(self, made: dict[str, bytes], notes: list[str]) -> None:
        """Write what was made, all of it whole or nothing, and say so.

        Parameters
        ----------
        made : by name; the file the maker named first
        notes : what stands in the way of sawing what is in it
        """
        folder = self.target().parent
        try:
            write_together({folder / name: data for name, data in made.items()})
        except OutputError as error:
            self.fail(self._plain(error))
            return
        self._rest()
        self.written = self.target()
        names = " and ".join(made)
        sentence = f"{names} {'is' if len(made) == 1 else 'are'} written."
        if notes:
            sentence += f" It shows what cannot be sawn as drawn: {notes[0]}"
        self._say(sentence, is_trouble=False)
        self._may_replace = self.path.text()
        self.show_button.show()
        self.show_button.setFocus()

    def _plain(self, error: CornerwiseError) -> str:
        """Return what went wrong as a sentence that names files by their names alone."""
        sentence = str(error)
        for path in (self.target(), *self.companions()):
            sentence = sentence.replace(f"{path}: ", f"{path.name} ")
        return sentence if sentence.endswith(".") else f"{sentence}."

    def fail(self, sentence: str) -> None:
        """Say in one sentence why nothing was written."""
        self._rest()
        self._say(sentence, is_trouble=True)

    # -------------------------------------------------------------- running

    @property
    def is_at_work(self) -> bool:
        """True while the file is being made."""
        return not self.go.isEnabled()

    def _on_go(self) -> None:
        text = self.path.text().strip()
        if not text:
            self.fail("Say where the file shall go first.")
            self.path.setFocus()
            return
        target = self.target()
        if target.suffix.lower() != f".{self.ending()}":
            target = target.with_name(f"{target.name}.{self.ending()}")
            self.path.setText(str(target))
        if target.is_dir():
            self.fail(f"{target.name} is a folder: give the file another name.")
            return
        there = [path.name for path in (target, *self.companions()) if path.exists()]
        if there and self._may_replace != self.path.text():
            self._may_replace = self.path.text()
            is_there, it = ("is there", "it") if len(there) == 1 else ("are there", "them")
            names = " and ".join(there)
            self._say(f"{names} {is_there} already. Press Replace to write over {it}, or change the name.", True)
            self.go.setText("Replace")
            return
        self._forget(keep_permission=True)
        self.go.setEnabled(False)
        self._inputs.setEnabled(False)
        self.leave.setText("Cancel")
        self.bar.setRange(0, 0)
        self._patience.start()
        self._say("At work …", is_trouble=False)
        self.begin()

    def _on_leave(self) -> None:
        if self.is_at_work:
            self.stop()
            self._rest()
            self._say("Cancelled; nothing was written.", is_trouble=False)
        else:
            self.reject()

    def reject(self) -> None:
        """Leave; what is under way is stopped."""
        if self.is_at_work:
            self.stop()
            self._rest()
        super().reject()

    def _rest(self) -> None:
        self._patience.stop()
        self.bar.hide()
        self._inputs.setEnabled(True)
        self.go.setEnabled(True)
        self.go.setText(self._word)
        self.leave.setText("Close")

    _word = "Export"

    def set_word(self, word: str) -> None:
        """Set what the button that makes the file is called."""
        self._word = word
        self.go.setText(word)

    def _forget(self, keep_permission: bool = False) -> None:
        if not keep_permission:
            self._may_replace = None
        self.go.setText(self._word)
        self.show_button.hide()
        self._say("", is_trouble=False)

    def _say(self, sentence: str, is_trouble: bool) -> None:
        self.words.set_trouble(is_trouble)
        self.words.say(sentence)

    def _on_path(self) -> None:
        self._forget()

    def _on_choose(self) -> None:
        chosen = self._ask_path(self, self.path.text(), self.names())
        if not chosen:
            return
        path = Path(chosen)
        if path.suffix.lower() != f".{self.ending()}":
            path = path.with_name(f"{path.name}.{self.ending()}")
        self.path.setText(str(path))
        self._forget()
        # the system's dialog has asked already, though only about the file itself
        has_asked = str(path) == chosen and not any(beside.exists() for beside in self.companions())
        self._may_replace = str(path) if has_asked else None

    def _on_show(self) -> None:
        if self.written is not None:
            self._show_folder(self.written)
