"""Exporting and saving pictures by hand: files that other programs read, sentences where they cannot be."""

from pathlib import Path

import msgspec
import numpy as np
import pytest
import trimesh
from PySide6.QtCore import QProcess, Qt
from PySide6.QtWidgets import QDialog

from app.errand import Errand
from app.export_dialog import ExportDialog, export_sizes_mm, file_name
from app.picture_dialog import SIZES, PictureDialog
from app.scale_words import parse_scale
from geometry.errors import OutputError
from geometry.files import write_whole
from geometry.meshes import FORMATS, PARTS, bodies_for
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Project, Variant
from geometry.report import report_on

NODES = (Node((0.0, 0.0), "corner"), Node((8.0, 70.0)), Node((-8.0, 140.0)), Node((0.0, 200.0), "corner"))
VARIANT = Variant("A", Blank(60.0, 50.0, 200.0), front=Cut(nodes=NODES))
PIECE = build(VARIANT)
REPORT = report_on(PIECE)
SPOILT = msgspec.structs.replace(VARIANT, front=Cut(nodes=tuple(Node((u * 3.6, z), k) for (u, z), k in [
    (n.at, n.kind) for n in NODES])))  # fmt: skip


@pytest.fixture
def make(qtbot, tmp_path):
    """Open an export dialog; give it and the folders it was asked to show."""
    dialogs = []

    def opened(variant=VARIANT, report=REPORT, units="mm", **further):
        shown = []
        dialog = ExportDialog(variant, units, tmp_path, "Plant stand", report, show=shown.append, **further)
        dialog.shown = shown
        dialogs.append(dialog)
        qtbot.addWidget(dialog)
        dialog.open()
        return dialog

    yield opened
    for dialog in dialogs:
        dialog.reject()


def press(qtbot, button):
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def done(qtbot, dialog):
    qtbot.waitUntil(lambda: not dialog.is_at_work, timeout=60_000)


def choose_format(dialog, form):
    dialog.formats.setCurrentIndex(dialog.formats.findData(form))
    dialog.formats.activated.emit(dialog.formats.currentIndex())


def test_the_piece_is_written_and_shown(qtbot, make, tmp_path):
    dialog = make()
    press(qtbot, dialog.go)
    assert dialog.leave.text() == "Cancel"
    assert not dialog.path.isEnabled()
    done(qtbot, dialog)
    written = tmp_path / "plant_stand.stl"
    assert dialog.words.text() == "plant_stand.stl is written."
    mesh = trimesh.load(written)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(REPORT.volume.volume_mm3, rel=1e-5)
    press(qtbot, dialog.show_button)
    assert dialog.shown == [written]
    assert list(tmp_path.iterdir()) == [written]


def test_quarters_at_a_scale_in_another_format(qtbot, make, tmp_path):
    dialog = make()
    press(qtbot, dialog.parts["quarters"])
    choose_format(dialog, "obj")
    dialog.scale.lineEdit().selectAll()
    qtbot.keyClicks(dialog.scale, "1:4")
    assert dialog.path.text().endswith("plant_stand.obj")
    qtbot.keyClick(dialog.scale, Qt.Key.Key_Return)
    done(qtbot, dialog)
    scene = trimesh.load(tmp_path / "plant_stand.obj", force="mesh")
    assert len(scene.split()) == 4
    said = dialog.size_words.text().replace("\u00a0", " ").removeprefix("Comes out ").removesuffix(" mm over all.")
    assert [float(number) for number in said.split(" × ")] == pytest.approx(scene.extents, abs=0.051)


@pytest.mark.parametrize("part", PARTS)
def test_the_size_said_is_that_of_the_bodies(part):
    corners = np.concatenate([body.solid.vertices for body in bodies_for(PIECE, part)])
    assert export_sizes_mm(VARIANT, REPORT, part) == pytest.approx(corners.max(axis=0) - corners.min(axis=0))


def test_the_size_is_not_said_before_it_is_known(make):
    dialog = make(report=None)
    assert not dialog.size_words.isVisible()
    dialog.parts["blank"].setChecked(True)
    assert dialog.size_words.text().replace("\u00a0", " ") == "Comes out 60 × 50 × 200 mm over all."


def test_every_format_can_be_chosen_and_names_its_file(make):
    dialog = make()
    assert [dialog.formats.itemData(i) for i in range(dialog.formats.count())] == list(FORMATS)
    for form in FORMATS:
        choose_format(dialog, form)
        assert dialog.path.text().endswith(f"plant_stand.{form}")
        assert f"*.{form}" in dialog.names()


