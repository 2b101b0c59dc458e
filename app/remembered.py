"""What the program remembers between two runs: recent files, the last folder, the layout of the window."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings

MOST_RECENT_FILES = 10


class Remembered:
    """Small things kept in the settings of this computer's user; anything unreadable there counts as not there."""

    def __init__(self, settings: QSettings) -> None:
        """Keep them in the given settings."""
        self._settings = settings

    @classmethod
    def on_this_computer(cls) -> Remembered:
        """Return what is remembered where the system keeps such things."""
        return cls(QSettings("Cornerwise", "Cornerwise"))

    # ---------------------------------------------------------------- files

    @property
    def recent_files(self) -> tuple[Path, ...]:
        """Files opened or saved, the last one first."""
        value = self._settings.value("recent_files")
        # a list of one comes back from some stores as a bare text
        texts = [value] if isinstance(value, str) else value if isinstance(value, list) else []
        return tuple(Path(t) for t in texts if isinstance(t, str) and t)[:MOST_RECENT_FILES]

    def add_recent(self, path: Path) -> None:
        """Put a file in front of the recent ones."""
        path = path.absolute()
        self._set_recent([path, *(p for p in self.recent_files if p != path)])

    def drop_recent(self, path: Path) -> None:
        """Take a file that is no longer there out of the recent ones."""
        path = path.absolute()
        self._set_recent([p for p in self.recent_files if p != path])

    def clear_recent(self) -> None:
        """Forget all recent files."""
        self._set_recent([])

    def _set_recent(self, paths: Sequence[Path]) -> None:
        self._settings.setValue("recent_files", [str(p) for p in paths[:MOST_RECENT_FILES]])

    @property
    def folder(self) -> Path:
        """Where to look for files first: the folder of the last one, or home."""
        for path in self.recent_files:
            if path.parent.is_dir():
                return path.parent
        return Path.home()

    # ---------------------------------------------------------------- layout

    def keep_layout(self, part: str, layout: QByteArray) -> None:
        """Remember the layout of a part of the window ("window", "panels") as Qt saves it."""
        self._settings.setValue(f"layout/{part}", layout)

    def layout(self, part: str) -> QByteArray | None:
        """Return the layout last kept for a part of the window."""
        value = self._settings.value(f"layout/{part}")
        return value if isinstance(value, QByteArray) and not value.isEmpty() else None

    def keep_choice(self, name: str, choice: str) -> None:
        """Remember a choice that is no part of a project, as how the faces are drawn."""
        self._settings.setValue(f"choice/{name}", choice)

    def choice(self, name: str, default: str) -> str:
        """Return a choice as it was last kept."""
        value = self._settings.value(f"choice/{name}")
        return value if isinstance(value, str) and value else default
