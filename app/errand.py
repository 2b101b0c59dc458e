"""One command of the command line run beside the window: a mesh or a picture, made by another process.

The process writes into a folder of its own; the files it made come back as bytes. So a cancelled errand leaves nothing
behind, and the file that is wanted in the end is written whole or not at all by whoever asked.
"""

from __future__ import annotations

import re
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

_COUNT: Final = re.compile(rb"(\d+) of (\d+)")

Command = Literal["export", "picture"]


class Errand(QObject):
    """Runs ``cornerwise export`` or ``cornerwise picture`` on a project in another process.

    Signals
    -------
    done : names and bytes of the files, the one that was asked for first, and a list of sentences on why the design
        cannot be sawn as drawn
    advanced : how many of how many pictures are drawn
    failed : one sentence
    """

    done = Signal(object, object)
    advanced = Signal(int, int)
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
        self._process.readyReadStandardOutput.connect(self._on_said)
        self._process.finished.connect(self._on_finished)
        self._process.errorOccurred.connect(self._on_error)

    @property
    def is_under_way(self) -> bool:
        """True from `start` until `done` or `failed`, or until it is cancelled."""
        return self._folder is not None

    def start(self, project: Project, command: Command, name: str, options: Sequence[str] = ()) -> None:
        """Begin; only one at a time.

        Parameters
        ----------
        project : what to make it of; it is written to a file of its own, nothing needs to be saved
        command : "export" or "picture"
        name : of the file to make; its ending decides the format
        options : of the command, as typed
        """
        assert not self.is_under_way, "an errand runs one command at a time"
        try:
            self._folder = tempfile.TemporaryDirectory(prefix="cornerwise-", ignore_cleanup_errors=True)
            folder = Path(self._folder.name)
            self._file, self._out = folder / f"project{SUFFIX}", folder / "out" / name
            self._out.parent.mkdir()
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
        self._on_said()
        said = bytes(self._process.readAllStandardError().data()).decode("utf-8", "replace")
        if not self.is_under_way:
            return  # cancelled
        made = self._made() if status == QProcess.ExitStatus.NormalExit and code == 0 else None
        sentence = self._sentence(said)
        self._clear()
        if made is None:
            self.failed.emit(sentence)
        else:
            notes = [line.removeprefix(_NOT_SAWABLE) for line in said.splitlines() if line.startswith(_NOT_SAWABLE)]
            self.done.emit(made, notes)

    def _made(self) -> dict[str, bytes] | None:
        """Return what was made: the file that was asked for, then what came along with it."""
        try:
            made = {self._out.name: self._out.read_bytes()}
            for beside in sorted(self._out.parent.iterdir()):
                made.setdefault(beside.name, beside.read_bytes())
        except OSError:
            return None
        return made

    def _on_said(self) -> None:
        found = None
        while self._process.canReadLine():
            found = _COUNT.search(self._process.readLine().data()) or found
        if found is not None and self.is_under_way:
            self.advanced.emit(int(found[1]), int(found[2]))

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
