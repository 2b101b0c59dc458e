"""Project files: read strictly, migrate, write; and outputs written whole or not at all."""

from __future__ import annotations

import contextlib
import json
import os
import re
import stat
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Final, get_args

import msgspec

from geometry.errors import OutputError, ProjectFileError
from geometry.project import DisplayUnits, NodeKind, Project, TaperSupport
from geometry.species import SPECIES_NAMES
from geometry.use import UseKind
from geometry.wish import View

FORMAT: Final = "cornerwise project"
VERSION: Final = 1
SUFFIX: Final = ".cornerwise.json"
LARGEST_FILE_BYTES: Final = 64 * 1024 * 1024

_MOST_DIGITS: Final = 18
"""Integers of more digits do not fit 64 bits; no size, version or place has that many."""

Json = dict[str, Any]
Migration = Callable[[Json], Json]

MIGRATIONS: Final[Mapping[int, Migration]] = {}
"""From version n to n + 1, dict to dict. Never edit one that was released: add the next."""


# ---------------------------------------------------------------- reading


def read_project(path: str | os.PathLike[str]) -> Project:
    """Read a project file.

    Raises
    ------
    ProjectFileError
        one sentence naming the file, the key and what was expected
    """
    file = Path(path)
    try:
        if file.is_dir():
            raise ProjectFileError(f"{file}: expected a project file, found a folder")
        with file.open("rb") as stream:
            data = stream.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        raise ProjectFileError(f"{file}: cannot be read: {_reason(error)}") from error
    except ValueError as error:  # a NUL in the name
        raise ProjectFileError(f"{file!s}: cannot be read: not a file name") from error
    if len(data) > LARGEST_FILE_BYTES:
        raise ProjectFileError(
            f"{file}: expected a project file, found one of over {LARGEST_FILE_BYTES >> 20} MB, which none reaches"
        )
    try:
        return project_from_bytes(data)
    except ProjectFileError as error:
        raise ProjectFileError(f"{file}: {error}") from error


def project_from_bytes(data: bytes) -> Project:
    """Return the project that the bytes of a file hold; raise `ProjectFileError` without the file's name."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ProjectFileError(f"expected UTF-8 text, found something else at byte {error.start}") from error
    try:
        raw = json.loads(text, object_pairs_hook=_no_twin_keys, parse_int=_whole_number)
    except json.JSONDecodeError as error:
        raise ProjectFileError(
            f"expected JSON, found a fault at line {error.lineno}, column {error.colno} ({error.msg.lower()})"
        ) from error
    except RecursionError as error:
        raise ProjectFileError("expected a project, found lists nested too deeply to be one") from error
    except ValueError as error:
        raise ProjectFileError(str(error)) from error
    return project_from_json(raw)


def project_from_json(raw: object) -> Project:
    """Return the project that decoded JSON describes, migrated to the newest version."""
    if not isinstance(raw, dict):
        raise ProjectFileError(f'expected an object with "format": "{FORMAT}", found {_kind(raw)}')
    if raw.get("format") != FORMAT:
        found = "no such key" if "format" not in raw else _shown(raw["format"])
        raise ProjectFileError(f'format: expected "{FORMAT}", found {found}')
    body = migrate(raw)
    body = {k: v for k, v in body.items() if k not in ("format", "version")}
    try:
        return msgspec.convert(body, Project, strict=True)
    except msgspec.ValidationError as error:
        raise ProjectFileError(_plain_words(str(error))) from error
    except UnicodeEncodeError as error:
        raise ProjectFileError("expected readable text in every key and value, found half a character") from error
    except (OverflowError, RecursionError) as error:
        raise ProjectFileError("expected numbers of ordinary size, found one that is too large") from error


def migrate(raw: Json, migrations: Mapping[int, Migration] = MIGRATIONS, newest: int = VERSION) -> Json:
    """Return the decoded file brought to the newest version, one step at a time."""
    version = raw.get("version")
    if "version" not in raw:
        raise ProjectFileError(f"version: expected a whole number up to {newest}, found no such key")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise ProjectFileError(f"version: expected a whole number up to {newest}, found {_shown(version)}")
    if version > newest:
        raise ProjectFileError(
            f"version: expected at most {newest}, found {version}: this file is from a newer Cornerwise"
        )
    body = dict(raw)
    for step in range(version, newest):
        body = {**migrations[step](body), "version": step + 1}
    return body


def _no_twin_keys(pairs: list[tuple[str, Any]]) -> Json:
    out: Json = {}
    for key, value in pairs:
        if key in out:
            raise ValueError(f"{key[:60]}: expected each key once in its object, found it twice")
        out[key] = value
    return out


def _whole_number(digits: str) -> int | float:
    """Return an integer, or what no integer of a project is long enough for as a float that its key will refuse."""
    return int(digits) if len(digits) <= _MOST_DIGITS else float(digits)


LAYUP_KINDS: Final = ("plain", "stripes", "checker", "chevron")
CHOICES: Final[Mapping[str, tuple[str, ...]]] = {
    "kind": get_args(NodeKind), "taper_support": get_args(TaperSupport), "display_units": get_args(DisplayUnits),
    "along": ("x", "y"), "across": ("x", "y"), "species": SPECIES_NAMES, "follows": get_args(View),
    "sizes": ("free",),
}  # fmt: skip

_KINDS = {dict: "an object", list: "a list", str: "text", bool: "true or false", type(None): "null"}
_TYPE_WORDS = {
    "float": "a number", "int": "a whole number", "number": "a number", "str": "text", "object": "an object",
    "array": "a list", "bool": "true or false", "null": "null",
}  # fmt: skip


def _kind(value: object) -> str:
    return _KINDS.get(type(value), "a number")


def _shown(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False) if isinstance(value, str | int | float | bool) else _kind(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _typed(match: re.Match[str]) -> str:
    words = [_TYPE_WORDS.get(w.strip(), w.strip()) for w in match[1].split("|")]
    return " or ".join(words)


def _plain_words(message: str) -> str:
    """Turn a decoder's message into ``place: expected ..., found ...``."""
    at = re.fullmatch(r"(.*) - at `\$([^`]*)`", message, re.DOTALL)  # the last one: the maker's words may hold another
    text, place = (at[1], at[2].lstrip(".")) if at else (message, "")
    key = re.sub(r"\[\d+\]", "", place).rpartition(".")[2]
    if m := re.match(r"Object missing required field `(\w+)`", text):
        return f"{_join(place, m[1])}: expected a value, found no such key"
    if m := re.match(r"Object contains unknown field `(.*)`", text, re.DOTALL):
        return f"{_join(place, m[1][:60])}: expected only keys of a project file, found an unknown one"
    if m := re.match(r"Invalid (?:enum )?value (.*)", text, re.DOTALL):
        kinds = {"layup": LAYUP_KINDS, "use": get_args(UseKind)}.get(place.split(".")[-2] if "." in place else "")
        names = kinds if kinds is not None and key == "kind" else CHOICES.get(key, CHOICES["species"])
        return f"{place}: expected one of {', '.join(names)}, found {m[1][:60]}"
    if text.startswith("Number out of range"):
        return f"{place}: expected a number of ordinary size, found one that is too large"
    text = re.sub(r"`([a-z| ]+)`", _typed, text)
    if m := re.match(r"Expected (.*), got (.*)", text, re.DOTALL):
        return f"{place or 'the file'}: expected {m[1]}, found {m[2]}"
    return _join(place, text)


