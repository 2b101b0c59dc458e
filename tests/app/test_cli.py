"""The command line as a maker or a script meets it: real files, real exit codes, one sentence for each fault."""

from __future__ import annotations

import copy
import json
import os
import resource
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from app.cli import main

ROOT = Path(__file__).parents[2]
SAMPLES = sorted((ROOT / "sample_projects").glob("*.cornerwise.json"))
GOOD: dict[str, Any] = {
    "format": "cornerwise project",
    "version": 1,
    "name": "Plant stand, reading room",
    "variants": [
        {
            "name": "A",
            "blank": {"width": 60, "depth": 60, "length": 420},
            "front": {
                "nodes": [{"at": [0, 0], "kind": "corner"}, {"at": [8, 140]}, {"at": [-6, 280]}, {"at": [0, 420]}]
            },
        },
        {"name": "B", "blank": {"width": 60, "depth": 60, "length": 420}},
    ],
}


def write(path: Path, content: object) -> Path:
    path.write_text(json.dumps(content), encoding="utf-8")
    return path


@pytest.fixture
def project(tmp_path: Path) -> Path:
    return write(tmp_path / "stand.cornerwise.json", GOOD)


def one_sentence(err: str) -> str:
    """The error stream must hold exactly one line, and no traceback."""
    assert err.startswith("cornerwise: ")
    assert err.count("\n") == 1
    assert "Traceback" not in err
    return err


# ---------------------------------------------------------------- bad input


def variant(change: Callable[[dict[str, Any]], None]) -> Callable[[dict[str, Any]], None]:
    return lambda p: change(p["variants"][0])


def put(*keys: str | int, value: Any) -> Callable[[dict[str, Any]], None]:
    def change(p: dict[str, Any]) -> None:
        place: Any = p
        for key in keys[:-1]:
            place = place[key]
        place[keys[-1]] = value

    return change


def take(*keys: str | int) -> Callable[[dict[str, Any]], None]:
    def change(p: dict[str, Any]) -> None:
        place: Any = p
        for key in keys[:-1]:
            place = place[key]
        del place[keys[-1]]

    return change


V = ("variants", 0)
BAD: list[tuple[str, Callable[[dict[str, Any]], None], tuple[str, ...]]] = [
    ("no format", take("format"), ("format",)),
    ("another format", put("format", value="drawing"), ("format", "drawing")),
    ("no version", take("version"), ("version",)),
    ("version as text", put("version", value="1"), ("version",)),
    ("version zero", put("version", value=0), ("version",)),
    ("newer version", put("version", value=2), ("version", "newer")),
    ("no variants", put("variants", value=[]), ("variants",)),
    ("variants missing", take("variants"), ("variants",)),
    ("repeated name", put("variants", 1, "name", value="A"), ("variants[1].name", "'A'")),
    ("empty name", put(*V, "name", value="  "), ("variants[0].name",)),
    ("no name", take(*V, "name"), ("variants[0].name",)),
    ("no blank", take(*V, "blank"), ("variants[0].blank",)),
    ("no length", take(*V, "blank", "length"), ("blank.length",)),
    ("width as text", put(*V, "blank", "width", value="60"), ("blank.width", "number", "text")),
    ("width true", put(*V, "blank", "width", value=True), ("blank.width", "number")),
    ("width null", put(*V, "blank", "width", value=None), ("blank.width", "number")),
    ("width list", put(*V, "blank", "width", value=[60]), ("blank.width", "list")),
    ("too small", put(*V, "blank", "width", value=4.99), ("blank.width", "5 to 5000")),
    ("too long", put(*V, "blank", "length", value=5000.1), ("blank.length", "5 to 5000")),
    ("huge", put(*V, "blank", "depth", value=1e300), ("blank.depth", "5 to 5000")),
    ("huge whole number", put(*V, "blank", "depth", value=10**400), ("blank.depth", "finite")),
    ("negative", put(*V, "blank", "depth", value=-60), ("blank.depth",)),
    ("kerf too wide", put(*V, "front", "kerf", value=10.5), ("front.kerf", "0 to 10")),
    ("kerf negative", put(*V, "front", "kerf", value=-0.1), ("front.kerf",)),
    ("sanding too much", put(*V, "sanding", value=11), ("sanding", "0 to 10")),
    ("unknown key", put(*V, "front", "kerff", value=1), ("front.kerff", "unknown")),
    ("unknown key above", put("colour", value="red"), ("colour", "unknown")),
    ("one node", put(*V, "front", "nodes", value=[{"at": [0, 0]}]), ("front.nodes", "two")),
    ("equal nodes", put(*V, "front", "nodes", 1, value={"at": [0, 0]}), ("front.nodes[1]",)),
    ("far node", put(*V, "front", "nodes", 1, "at", value=[0, 10001]), ("nodes[1].at[1]", "10000")),
    ("three numbers", put(*V, "front", "nodes", 1, "at", value=[0, 1, 2]), ("nodes[1].at",)),
    ("unknown kind", put(*V, "front", "nodes", 1, "kind", value="round"), ("nodes[1].kind", "smooth", "corner")),
    ("unknown species", put(*V, "layup", value={"kind": "plain", "species": "steel"}), ("layup.species", "walnut")),
    ("unknown lay-up", put(*V, "layup", value={"kind": "plaid"}), ("layup.kind", "stripes")),
    (
        "strips miss",
        put(*V, "layup", value={"kind": "stripes", "along": "x", "strips": [[30, "walnut"], [29.98, "maple"]]}),
        ("layup.strips", "width of 60"),
    ),
    ("blade of nothing", put(*V, "front", "blade", value={"width": 0}), ("blade.width",)),
    ("half a measurement", put(*V, "front", "blade", value={"width": 6, "body": 0.5}), ("blade.kerf",)),
    ("saw of nothing", put(*V, "saw", value={"depth_of_cut": 0}), ("saw.depth_of_cut",)),
    ("support", put(*V, "taper_support", value="sideways"), ("taper_support", "levelled")),
    ("units", put("display_units", value="cubits"), ("display_units", "mm")),
    ("half a character", put("name", value="\ud800"), ("name",)),
    ("top too small", put(*V, "blank", "top_width", value=4), ("blank.top_width", "5 to 5000")),
    ("trim of one node", put(*V, "side", value={"trims": [{"nodes": [{"at": [9, 0]}]}]}), ("side.trims[0].nodes",)),
    ("trim of no node", put(*V, "side", value={"trims": [{"nodes": []}]}), ("side.trims[0].nodes",)),
]


