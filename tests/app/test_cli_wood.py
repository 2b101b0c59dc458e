"""Lay-ups on the command line: coloured files, baked wood, pictures going round."""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import numpy as np
import pytest
import trimesh
from PIL import Image

from app.cli import main


@pytest.fixture
def project(tmp_path: Path) -> Path:
    file = tmp_path / "leg.cornerwise.json"
    layup = {"kind": "stripes", "along": "x", "strips": [[20, "walnut"], [20, "maple"]]}
    nodes = [{"at": [0, 0]}, {"at": [4, 50]}, {"at": [0, 100]}]
    variant = {
        "name": "A",
        "blank": {"width": 40, "depth": 40, "length": 100},
        "layup": layup,
        "front": {"nodes": nodes},
    }
    file.write_text(json.dumps({"format": "cornerwise project", "version": 1, "variants": [variant]}))
    return file


def test_an_obj_of_two_species_names_the_materials_beside_it(project: Path):
    assert main(["export", str(project), str(project.with_name("out.obj"))]) == 0
    assert sorted(p.name for p in project.parent.iterdir()) == ["leg.cornerwise.json", "out.mtl", "out.obj"]
    scene = trimesh.load(project.with_name("out.obj"), process=False, group_material=True)
    found = {m.visual.material.name: m.visual.material.main_color[:3].tolist() for m in scene.geometry.values()}
    assert set(found) == {"walnut", "maple"} and sum(found["walnut"]) < sum(found["maple"]) - 200


def test_a_3mf_of_two_species_has_two_materials(project: Path):
    out = project.with_name("out.3mf")
    assert main(["export", str(project), str(out), "--parts", "quarters"]) == 0
    model = zipfile.ZipFile(io.BytesIO(out.read_bytes())).read("3D/3dmodel.model").decode()
    assert model.count("<base ") == 2 and model.count("<item ") == 4


def test_baked_wood_goes_into_a_glb_only(project: Path, capsys: pytest.CaptureFixture[str]):
    out = project.with_name("out.glb")
    assert main(["export", str(project), str(out), "--texture"]) == 0
    scene = trimesh.load(out, process=False)
    assert len(scene.geometry) == 4
    assert all(m.visual.material.baseColorTexture is not None for m in scene.geometry.values())
    assert main(["export", str(project), str(project.with_name("out.obj")), "--texture"]) == 2
    assert "--texture" in capsys.readouterr().err


def test_a_picture_shows_the_lay_up(project: Path):
    out = project.with_name("out.png")
    assert main(["picture", str(project), str(out), "--size", "90x120"]) == 0
    with Image.open(out) as read:
        light = np.asarray(read).astype(float).mean(axis=2)[30:100, 35:55]
    assert (light > 150).mean() > 0.1 and (light < 110).mean() > 0.1


def test_a_turntable_is_a_gif_or_numbered_pictures(project: Path):
    gif, png = project.with_name("out.gif"), project.with_name("out.png")
    assert main(["picture", str(project), str(gif), "--size", "40x60", "--turntable", "3"]) == 0
    with Image.open(gif) as read:
        assert read.n_frames == 3 and read.size == (40, 60)
    assert main(["picture", str(project), str(png), "--size", "40x60", "--turntable", "2"]) == 0
    assert sorted(p.name for p in project.parent.glob("*.png")) == ["out_001.png", "out_002.png"]


@pytest.mark.parametrize("words", ["1", "361", "three", "-4", "2.5"])
def test_a_turntable_wants_a_number_of_pictures(project: Path, words: str, capsys: pytest.CaptureFixture[str]):
    assert main(["picture", str(project), str(project.with_name("o.gif")), "--turntable", words]) == 2
    assert "2 to 360" in capsys.readouterr().err


def test_a_picture_by_night_of_the_quarters_and_from_another_side(project: Path):
    out, seen = project.with_name("out.png"), {}
    front = "0,-900,50,0,0,50,0,0,1,90,1"
    for name, words in {
        "day": [],
        "night": ["--theme", "dark"],
        "quarters": ["--show", "quarters"],
        "pattern": ["--show", "pattern"],
        "front": [f"--camera={front}"],
    }.items():
        assert main(["picture", str(project), str(out), "--size", "90x120", *words]) == 0
        seen[name] = np.asarray(Image.open(out)).astype(float)
    assert seen["day"][5].mean() > 200 > 80 > seen["night"][5].mean()
    for one in ("quarters", "pattern", "front"):
        assert np.abs(seen[one] - seen["day"]).max(axis=2).mean() > 1.0
    # 100 mm in a picture that shows 180 mm
    ground = seen["front"][:, :2].mean(axis=1, keepdims=True)
    rows = np.flatnonzero((np.abs(seen["front"] - ground).max(axis=2) > 45)[:, 40:50].any(axis=1))
    assert rows[-1] - rows[0] == pytest.approx(100 / 180 * 120, abs=3)


@pytest.mark.parametrize(
    "camera",
    [
        "1,2,3",
        "0,0,0,0,0,0,0,0,1,90,0",
        "0,-9,0,0,0,0,0,1,0,90,0",
        "0,-9,0,0,0,0,0,0,1,0,0",
        "0,-9,0,0,0,0,0,0,1,nan,0",
        "0,-9,0,0,0,0,0,0,1,9,2",
    ],
)
def test_a_camera_that_is_none_is_one_sentence(project: Path, capsys: pytest.CaptureFixture[str], camera: str):
    assert main(["picture", str(project), str(project.with_name("out.png")), f"--camera={camera}"]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and "--camera" in said and "expected" in said


def test_a_turntable_has_no_camera_and_says_how_far_it_is(project: Path, capsys: pytest.CaptureFixture[str]):
    out = project.with_name("out.gif")
    assert main(["picture", str(project), str(out), "--camera=0,-9,0,0,0,0,0,0,1,9,0"]) == 2
    assert "--camera" in capsys.readouterr().err
    words = ["--size", "45x60", "--turntable", "3", "--progress"]
    assert main(["picture", str(project), str(out), *words]) == 0
    assert capsys.readouterr().out.splitlines() == [f"picture {n} of 3" for n in (1, 2, 3)]
