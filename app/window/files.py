"""The window's side of files: the session with dialogs, samples, and the title."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from app.document import Document
from app.files_session import FilesSession
from app.remembered import Remembered
from app.samples import Sample, samples
from app.window.dialogs import AskWithDialogs
from geometry.errors import ProjectFileError
from geometry.files import read_project
from geometry.project import Project

if TYPE_CHECKING:
    from app.window.main_window import MainWindow


class WindowFiles(FilesSession):
    """New, open, save and samples, asked for in front of a window."""

    def __init__(self, window: MainWindow, document: Document, remembered: Remembered) -> None:
        """Work on the window's document."""
        super().__init__(document, remembered, AskWithDialogs(window))
        self._window = window

    def show_title(self) -> None:
        """Show the document's name, and the star where there is unsaved work."""
        self._window.setWindowTitle(self.title)
        self._window.setWindowModified(self.document.is_modified)

    def new(self, project: Project | None = None) -> bool:
        """Begin a new document, and show it."""
        return self._shown(super().new(project))

    def open(self, path: Path | None = None) -> bool:
        """Open a file, and show it."""
        return self._shown(super().open(path))

    def _shown(self, is_done: bool) -> bool:
        if is_done:
            self._window.show_work()
        return is_done

    def open_path(self, path: Path) -> bool:
        """Open a file by name."""
        return self.open(path)

    def open_sample(self, sample: Sample) -> bool:
        """Begin a new document with a sample's content; saving asks where, the sample itself stays as it is."""
        try:
            project = read_project(sample.path)
        except ProjectFileError as error:
            self.ask.tell(str(error))
            return False
        return self.new(project)

    def open_at_start(self, file: Path | None) -> None:
        """Open a file given at the start, or the first sample; with neither, a new document stays."""
        if file is not None:
            self.open(file)
        elif samples():
            self.open_sample(samples()[0])
        self.show_title()
