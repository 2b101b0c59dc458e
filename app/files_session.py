"""New, open, save, save as, and never losing work: what the menu of files does, without the dialogs themselves."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, Protocol

from app.document import Document, new_project
from app.remembered import Remembered
from geometry.errors import OutputError, ProjectFileError
from geometry.files import SUFFIX, read_project, write_project
from geometry.project import Project

Answer = Literal["save", "discard", "cancel"]

UNTITLED = "Untitled"


class Ask(Protocol):
    """Everything a maker may be asked or told about files. The window asks with dialogs; a test answers by itself."""

    def ask_save_before_losing(self, name: str) -> Answer:
        """Ask what becomes of unsaved work in the document of that name."""

    def ask_replace(self, path: Path) -> bool:
        """Ask whether a file that is there already may be written over."""

    def open_path(self, folder: Path) -> Path | None:
        """Ask which file to open; None for none."""

    def save_path(self, suggested: Path) -> Path | None:
        """Ask where to save, having asked about replacing a file of exactly that name; None for nowhere."""

    def tell(self, sentence: str) -> None:
        """Tell the maker something that went wrong."""


class FilesSession:
    """The document's comings and goings. Each action returns True when it was carried through."""

    def __init__(self, document: Document, remembered: Remembered, ask: Ask) -> None:
        """Work on a document; ``ask`` may be replaced at any time."""
        self.document = document
        self.remembered = remembered
        self.ask = ask

    @property
    def name(self) -> str:
        """The document's name as in the title: its file's without the ending, else its own."""
        path = self.document.path
        if path is None:
            return self.document.project.name.strip() or UNTITLED
        return path.name.removesuffix(SUFFIX) or path.name

    @property
    def title(self) -> str:
        """The window's title; Qt shows the star where there is unsaved work."""
        return f"{self.name}[*] – Cornerwise"

    def new(self, project: Project | None = None) -> bool:
        """Begin a new document, with a project to start from (a sample) or a plain blank."""
        if not self.may_lose_work():
            return False
        self.document.replace(project or new_project())
        return True

    def open(self, path: Path | None = None) -> bool:
        """Open a file, asking which if none is given; the document stays as it is when the file cannot be read."""
        if path is None and (path := self.ask.open_path(self.remembered.folder)) is None:
            return False
        path = path.absolute()
        if not self.may_lose_work():
            return False
        # read after asking: saving may just have written this very file
        try:
            project = read_project(path)
        except ProjectFileError as error:
            self.ask.tell(str(error))
            if not path.exists():
                self.remembered.drop_recent(path)
            return False
        self.document.replace(project, path)
        self.remembered.add_recent(path)
        return True

    def save(self) -> bool:
        """Save to the file the document came from, or ask where."""
        path = self.document.path
        return self.save_as() if path is None else self._write(path)

    def save_as(self) -> bool:
        """Ask where to save, and save there."""
        chosen = self.ask.save_path(self._suggested())
        if chosen is None:
            return False
        path = with_suffix(chosen).absolute()
        # whoever chose the name was asked about that name only, not about what the ending made of it
        if path.name != chosen.name and path.exists() and not self.ask.ask_replace(path):
            return False
        return self._write(path)

    def may_lose_work(self) -> bool:
        """Return True when the document may be left: nothing unsaved, saved now, or given up by the maker."""
        self.document.commit()
        if not self.document.is_modified:
            return True
        answer = self.ask.ask_save_before_losing(self.name)
        return self.save() if answer == "save" else answer == "discard"

    def _suggested(self) -> Path:
        path = self.document.path
        if path is not None:
            return path
        plain = "".join(c if c.isprintable() and c not in '<>:"/\\|?*' else " " for c in self.name)
        name = " ".join(plain.split()).strip(".")[:80].strip()
        return self.remembered.folder / f"{name or UNTITLED}{SUFFIX}"

    def _write(self, path: Path) -> bool:
        self.document.commit()
        try:
            write_project(self.document.project, path)
        except OutputError as error:
            self.ask.tell(str(error))
            return False
        self.document.mark_saved(path)
        self.remembered.add_recent(path)
        return True


def with_suffix(path: Path) -> Path:
    """Return the path with the ending of a project file, whatever part of it was typed."""
    name = path.name
    if name.lower().endswith(SUFFIX):
        return path
    stem, _, rest = SUFFIX.rpartition(".")  # ".cornerwise", "json"
    for typed in (stem, f".{rest}"):
        if name.lower().endswith(typed):
            name = name[: -len(typed)]
            break
    return path.with_name(name.rstrip(".") + SUFFIX if name.rstrip(".") else path.name + SUFFIX)
