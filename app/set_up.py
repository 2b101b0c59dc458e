"""Set the project up where it lies: its own Python environment, its packages, and the system libraries they load.

Standard library only, since it runs before anything is installed. Running it twice is cheap: the environment is
kept until ``pyproject.toml``, the Python or the folder changes. It never touches the system's own Python; outside
the project's folder it installs nothing but missing Debian libraries, and says so first.
"""

from __future__ import annotations

import ctypes
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"

OLDEST_PYTHON = (3, 11)

# What a bare Debian lacks for drawing without a screen, by the file that has to load. Debian may rename a package
# (libglib2.0-0 became libglib2.0-0t64); apt knows the old names.
DRAWING_LIBRARIES = {
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libfontconfig.so.1": "libfontconfig1",
}

# What an X11 desktop needs beyond that before a window opens.
WINDOW_LIBRARIES = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}


class SetUpError(Exception):
    """The project cannot be set up; the message says why and what to do."""


def prepare(extra: str = "") -> None:
    """Make everything ready to run, doing only what is still missing.

    Parameters
    ----------
    extra
        Name of an optional group of packages in ``pyproject.toml``, or nothing for what the program itself needs.

    Raises
    ------
    SetUpError
        If the Python is too old, or the environment or its packages cannot be made.
    """
    if sys.version_info[:2] < OLDEST_PYTHON:
        oldest, present = (".".join(map(str, version[:2])) for version in (OLDEST_PYTHON, sys.version_info))
        raise SetUpError(
            f"This needs Python {oldest} or newer, and this is Python {present}: "
            f"run the same line with a newer one, for example python{oldest}."
        )
    install_system_libraries()
    install_packages(extra)


def command(name: str) -> str:
    """Give the path of a command in the project's environment, such as ``python`` or ``cornerwise``."""
    if os.name == "nt":
        return str(ENVIRONMENT / "Scripts" / f"{name}.exe")
    return str(ENVIRONMENT / "bin" / name)


def say(sentence: str) -> None:
    """Print at once, so that the line stands above what the next program prints."""
    print(sentence, flush=True)


def install_system_libraries() -> None:
    """Install the Debian packages whose libraries do not load; elsewhere name what is missing and go on."""
    if not sys.platform.startswith("linux"):
        return
    wanted = dict(DRAWING_LIBRARIES)
    if os.environ.get("DISPLAY"):
        wanted.update(WINDOW_LIBRARIES)
    missing = _not_loading(wanted)
    if not missing:
        return
    packages = [wanted[library] for library in missing]
    apt = _apt_get()
    if apt:
        say(f"Installing system libraries with apt-get: {' '.join(packages)}.")
        subprocess.run([*apt, "update", "--quiet"], check=False)  # an old list may still do
        subprocess.run(
            [*apt, "install", "--quiet", "--yes", "--no-install-recommends", *packages],
            check=False,  # what counts is whether the libraries load now
        )
        missing = _not_loading(wanted)
    if missing:
        say(
            f"These system libraries are still missing, and without them pictures or windows fail: "
            f"{', '.join(missing)}. Install them, on Debian or Ubuntu with "
            f"'apt-get install {' '.join(wanted[library] for library in missing)}' as root, "
            f"and run the same line again."
        )


def install_packages(extra: str = "") -> None:
    """Bring the project's environment up to date with ``pyproject.toml``.

    Parameters
    ----------
    extra
        Name of an optional group of packages, or nothing.

    Raises
    ------
    SetUpError
        If the environment cannot be made or the packages cannot be installed.
    """
    state = _state()
    stamps = [_stamp(""), _stamp(extra)]
    if _runs(command("python")):
        if all(stamp.is_file() and stamp.read_text(encoding="ascii") == state for stamp in stamps):
            return
        say("Bringing the packages in .venv up to date.")
    else:
        say("Making a Python environment in .venv and installing the packages; this takes some minutes.")
        _make_environment()
    for stamp in stamps:
        stamp.unlink(missing_ok=True)
    what = f"{ROOT}[{extra}]" if extra else str(ROOT)
    done = subprocess.run(
        [*_pip(), "install", "--disable-pip-version-check", "--no-input", "--editable", what],
        env={**os.environ, "PIP_USER": "0"},  # a personal "user" setting has no place in an environment
        check=False,
    )
    if done.returncode != 0:
        raise SetUpError(
            "The packages could not be installed, for the reason that pip gives above: "
            "look at the network connection and the space on the disk, then run the same line again."
        )
    for stamp in stamps:
        stamp.write_text(state, encoding="ascii")


def _not_loading(libraries: dict[str, str]) -> list[str]:
    missing = []
    for library in libraries:
        try:
            ctypes.CDLL(library)
        except OSError:
            missing.append(library)
    return missing


def _apt_get() -> list[str]:
    """Give the words that start apt-get with the right to install, or nothing where that cannot be."""
    if not (Path("/etc/debian_version").exists() and shutil.which("apt-get")):
        return []
    quietly = ["env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-o", "DPkg::Lock::Timeout=120"]
    if os.geteuid() == 0:
        return quietly
    if not shutil.which("sudo"):
        return []
    # With nobody at the keyboard sudo must fail rather than wait for a password.
    someone_there = sys.stdin is not None and sys.stdin.isatty()
    return ["sudo", *quietly] if someone_there else ["sudo", "--non-interactive", *quietly]


def _state() -> str:
    """Sum up all that the environment was made from; the folder, because an environment cannot be moved."""
    sums = hashlib.sha256((ROOT / "pyproject.toml").read_bytes())
    sums.update(f"{sys.version} {ROOT}".encode())
    return sums.hexdigest()


def _stamp(extra: str) -> Path:
    return ENVIRONMENT / f"set-up-{extra or 'program'}.sha256"


def _runs(python: str) -> bool:
    """Say whether the environment's Python starts and is of the same release as this one."""
    try:
        answer = subprocess.run(
            [python, "-c", "import sys; print(sys.version)"], capture_output=True, text=True, check=False
        )
    except OSError:
        return False
    return answer.returncode == 0 and answer.stdout.strip() == sys.version.strip()


def _make_environment() -> None:
    # Debian's python3 comes without what puts pip into an environment, so the pip at hand does the work from outside.
    pip_from_outside = importlib.util.find_spec("pip") is not None
    if not pip_from_outside and importlib.util.find_spec("ensurepip") is None:
        raise SetUpError(
            "This Python has no pip, which fetches the packages: install it, "
            "on Debian or Ubuntu with 'apt-get install python3-pip' as root, and run the same line again."
        )
    options = ["--clear"]
    if pip_from_outside:
        options.append("--without-pip")
    done = subprocess.run([sys.executable, "-m", "venv", *options, str(ENVIRONMENT)], check=False)
    if done.returncode != 0 or not Path(command("python")).exists():
        raise SetUpError(
            "The Python environment in .venv could not be made, for the reason given above: "
            "see that the project's folder can be written to and the disk has space, then run the same line again."
        )


def _pip() -> list[str]:
    if importlib.util.find_spec("pip") is not None:
        return [sys.executable, "-m", "pip", "--python", command("python")]
    return [command("python"), "-m", "pip"]