def test_a_scale_that_is_none_is_said_so_and_nothing_is_made(qtbot, make, tmp_path):
    dialog = make()
    dialog.scale.lineEdit().selectAll()
    qtbot.keyClicks(dialog.scale, "half")
    assert dialog.size_words.text().startswith("Write a scale like 1:4")
    press(qtbot, dialog.go)
    assert not dialog.is_at_work
    assert dialog.words.text().startswith("Write a scale like 1:4")
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_replaced_only_when_asked_twice(qtbot, make, tmp_path):
    there = tmp_path / "plant_stand.stl"
    there.write_bytes(b"mine")
    dialog = make()
    press(qtbot, dialog.go)
    assert not dialog.is_at_work
    assert dialog.go.text() == "Replace"
    assert "is there already" in dialog.words.text()
    assert there.read_bytes() == b"mine"
    press(qtbot, dialog.go)
    done(qtbot, dialog)
    assert trimesh.load(there).is_watertight


def test_another_name_takes_the_permission_back(qtbot, make, tmp_path):
    (tmp_path / "plant_stand.stl").write_bytes(b"mine")
    (tmp_path / "plant_stand2.stl").write_bytes(b"mine too")
    dialog = make()
    press(qtbot, dialog.go)
    dialog.path.setFocus()
    dialog.path.setCursorPosition(len(dialog.path.text()) - 4)
    qtbot.keyClicks(dialog.path, "2")
    assert dialog.go.text() == "Export"
    press(qtbot, dialog.go)
    assert not dialog.is_at_work
    assert (tmp_path / "plant_stand2.stl").read_bytes() == b"mine too"


def test_a_place_that_cannot_be_written_is_one_sentence(qtbot, make, tmp_path):
    dialog = make()
    dialog.path.setText(str(tmp_path / "nowhere" / "x.stl"))
    press(qtbot, dialog.go)
    done(qtbot, dialog)
    assert dialog.words.text() == "x.stl cannot be written: no such file or directory."
    assert not dialog.show_button.isVisible()
    assert dialog.go.isEnabled()


@pytest.mark.parametrize(("text", "sentence"), [("", "Say where the file shall go first."), (".", None)])
def test_no_file_name_no_export(qtbot, make, tmp_path, text, sentence, monkeypatch):
    (tmp_path / "folder.stl").mkdir()
    dialog = make()
    dialog.path.setText(text and str(tmp_path / "folder.stl"))
    press(qtbot, dialog.go)
    assert not dialog.is_at_work
    assert dialog.words.text() == (sentence or "folder.stl is a folder: give the file another name.")


def test_cancel_leaves_nothing(qtbot, make, tmp_path):
    dialog = make()
    press(qtbot, dialog.go)
    press(qtbot, dialog.leave)
    assert not dialog.is_at_work
    assert dialog.words.text() == "Cancelled; nothing was written."
    assert dialog.isVisible()
    assert list(tmp_path.iterdir()) == []
    press(qtbot, dialog.go)  # and it can begin again
    done(qtbot, dialog)
    assert dialog.words.text() == "plant_stand.stl is written."


def test_escape_while_at_work_stops_the_process(qtbot, make, tmp_path):
    dialog = make()
    press(qtbot, dialog.go)
    process = dialog.findChild(QProcess)
    assert process.state() != QProcess.ProcessState.NotRunning
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    assert process.state() == QProcess.ProcessState.NotRunning
    assert dialog.result() == QDialog.DialogCode.Rejected
    assert list(tmp_path.iterdir()) == []


def test_what_cannot_be_sawn_is_written_and_said(qtbot, make):
    dialog = make(variant=SPOILT, report=report_on(build(SPOILT)))
    press(qtbot, dialog.go)
    done(qtbot, dialog)
    words = dialog.words.text().replace("\u00a0", " ")
    assert words.startswith("plant_stand.stl is written. It shows what cannot be sawn as drawn: The front line")


def test_no_wood_is_one_sentence_without_files_the_maker_never_saw(qtbot, make, tmp_path):
    gone = Variant("A", Blank(5.0, 5.0, 100.0), front=Cut(kerf=10.0), side=Cut(kerf=10.0))
    dialog = make(variant=gone, report=report_on(build(gone)))
    press(qtbot, dialog.go)
    done(qtbot, dialog)
    assert dialog.words.text().startswith("The piece: no wood is left")
    assert "/" not in dialog.words.text()
    assert list(tmp_path.iterdir()) == []