@pytest.mark.parametrize(("change", "named"), [pytest.param(c, n, id=i) for i, c, n in BAD])
@pytest.mark.parametrize("command", ["report", "export", "picture"])
def test_bad_content_is_one_sentence_and_nothing_written(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    command: str,
    change: Callable[[dict[str, Any]], None],
    named: tuple[str, ...],
) -> None:
    content = copy.deepcopy(GOOD)
    change(content)
    file = write(tmp_path / "bad.cornerwise.json", content)
    out = {"report": [], "export": [str(tmp_path / "o.stl")], "picture": [str(tmp_path / "o.png")]}[command]
    assert main([command, str(file), *out]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    err = one_sentence(shown.err)
    for word in ("bad.cornerwise.json", *named):
        assert word in err
    assert [p.name for p in tmp_path.iterdir()] == ["bad.cornerwise.json"]


DEEP = "[" * 200_000
BAD_BYTES = {
    "empty": b"",
    "not JSON": b"two lines",
    "half a file": json.dumps(GOOD).encode()[:200],
    "UTF-16": json.dumps(GOOD).encode("utf-16"),
    "nested": DEEP.encode(),
    "NaN": json.dumps(GOOD).replace("420", "NaN").encode(),
    "Infinity": json.dumps(GOOD).replace("420", "-Infinity").encode(),
    "1e999": json.dumps(GOOD).replace("420", "1e999").encode(),
    "a list": b"[]",
    "a number": b"7",
    "null": b"null",
    "twin keys": json.dumps(GOOD).replace('"width": 60', '"width": 60, "width": 70').encode(),
    "picture": b"\x89PNG\r\n\x1a\n" + bytes(range(256)),
    "NULs": bytes(4096),
    "digits without end": b'{"format": "cornerwise project", "version": ' + b"9" * 5000 + b"}",
}


@pytest.mark.parametrize("kind", BAD_BYTES)
def test_bad_bytes_are_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str], kind: str) -> None:
    file = tmp_path / "bad.cornerwise.json"
    file.write_bytes(BAD_BYTES[kind])
    assert main(["report", str(file)]) == 2
    assert "bad.cornerwise.json" in one_sentence(capsys.readouterr().err)


