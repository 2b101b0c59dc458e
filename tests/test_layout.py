"""What the folder promises: a fixed layout, a core without a window, sources that run anywhere, files one can read."""

import json
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent

LAYOUT = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "app",
    "geometry",
    "tests",
    "sample_projects",
}

LONGEST_FILE = 500  # lines; past some 400 a file usually holds two subjects

# Put together from pieces, so that this file does not hold what it looks for.
MACHINE_PATH = re.compile(r"(?<![\w.~])/(?:" + "|".join(["work", "root", "opt", "home/[a-z]+"]) + r")/")
PACKAGE_HOSTS = ["py" + "pi.org", "python" + "hosted", "debian" + ".org", "npm" + "js"]
PACKAGE_HOST = re.compile("|".join(map(re.escape, PACKAGE_HOSTS)), re.IGNORECASE)


@cache
def files_of_the_project() -> tuple[Path, ...]:
    """All that is tracked, or would be by ``git add``; in a folder without history, all that .gitignore lets in."""
    if (ROOT / ".git").exists():
        # The folder may belong to another user than the one who runs the tests.
        listed = subprocess.run(
            ["git", "-c", "safe.directory=*", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
            cwd=ROOT,
            capture_output=True,
            check=True,
        )
        paths = [ROOT / name for name in listed.stdout.decode().split("\0") if name]
    else:
        ignored = [line for line in (ROOT / ".gitignore").read_text().split() if line.endswith("/")]
        paths = [path for path in ROOT.rglob("*") if path.is_file() and not lies_in(path, ignored)]
    return tuple(path for path in paths if path.exists())


def lies_in(path: Path, patterns: list[str]) -> bool:
    folders = path.relative_to(ROOT).parents
    return any(folder.match(pattern.rstrip("/")) for folder in folders for pattern in patterns)


def texts() -> dict[Path, str]:
    found = {}
    for path in files_of_the_project():
        try:
            found[path] = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # a picture or a mesh
    return found


def lines_with(pattern: re.Pattern[str]) -> list[str]:
    return [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()}"
        for path, text in texts().items()
        for number, line in enumerate(text.splitlines(), start=1)
        if pattern.search(line)
    ]


def test_the_top_of_the_folder_is_the_fixed_layout():
    tops = {path.relative_to(ROOT).parts[0] for path in files_of_the_project()}
    assert {top for top in tops if not top.startswith(".")} == LAYOUT


def test_geometry_brings_in_neither_window_nor_viewport():
    script = """
import importlib, json, pkgutil, sys
import geometry
names = ["geometry", *(module.name for module in pkgutil.walk_packages(geometry.__path__, "geometry."))]
for name in names:
    importlib.import_module(name)
print(json.dumps({"imported": names, "loaded": sorted({name.partition(".")[0] for name in sys.modules})}))
"""
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    answer = json.loads(done.stdout)
    sources = {path for path in files_of_the_project() if path.is_relative_to(ROOT / "geometry")}
    assert len(answer["imported"]) == len([path for path in sources if path.suffix == ".py"])
    assert not {"PySide6", "shiboken6", "vtk", "vtkmodules", "pyvista", "app"} & set(answer["loaded"])


@pytest.mark.parametrize("script", ["app/first_run.py", "tests/run.py"])
def test_what_sets_up_needs_nothing_installed(script):
    # -S leaves the installed packages out and -I the environment and the present folder.
    load = f"import runpy; runpy.run_path({str(ROOT / script)!r}, run_name='loaded')"
    done = subprocess.run([sys.executable, "-I", "-S", "-c", load], cwd=ROOT, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("command", ["python3 app/first_run.py", "python3 tests/run.py"])
def test_the_readme_gives_both_commands_as_one_line_each(command):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert [line.strip() for line in readme.splitlines()].count(command) == 1


def test_no_source_names_a_place_on_one_machine():
    assert lines_with(MACHINE_PATH) == []


def test_no_source_names_where_packages_are_fetched():
    assert lines_with(PACKAGE_HOST) == []


def test_the_patterns_find_what_they_are_for():
    slash = "/"
    for place in ("work", "root", "opt", "home/maker"):
        assert MACHINE_PATH.search(f"see '{slash}{place}{slash}x'")
    assert not MACHINE_PATH.search(f"art{slash}work{slash}x")
    for host in PACKAGE_HOSTS:
        assert PACKAGE_HOST.search(f"fetch from https://files.{host.upper()}{slash}simple")


def test_no_python_file_is_too_long_to_read():
    lengths = {path.relative_to(ROOT): len(text.splitlines()) for path, text in texts().items() if path.suffix == ".py"}
    assert lengths
    assert {path: length for path, length in lengths.items() if length >= LONGEST_FILE} == {}
