"""Set the project up and do its main job once, on a sample: ``python3 app/first_run.py``.

Opens the window on a sample. Where there is no display, or the window cannot open, it prints the sample's numbers and
findings instead and writes its piece as a mesh and as a picture.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # before anything is installed

from app.set_up import ROOT, SetUpError, command, prepare, say

SAMPLE = ROOT / "sample_projects" / "lectern_column.cornerwise.json"
OUTPUT = ROOT / "output"


def main() -> int:
    """Set up, then run the sample; give the exit code."""
    try:
        prepare()
    except SetUpError as error:
        say(str(error))
        return 1
    if has_display():
        say("\nOpening the window on a sample. Close it when you have seen enough.")
        if subprocess.run([command("cornerwise"), str(SAMPLE)], check=False).returncode == 0:
            return 0
        say("The window could not be opened; here is what can be had without it.")
    else:
        say("\nThere is no display to open the window on; here is what can be had without it.")
    return run_sample(SAMPLE, OUTPUT)


def has_display() -> bool:
    """Say whether there is a screen to open a window on."""
    if not sys.platform.startswith("linux"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def run_sample(sample: Path, output: Path) -> int:
    """Report on a project file and write its mesh and picture; give 0 when everything came out."""
    output.mkdir(parents=True, exist_ok=True)
    name = sample.name.removesuffix(".cornerwise.json")
    mesh, picture = output / f"{name}.stl", output / f"{name}.png"

    failed = []
    if not cornerwise("report", sample):
        failed.append("the report")
    written = []
    for kind, what, path in (("export", "the mesh", mesh), ("picture", "the picture", picture)):
        if cornerwise(kind, sample, path):
            written.append(f"{what} is in {path}")
        else:
            failed.append(what)

    if written:
        say(f"Done: {', '.join(written)}.")
    if failed:
        say(f"Not done, for the reasons given above: {', '.join(failed)}.")
    return 1 if failed else 0


def cornerwise(*words: str | Path) -> bool:
    """Run one ``cornerwise`` command in the project's environment and say whether it succeeded."""
    line = [command("cornerwise"), *map(str, words)]
    say(f"\ncornerwise {' '.join(line[1:])}")
    return subprocess.run(line, check=False).returncode == 0


if __name__ == "__main__":
    sys.exit(main())