def test_bad_places_to_read_are_one_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for place in (tmp_path, tmp_path / "missing.json", tmp_path / "no" / "such", "name\0with NUL", "x" * 5000):
        assert main(["report", str(place)]) == 2
        one_sentence(capsys.readouterr().err)


def test_bad_words_on_the_command_line_are_one_sentence(
    tmp_path: Path, project: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = str(tmp_path / "o.stl")
    for words in (
        ["report"],
        ["report", str(project), "--variant", "Z"],
        ["report", str(project), "--vari", "A"],
        ["export", str(project)],
        ["export", str(project), str(tmp_path / "o.step")],
        ["export", str(project), str(tmp_path / "o")],
        ["export", str(project), out, "--parts", "legs"],
        ["export", str(project), out, "--scale", "0"],
        ["export", str(project), out, "--scale", "-1"],
        ["export", str(project), out, "--scale", "nan"],
        ["export", str(project), out, "--scale", "inf"],
        ["export", str(project), out, "--scale", "big"],
        ["export", str(project), out, "--texture"],
        ["picture", str(project), str(tmp_path / "o.jpg")],
        ["picture", str(project), str(tmp_path / "o.png"), "--size", "big"],
        ["picture", str(project), str(tmp_path / "o.png"), "--size", "0x5"],
        ["picture", str(project), str(tmp_path / "o.png"), "--size", "99999x99999"],
        ["picture", str(project), str(tmp_path / "o.png"), "--turn", "1.01"],
        ["picture", str(project), str(tmp_path / "o.png"), "--turn", "nan"],
        ["--nonsense"],
        ["one.json", "two.json"],
    ):
        assert main(words) == 2, words
        one_sentence(capsys.readouterr().err)
    assert [p.name for p in tmp_path.iterdir()] == [project.name]


# ---------------------------------------------------------------- outputs whole or not at all


def test_places_that_cannot_be_written(tmp_path: Path, project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "folder.stl"
    folder.mkdir()
    full = tmp_path / "full.stl"
    full.symlink_to("/dev/full")
    for out in (folder, tmp_path / "no" / "such.stl", full):
        assert main(["export", str(project), str(out)]) == 2
        assert out.name in one_sentence(capsys.readouterr().err)
    assert folder.is_dir()
    assert not list(folder.iterdir())
    assert full.is_symlink()


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, project: Path) -> None:
    out = tmp_path / "leg.stl"
    out.write_bytes(b"the old one")

    def no_room() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))

    words = [sys.executable, "-m", "app.cli", "export", str(project), str(out)]
    # Python ignores the signal that would end the process, and the write fails as on a full disk
    run = subprocess.run(words, cwd=ROOT, preexec_fn=no_room, capture_output=True, text=True, check=False)
    assert run.returncode == 2
    assert "leg.stl" in one_sentence(run.stderr)
    assert out.read_bytes() == b"the old one"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["leg.stl", project.name]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_folder(tmp_path: Path, project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "shut"
    folder.mkdir(mode=0o500)
    assert main(["export", str(project), str(folder / "leg.stl")]) == 2
    one_sentence(capsys.readouterr().err)


def test_an_existing_file_keeps_its_rights_and_a_link_its_target(tmp_path: Path, project: Path) -> None:
    out, link = tmp_path / "leg.stl", tmp_path / "link.stl"
    out.write_bytes(b"old")
    out.chmod(0o640)
    link.symlink_to(out)
    assert main(["export", str(project), str(link)]) == 0
    assert link.is_symlink()
    assert out.stat().st_size > 84
    assert out.stat().st_mode & 0o777 == 0o640


# ---------------------------------------------------------------- what the commands give


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.name.split(".")[0])
def test_samples_can_be_sawn(sample: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert len(SAMPLES) >= 3
    assert main(["report", str(sample), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["watertight"] is True
    assert not [f for f in report["findings"] if f["severity"] == "stop"]


def test_report_says_the_numbers_in_words(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["report", str(project)]) == 0
    text = capsys.readouterr().out
    for word in ("Plant stand, reading room", "variant A", "60 mm", "420 mm", "walnut", "kg", "tightest radius"):
        assert word in text


def test_report_of_a_laminated_blank(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    content = copy.deepcopy(GOOD)
    content["variants"][0]["layup"] = {
        "kind": "stripes", "along": "x", "strips": [[20, "walnut"], [20, "maple"], [20, "walnut"]]
    }  # fmt: skip
    file = write(tmp_path / "p.json", content)
    assert main(["report", str(file)]) == 0
    text = capsys.readouterr().out
    for word in ("3 strips across its width: walnut, maple, walnut", "Left and right seam", "100 % the same wood"):
        assert word in text
    assert main(["report", str(file), "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert [s["face"] for s in report["seams"]] == ["+x", "-x", "+y", "-y"]
    assert {"walnut", "maple"} == set(report["species_volumes_mm3"])
    assert sum(report["species_volumes_mm3"].values()) == pytest.approx(report["volume_mm3"])


def test_report_in_inches(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = write(tmp_path / "p.json", {**GOOD, "display_units": "in"})
    assert main(["report", str(file)]) == 0
    assert '2 3/8"' in capsys.readouterr().out


def test_a_stop_gives_one_and_still_writes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    content = copy.deepcopy(GOOD)
    content["variants"][0]["front"]["blade"] = {"width": 25.4}
    content["variants"][0]["front"]["nodes"][1]["at"] = [18, 60]
    file = write(tmp_path / "p.json", content)
    assert main(["report", str(file), "--json"]) == 1
    report = json.loads(capsys.readouterr().out)
    assert [f["code"] for f in report["findings"] if f["severity"] == "stop"] == ["radius-too-tight"]
    assert report["volume_mm3"] > 0
    out = tmp_path / "o.stl"
    assert main(["export", str(file), str(out)]) == 0
    assert "cannot be sawn as drawn" in capsys.readouterr().err
    assert out.exists()


def test_no_solid_gives_one_and_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    content = copy.deepcopy(GOOD)
    content["variants"][0] |= {"blank": {"width": 8, "depth": 8, "length": 420}, "sanding": 10}
    file = write(tmp_path / "p.json", content)
    assert main(["report", str(file), "--json"]) == 1
    report = json.loads(capsys.readouterr().out)
    assert report["volume_mm3"] == 0
    assert report["bounds_mm"] is None
    assert report["center_of_mass_mm"] is None
    assert report["front"]["length_mm"] > 0
    for command, out in (("export", "o.stl"), ("picture", "o.png")):
        assert main([command, str(file), str(tmp_path / out)]) == 1
        one_sentence(capsys.readouterr().err)
        assert not (tmp_path / out).exists()


def test_variant_by_name(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["report", str(project), "--variant", "B", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["variant"] == "B"
    assert report["front"]["tightest_radius_mm"] is None
    assert report["front"]["widest_blade_mm"] == 25.4


def test_picture_is_drawn_without_a_display(tmp_path: Path, project: Path) -> None:
    from PIL import Image

    out = tmp_path / "p.png"
    env = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
    words = [sys.executable, "-m", "app.cli", "picture", str(project), str(out), "--size", "160x240"]
    run = subprocess.run(words, cwd=ROOT, env=env, capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (0, "")
    with Image.open(out) as image:
        assert image.size == (160, 240)
        assert len(image.convert("RGB").getcolors(100_000) or []) > 100


@pytest.mark.parametrize("words", [["report"], ["export", "o.obj"]])
def test_report_and_export_load_neither_window_nor_viewport(tmp_path: Path, project: Path, words: list[str]) -> None:
    script = (
        "import sys\nfrom app.cli import main\ncode = main(sys.argv[1:])\n"
        "heavy = [m for m in sys.modules if m.split('.')[0] in ('PySide6', 'vtk', 'vtkmodules', 'pyvista')]\n"
        "sys.exit(code or (99 if heavy else 0))"
    )
    arguments = [words[0], str(project), *(str(tmp_path / w) for w in words[1:])]
    run = subprocess.run([sys.executable, "-c", script, *arguments], cwd=ROOT, capture_output=True, check=False)
    assert run.returncode == 0, run.stderr


def test_report_does_not_load_trimesh(project: Path) -> None:
    script = "import sys\nfrom app.cli import main\nmain(sys.argv[1:])\nsys.exit('trimesh' in sys.modules)"
    run = subprocess.run(
        [sys.executable, "-c", script, "report", str(project)], cwd=ROOT, capture_output=True, check=False
    )
    assert run.returncode == 0
