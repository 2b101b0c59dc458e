"""``cornerwise fit``: from the outline in a project to designs beside it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from app.cli import main
from geometry.files import read_project

OUTLINE: dict[str, Any] = {
    "left": [{"at": [-25, 0], "kind": "corner"}, {"at": [-15, 400], "kind": "corner"}],
    "right": [{"at": [25, 0], "kind": "corner"}, {"at": [15, 400], "kind": "corner"}],
}


def project(folder: Path, **wish: Any) -> Path:
    blank = {"width": 60, "depth": 60, "length": 400}
    wanted = {"name": "Leg", "blank": blank, "wish": {"front": OUTLINE, "follows": "front", **wish}}
    raw = {"format": "cornerwise project", "version": 1, "variants": [{"name": "Old", "blank": blank}, wanted]}
    path = folder / "wanted.cornerwise.json"
    path.write_text(json.dumps(raw), encoding="utf-8")
    return path


def complaint(capsys: pytest.CaptureFixture[str]) -> str:
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("cornerwise: ")
    assert err.count("\n") == 1
    return err


def test_the_answers_stand_beside_the_wish_and_can_be_sawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    out = tmp_path / "fitted.cornerwise.json"
    assert main(["fit", str(project(tmp_path)), "--variant", "Leg", str(out)]) == 0
    said = capsys.readouterr().out.splitlines()
    names = [v.name for v in read_project(out).variants]
    assert names[:4] == ["Old", "Leg", "Leg fit 1", "Leg fit 2"]
    assert [line.partition(":")[0] for line in said] == names[2:]
    for name in names[2:]:
        assert main(["report", str(out), "--variant", name, "--json"]) == 0
        report = json.loads(capsys.readouterr().out)
        assert report["smallest_section_mm"]["width"] == pytest.approx(30.0, abs=0.21)
        assert not [f for f in report["findings"] if f["severity"] == "stop"]


def test_fitting_again_replaces_the_answers(tmp_path: Path):
    once, twice = tmp_path / "a.cornerwise.json", tmp_path / "b.cornerwise.json"
    assert main(["fit", str(project(tmp_path)), "--variant", "Leg", str(once)]) == 0
    assert main(["fit", str(once), "--variant", "Leg", str(twice)]) == 0
    assert once.read_bytes() == twice.read_bytes()


def test_what_cannot_be_had_is_said_and_nothing_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    out = tmp_path / "fitted.cornerwise.json"
    file = project(tmp_path, give={"sizes": [40]})
    assert main(["fit", str(file), "--variant", "Leg", str(out)]) == 1
    assert "50 mm wide 0 mm up" in complaint(capsys)
    assert not out.exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--variant", "Old"], "wish: expected the outline wanted of 'Old', found no such key"),
        ([], "wish: expected the outline wanted of 'Old'"),
        (["--variant", "New"], "--variant: expected one of 'Old', 'Leg'"),
    ],
)
def test_bad_input_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
):
    out = tmp_path / "fitted.cornerwise.json"
    assert main(["fit", str(project(tmp_path)), str(out), *arguments]) == 2
    assert words in complaint(capsys)
    assert not out.exists()


def test_the_answer_goes_to_a_project_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["fit", str(project(tmp_path)), "--variant", "Leg", str(tmp_path / "leg.json")]) == 2
    assert "ends in .cornerwise.json" in complaint(capsys)


def test_a_bad_wish_names_its_key(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert main(["fit", str(project(tmp_path, tolerance=0)), str(tmp_path / "x.cornerwise.json")]) == 2
    assert "variants[1].wish.tolerance: expected a number not below 0.05, found 0" in complaint(capsys)
