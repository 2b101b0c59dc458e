"""`cornerwise template` as a maker meets it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pypdfium2 as pdfium
import pytest

from app.cli import main
from tests.app.test_cli import GOOD, ROOT, SAMPLES, one_sentence, write


@pytest.fixture
def project(tmp_path: Path) -> Path:
    return write(tmp_path / "stand.cornerwise.json", GOOD)


@pytest.mark.parametrize(("ending", "head"), [("pdf", b"%PDF-"), ("SVG", b"<?xml"), ("dxf", b"  0\nSECTION")])
def test_templates_are_written_by_ending(project, tmp_path, ending, head):
    out = tmp_path / f"stand.{ending}"
    assert main(["template", str(project), str(out)]) == 0
    assert out.read_bytes().startswith(head)


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "roll"])
@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.stem)
def test_every_sample_prints_on_every_paper(sample, paper, tmp_path):
    out = tmp_path / "t.pdf"
    assert main(["template", str(sample), str(out), "--paper", paper]) == 0
    pages = len(pdfium.PdfDocument(out))
    assert pages == 1 if paper == "roll" else pages >= 2


def test_faces_apart_are_drawings_of_their_own(project, tmp_path):
    together, apart = tmp_path / "a.pdf", tmp_path / "b.pdf"
    main(["template", str(project), str(together), "--paper", "a3"])
    main(["template", str(project), str(apart), "--paper", "a3", "--apart"])
    assert len(pdfium.PdfDocument(apart)) == len(pdfium.PdfDocument(together)) + 2


def test_the_variant_is_the_one_asked_for(project, tmp_path):
    out = tmp_path / "b.svg"
    assert main(["template", str(project), str(out), "--variant", "B"]) == 0
    assert "Variant B" in out.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "arguments",
    [["t.png"], ["t.pdf", "--paper", "a5"], ["t.pdf", "--variant", "C"]],
    ids=["ending", "paper", "variant"],
)
def test_what_cannot_be_is_refused_and_nothing_written(project, tmp_path, capsys, arguments):
    out, *options = arguments
    assert main(["template", str(project), str(tmp_path / out), *options]) == 2
    one_sentence(capsys.readouterr().err)
    assert not (tmp_path / out).exists()


def test_a_line_that_cannot_be_sawn_is_printed_with_a_word_on_it(tmp_path, capsys):
    bent = {
        **GOOD,
        "variants": [
            {**GOOD["variants"][0], "front": {"nodes": [{"at": [0, 0]}, {"at": [45, 200]}, {"at": [0, 420]}]}}
        ],
    }
    out = tmp_path / "t.svg"
    assert main(["template", str(write(tmp_path / "p.cornerwise.json", bent)), str(out)]) == 0
    assert "cannot be sawn as drawn" in capsys.readouterr().err
    assert "CANNOT BE SAWN" in out.read_text(encoding="utf-8")


def test_neither_the_window_nor_the_viewport_is_loaded(project, tmp_path):
    script = f"""
import sys
from app.cli import main
assert main(["template", {str(project)!r}, {str(tmp_path / "t.pdf")!r}]) == 0
assert not {{"PySide6", "vtkmodules"}} & {{name.partition(".")[0] for name in sys.modules}}
assert "ezdxf" not in sys.modules
"""
    subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=True)


def test_other_commands_do_not_wait_for_the_pens(project):
    script = f"""
import sys
from app.cli import main
main(["report", {str(project)!r}])
assert not {{"reportlab", "ezdxf"}} & {{name.partition(".")[0] for name in sys.modules}}
"""
    subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
