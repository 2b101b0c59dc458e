"""`cornerwise sheet` as a maker meets it: with real pictures of the real design."""

from __future__ import annotations

import csv
import subprocess
import sys
from pathlib import Path

import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest

from app.cli import main
from tests.app.test_cli import GOOD, ROOT, one_sentence, write


@pytest.fixture
def project(tmp_path: Path) -> Path:
    return write(tmp_path / "stand.cornerwise.json", GOOD)


def test_the_sheet_is_one_page_with_pictures_of_the_design(project, tmp_path):
    out = tmp_path / "sheet.pdf"
    assert main(["sheet", str(project), str(out), "--pieces", "4"]) == 0
    document = pdfium.PdfDocument(out)
    assert len(document) == 1
    images = list(document[0].get_objects(filter=[raw.FPDF_PAGEOBJ_IMAGE]))
    assert len(images) == 9  # the piece, and eight steps
    pictures = [image.get_bitmap().to_numpy() for image in images]
    assert all(p.std() > 10.0 for p in pictures)  # each shows something
    assert len({p.tobytes() for p in pictures}) >= 8  # and something of its own; the last step is the piece
    assert "Plant stand, reading room" in document[0].get_textpage().get_text_bounded()


def test_the_cut_list_alone_needs_no_picture(project, tmp_path):
    out = tmp_path / "set.csv"
    script = f"""
import sys
from app.cli import main
assert main(["sheet", {str(project)!r}, {str(out)!r}, "--pieces", "4", "--spares", "1"]) == 0
assert not {{"PySide6", "vtkmodules"}} & {{name.partition(".")[0] for name in sys.modules}}
"""
    subprocess.run([sys.executable, "-c", script], cwd=ROOT, check=True)
    rows = list(csv.DictReader(out.read_text(encoding="utf-8-sig").splitlines()))
    assert sum(int(row["count"]) for row in rows if row["part"] == "blank") in (5, 6)


@pytest.mark.parametrize(
    "arguments",
    [["s.docx"], ["s.pdf", "--pieces", "0"], ["s.pdf", "--pieces", "many"], ["s.pdf", "--spares", "-1"],
     ["s.pdf", "--paper", "roll"]],
)  # fmt: skip
def test_what_cannot_be_is_refused_and_nothing_written(project, tmp_path, capsys, arguments):
    out, *options = arguments
    assert main(["sheet", str(project), str(tmp_path / out), *options]) == 2
    one_sentence(capsys.readouterr().err)
    assert not (tmp_path / out).exists()


def test_the_mirrored_template_is_for_the_other_hand(project, tmp_path):
    out, other = tmp_path / "a.svg", tmp_path / "b.svg"
    assert main(["template", str(project), str(out)]) == 0
    assert main(["template", str(project), str(other), "--mirrored"]) == 0
    assert "Variant A, mirrored" in other.read_text(encoding="utf-8")
    assert out.read_bytes() != other.read_bytes()