def _join(place: str, rest: str) -> str:
    return f"{place}.{rest}" if place else rest


# ---------------------------------------------------------------- writing


def project_to_json(project: Project) -> Json:
    """Return the project as the JSON object of its file; keys that say nothing (null) are left out."""
    return {"format": FORMAT, "version": VERSION, **_without_nothing(msgspec.to_builtins(project))}


def project_to_text(project: Project) -> str:
    """Return the text of the project's file, laid out to be read by people too."""
    text = json.dumps(project_to_json(project), indent=1, ensure_ascii=False, allow_nan=False)
    # innermost lists (places, strips) on one line each: a node is one thing to the eye
    return (
        _INNERMOST_LIST.sub(lambda m: m[0] if m[1] is None else "[" + re.sub(r"\s*\n\s*", " ", m[1]) + "]", text) + "\n"
    )


_TEXT = r'"(?:[^"\\]|\\.)*"'
_INNERMOST_LIST = re.compile(rf'{_TEXT}|\[\s+((?:[^\[\]{{}}"]|{_TEXT})*?)\s+\]')
"""A list without lists or objects in it; or a text, so that brackets within one are passed over."""


def write_project(project: Project, path: str | os.PathLike[str]) -> None:
    """Write a project file whole or not at all; raise `OutputError` when it cannot be."""
    write_whole(path, project_to_text(project).encode("utf-8"))


def _without_nothing(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: _without_nothing(v) for k, v in value.items() if v is not None}
    if isinstance(value, list | tuple):
        return [_without_nothing(v) for v in value]
    return value


def write_whole(path: str | os.PathLike[str], data: bytes) -> None:
    """Write a file whole or not at all: beside its place first, flushed to the disk, then moved over it.

    A link is followed, so that what it points to is replaced and the link stays. What is no regular file (a pipe,
    a device) cannot be replaced and is written to directly.

    Raises
    ------
    OutputError
        one sentence naming the file; whatever stood there before still stands there
    """
    try:
        if Path(path).is_dir():
            raise OutputError(f"{path}: cannot be written: it is a folder")
        if Path(path).exists() and not stat.S_ISREG(Path(path).stat().st_mode):
            # by the name as given: what stands behind /dev/stdout may have no other
            with Path(path).open("wb") as device:
                device.write(data)
            return
        _replace(Path(path).resolve(), data)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written: {_reason(error)}") from error
    except ValueError as error:
        raise OutputError(f"{path}: cannot be written: not a file name") from error
    except RuntimeError as error:  # how Python up to 3.12 tells of links that lead in a circle
        raise OutputError(f"{path}: cannot be written: its links lead in a circle") from error


def _replace(target: Path, data: bytes) -> None:
    mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else None
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:100]}.", suffix=".part", dir=target.parent)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        part.chmod(mode if mode is not None else 0o666 & ~_umask())
        os.replace(part, target)
    except BaseException:
        with contextlib.suppress(OSError):
            part.unlink()
        raise
    with contextlib.suppress(
        OSError, AttributeError
    ):  # the move itself survives a power cut where folders can be flushed
        folder = os.open(target.parent, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
