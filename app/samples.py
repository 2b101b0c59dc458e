"""The sample projects: where they lie, beside the source or as installed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib import metadata
from pathlib import Path
from typing import Final

from geometry.files import SUFFIX

_FOLDER: Final = "sample_projects"
_DISTRIBUTION: Final = "cornerwise"


@dataclass(frozen=True, slots=True)
class Sample:
    """A project file to begin with."""

    path: Path

    @property
    def title(self) -> str:
        """What it is, by its file's name: "Plant stand"."""
        return self.path.name.removesuffix(SUFFIX).replace("_", " ").capitalize()


def samples() -> tuple[Sample, ...]:
    """Return the samples in the order of their names; none where they were not installed."""
    return _samples_in(Path(__file__).resolve().parent.parent / _FOLDER) or _installed()


def _samples_in(folder: Path) -> tuple[Sample, ...]:
    return tuple(Sample(path) for path in sorted(folder.glob(f"*{SUFFIX}")))


@lru_cache(maxsize=1)
def _installed() -> tuple[Sample, ...]:
    """Return the samples that the installer put with the program's shared files, wherever that is on this system."""
    try:
        files = metadata.files(_DISTRIBUTION) or []
    except metadata.PackageNotFoundError:
        return ()
    places = [Path(str(file.locate())) for file in files if file.parent.name == _FOLDER and file.name.endswith(SUFFIX)]
    return tuple(Sample(path.resolve()) for path in sorted(places, key=lambda path: path.name) if path.is_file())