def test_the_bar_comes_only_after_a_moment(qtbot, make):
    dialog = make()
    assert not dialog.bar.isVisible()
    press(qtbot, dialog.go)
    assert not dialog.bar.isVisible()
    done(qtbot, dialog)
    assert not dialog.bar.isVisible()


def test_choosing_asks_and_the_systems_permission_counts(qtbot, make, tmp_path):
    there = tmp_path / "mine.stl"
    there.write_bytes(b"mine")
    asked = []

    def ask(_parent, chosen, names):
        asked.append((chosen, names))
        return str(there)

    dialog = make(ask_path=ask)
    press(qtbot, dialog.choose)
    assert asked == [(str(tmp_path / "plant_stand.stl"), "STL (*.stl)")]
    press(qtbot, dialog.go)
    assert dialog.is_at_work
    done(qtbot, dialog)
    assert there.read_bytes() != b"mine"


def test_a_dead_process_is_one_sentence(qtbot):
    errand = Errand()
    with qtbot.waitSignal(errand.failed, timeout=60_000) as told:
        errand.start(Project(variants=(VARIANT,)), "export", "stl")
        process = errand.findChild(QProcess)
        assert process.waitForStarted()
        process.kill()
    assert "nothing was written" in told.args[0]
    assert not errand.is_under_way


@pytest.mark.parametrize(
    ("text", "scale"),
    [
        ("1:4", 0.25), ("1 : 4", 0.25), ("1/8", 0.125), ("2:1", 2.0), ("25%", 0.25), ("12,5 %", 0.125),
        ("0.5", 0.5), (",5", 0.5), ("1", 1.0), ("1:1000", 0.001),
        ("", None), ("half", None), ("0", None), ("1:0", None), ("1:1001", None), ("-1", None), ("1001", None),
        ("nan", None), ("1:4:2", None), ("9" * 30, None), ("٣", None),
    ],
)  # fmt: skip
def test_scales_as_people_write_them(text, scale):
    assert parse_scale(text) == (None if scale is None else pytest.approx(scale))


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("Plant stand, reading room", "plant_stand_reading_room"),
        ("../../x", "x"),
        ("Fuß № 1", "fuß_1"),
        ("///", "piece"),
    ],
)
def test_names_become_file_names(name, file):
    assert file_name(name) == file


# ---------------------------------------------------------------- pictures


@pytest.fixture
def picture(qtbot, tmp_path):
    asked = []

    def save(path: str, size: tuple[int, int]) -> None:
        asked.append((Path(path), size))
        write_whole(path, b"a picture")

    dialog = PictureDialog(save, (640, 480), tmp_path, "Plant stand")
    dialog.asked = asked
    qtbot.addWidget(dialog)
    dialog.open()
    return dialog


def test_a_picture_as_on_screen(qtbot, picture, tmp_path):
    press(qtbot, picture.go)
    done(qtbot, picture)
    assert picture.asked == [(tmp_path / "plant_stand.png", (640, 480))]
    assert picture.words.text() == "plant_stand.png is written."
    assert picture.show_button.isVisible()


def test_a_named_size_and_one_of_its_own(qtbot, picture):
    picture.sizes.setFocus()
    qtbot.keyClick(picture.sizes, Qt.Key.Key_Down)
    assert picture.size_px == SIZES["For a screen, wide"]
    picture.width_field.setFocus()
    picture.width_field.selectAll()
    qtbot.keyClicks(picture.width_field, "777")
    qtbot.keyClick(picture.width_field, Qt.Key.Key_Tab)
    assert picture.size_px == (777, 1080)
    assert picture.sizes.currentText() == "Another size"


def test_a_picture_that_cannot_be_drawn_is_one_sentence(qtbot, tmp_path):
    def save(path: str, size: tuple[int, int]) -> None:
        raise OutputError("There is no OpenGL to draw with.")

    dialog = PictureDialog(save, (640, 480), tmp_path, "Plant stand")
    qtbot.addWidget(dialog)
    dialog.open()
    press(qtbot, dialog.go)
    done(qtbot, dialog)
    assert dialog.words.text() == "There is no OpenGL to draw with."
    assert dialog.go.isEnabled()
