"""One command of the command line run beside the window: a mesh or a picture, made by another process.

The process writes into a folder of its own; what it made comes back as bytes. So a cancelled errand leaves nothing
behind, and the file that is wanted in the end is written whole or not at all by whoever asked.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Final, Literal

from PySide6.QtCore import QObject, QProcess, Signal

from geometry.errors import OutputError
from geometry.files import SUFFIX, write_project
from geometry.project import Project

_RUN: Final = "import sys; sys.path.insert(0, sys.argv.pop(1)); from app.cli import main; sys.exit(main())"
_CLOSING_MS: Final = 2000

_SPEAKER: Final = "cornerwise: "
_NOT_SAWABLE: Final = f"{_SPEAKER}cannot be sawn as drawn: "

STOPPED: Final = "The part of the program that makes the file stopped before it was done, so nothing was written."
WILL_NOT_START: Final = "The part of the program that makes the file does not start, so nothing was written."

Command = Literal["export", "picture"]


class Errand(QObject):
    """Runs ``cornerwise export`` or ``cornerwise picture`` on a project in another process.

    Signals
    -------
    done : bytes of the file, and a list of sentences on why the design cannot be sawn as drawn
    failed : one sentence
    """

    done = Signal(object, object)
    failed = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        """Make an errand that is not under way."""
        super().__init__(parent)
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._out = Path()
        self._file = Path()
        self._process = QProcess(self)
        self._process.setProgram(sys.executable)
        self._process.setStandardInputFile(QProcess.nullDevice())
        self._process.setStandardOutputFile(QProcess.nullDevice())
        self._process.finished.connect(self._on_finished)
        self._process.errorOccurred.connect(self._on_error)

    @property
    def is_under_way(self) -> bool:
        """True from `start` until `done` or `failed`, or until it is cancelled."""
        return self._folder is not None

    def start(self, project: Project, command: Command, ending: str, options: Sequence[str] = ()) -> None:
        """Begin; only one at a time.

        Parameters
        ----------
        project : what to make it of; it is written to a file of its own, nothing needs to be saved
        command : "export" or "picture"
        ending : of the file to make, without the dot; it decides the format
        options : of the command, as typed
        """
        assert not self.is_under_way, "an errand runs one command at a time"
        try:
            self._folder = tempfile.TemporaryDirectory(prefix="cornerwise-", ignore_cleanup_errors=True)
            folder = Path(self._folder.name)
            self._file, self._out = folder / f"project{SUFFIX}", folder / f"out.{ending}"
            write_project(project, self._file)
        except (OSError, OutputError):
            self._clear()
            self.failed.emit("There is no room for the work on this computer's disk, so nothing was written.")
            return
        root = str(Path(__file__).resolve().parent.parent)
        arguments = ["-P", "-c", _RUN, root, command, str(self._file), str(self._out), *options]
        self._process.setArguments(arguments)
        self._process.start()

    def cancel(self) -> None:
        """Stop at once; neither `done` nor `failed` comes."""
        self._clear()
        if self._process.state() != QProcess.ProcessState.NotRunning:
            self._process.kill()
            self._process.waitForFinished(_CLOSING_MS)

    def _on_error(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart and self.is_under_way:
            self._clear()
            self.failed.emit(WILL_NOT_START)

    def _on_finished(self, code: int, status: QProcess.ExitStatus) -> None:
        said = bytes(self._process.readAllStandardError().data()).decode("utf-8", "replace")
        if not self.is_under_way:
            return  # cancelled
        made: bytes | None = None
        if status == QProcess.ExitStatus.NormalExit and code == 0:
            try:
                made = self._out.read_bytes()
            except OSError:
                made = None
        sentence = self._sentence(said)
        self._clear()
        if made is None:
            self.failed.emit(sentence)
        else:
            notes = [line.removeprefix(_NOT_SAWABLE) for line in said.splitlines() if line.startswith(_NOT_SAWABLE)]
            self.done.emit(made, notes)

    def _sentence(self, said: str) -> str:
        """Return what the command complained of, without the names of files that the maker never saw."""
        lines = [line for line in said.splitlines() if line.startswith(_SPEAKER)]
        if not lines:
            return STOPPED
        sentence = lines[-1].removeprefix(_SPEAKER)
        for path in (self._file, self._out):
            sentence = sentence.replace(f"{path}: ", "")
        sentence = sentence[:1].upper() + sentence[1:]
        return sentence if sentence.endswith(".") else f"{sentence}."

    def _clear(self) -> None:
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None
