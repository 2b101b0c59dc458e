"""The sample projects: where they lie, beside the source or as installed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from importlib import metadata
from pathlib import Path
from typing import Final

from geometry.files import SUFFIX

_SIMPLE_FIRST: Final = ("plant_stand", "reading_bench", "lectern_column")
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
    """Return the samples, the simple ones first; none where they were not installed."""
    return _samples_in(Path(__file__).resolve().parent.parent / _FOLDER) or _installed()


def _samples_in(folder: Path) -> tuple[Sample, ...]:
    return _in_order(folder.glob(f"*{SUFFIX}"))


@lru_cache(maxsize=1)
def _installed() -> tuple[Sample, ...]:
    """Return the samples that the installer put with the program's shared files, wherever that is on this system."""
    try:
        files = metadata.files(_DISTRIBUTION) or []
    except metadata.PackageNotFoundError:
        return ()
    places = [Path(str(file.locate())) for file in files if file.parent.name == _FOLDER and file.name.endswith(SUFFIX)]
    return _in_order(path.resolve() for path in places if path.is_file())


def _in_order(paths: Iterable[Path]) -> tuple[Sample, ...]:
    """Return samples from the simple to the less simple, then by name."""

    def order(path: Path) -> tuple[int, str]:
        name = path.name.removesuffix(SUFFIX)
        return (_SIMPLE_FIRST.index(name) if name in _SIMPLE_FIRST else len(_SIMPLE_FIRST), name)

    return tuple(Sample(path) for path in sorted(paths, key=order))
