"""Set the project up and pass every check: ``python3 tests/run.py``.

Anything after that is handed to pytest, as in ``python3 tests/run.py -k units``.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # before anything is installed

from app.set_up import ROOT, SetUpError, command, prepare, say


def main(pytest_words: list[str]) -> int:
    """Run all the checks, even after one has failed; give 0 when all passed."""
    try:
        prepare("test")
    except SetUpError as error:
        say(str(error))
        return 1

    checks = {
        "ruff check": [command("ruff"), "check"],
        "ruff format": [command("ruff"), "format", "--check"],
        "mypy": [command("mypy")],
        "lint-imports": [command("lint-imports")],
        # two at a time, each file in one process; a word of the caller's comes later and wins
        "pytest": [command("python"), "-m", "pytest", "-n", "2", "--dist", "loadfile", *pytest_words],
    }
    # No window may open and no test may depend on whether somebody sits before a screen.
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    failed = []
    for name, line in checks.items():
        say(f"\n=== {name}")
        if subprocess.run(line, cwd=ROOT, env=environment, check=False).returncode != 0:
            failed.append(name)
    say(f"\nFailed: {', '.join(failed)}." if failed else f"\nAll good: {', '.join(checks)}.")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
