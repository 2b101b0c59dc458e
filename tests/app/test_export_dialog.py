"""Exporting and saving pictures by hand: files that other programs read, sentences where they cannot be."""

import msgspec
import numpy as np
import pytest
import trimesh
from PIL import Image
from PySide6.QtCore import QProcess, Qt, QTimer
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QDialog

from app.builder import Built
from app.errand import Errand
from app.export_dialog import ExportDialog, export_sizes_mm, file_name
from app.file_dialog import write_together
from app.picture_dialog import ROUND_SIZES, SIZES, PictureDialog
from app.piece_view import PieceArea
from app.scale_words import parse_scale
from geometry.errors import OutputError
from geometry.layup import Stripes
from geometry.meshes import FORMATS, PARTS, bodies_for
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Project, Variant
from geometry.report import report_on
from geometry.tolerances import EXPORT_CHORD_MM
from tests.app.piece_view.looking import pixels, settle

NODES = (Node((0.0, 0.0), "corner"), Node((8.0, 70.0)), Node((-8.0, 140.0)), Node((0.0, 200.0), "corner"))
VARIANT = Variant("A", Blank(60.0, 50.0, 200.0), front=Cut(nodes=NODES))
PIECE = build(VARIANT)
REPORT = report_on(PIECE)
STRIPED = msgspec.structs.replace(VARIANT, layup=Stripes(along="x", strips=((30.0, "walnut"), (30.0, "maple"))))
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
        errand.start(Project(variants=(VARIANT,)), "export", "leg.stl")
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


# ---------------------------------------------------------------- the wood in the file


def test_a_glb_has_its_wood_baked_in_unless_that_is_taken_away(qtbot, make, tmp_path):
    dialog = make(variant=STRIPED)
    assert not dialog.baked.isVisible()
    choose_format(dialog, "glb")
    assert dialog.baked.isVisible()
    assert dialog.baked.isChecked()
    assert "any viewer" in dialog.wood_words.text()
    press(qtbot, dialog.go)
    done(qtbot, dialog)
    baked = trimesh.load(tmp_path / "plant_stand.glb", process=False)
    assert all(body.visual.material.baseColorTexture is not None for body in baked.geometry.values())
    qtbot.keyClick(dialog.baked, Qt.Key.Key_Space)
    assert dialog.wood_words.text().startswith("The shape alone")
    press(qtbot, dialog.go)
    press(qtbot, dialog.go)  # and over the one before
    done(qtbot, dialog)
    plain = trimesh.load(tmp_path / "plant_stand.glb", process=False)
    assert not any(hasattr(body.visual, "uv") for body in plain.geometry.values())


def test_an_obj_of_two_woods_brings_their_colours(qtbot, make, tmp_path):
    dialog = make(variant=STRIPED)
    choose_format(dialog, "obj")
    assert "Keep the two together" in dialog.wood_words.text()
    press(qtbot, dialog.go)
    done(qtbot, dialog)
    assert dialog.words.text() == "plant_stand.obj and plant_stand.mtl are written."
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plant_stand.mtl", "plant_stand.obj"]
    scene = trimesh.load(tmp_path / "plant_stand.obj", process=False, group_material=True)
    colours = {m.visual.material.name: m.visual.material.main_color[:3].tolist() for m in scene.geometry.values()}
    assert set(colours) == {"walnut", "maple"}
    assert sum(colours["walnut"]) < sum(colours["maple"]) - 200


def test_colours_that_are_there_are_replaced_only_when_asked_twice(qtbot, make, tmp_path):
    mine = tmp_path / "plant_stand.mtl"
    mine.write_bytes(b"mine")
    dialog = make(variant=STRIPED, ask_path=lambda *_: str(tmp_path / "plant_stand.obj"))
    choose_format(dialog, "obj")
    press(qtbot, dialog.choose)  # the system's dialog asks about the OBJ alone
    press(qtbot, dialog.go)
    assert not dialog.is_at_work
    assert dialog.words.text().startswith("plant_stand.mtl is there already. Press Replace to write over it")
    assert mine.read_bytes() == b"mine"
    press(qtbot, dialog.go)
    done(qtbot, dialog)
    assert b"newmtl walnut" in mine.read_bytes()


@pytest.mark.parametrize(("variant", "words"), [("one", ""), ("two", "part of its own")])
def test_what_becomes_of_the_woods_is_said_where_there_are_several(make, variant, words):
    dialog = make(variant=VARIANT if variant == "one" else STRIPED)
    choose_format(dialog, "3mf")
    assert words in dialog.wood_words.text()
    assert dialog.wood_words.isVisible() == bool(words)
    choose_format(dialog, "stl")
    assert ("no colours" in dialog.wood_words.text()) == bool(words)
    assert dialog.companions() == []


def test_files_that_belong_together_are_all_written_or_none(tmp_path):
    old, new = tmp_path / "old.mtl", tmp_path / "new.mtl"
    old.write_bytes(b"before")
    folder = tmp_path / "leg.obj"
    folder.mkdir()
    with pytest.raises(OutputError, match=r"leg\.obj"):
        write_together({folder: b"obj", old: b"after", new: b"after"})
    assert old.read_bytes() == b"before"
    assert not new.exists()
    folder.rmdir()
    write_together({folder: b"obj", old: b"after", new: b"after"})
    assert [path.read_bytes() for path in (folder, old, new)] == [b"obj", b"after", b"after"]


# ---------------------------------------------------------------- pictures


@pytest.fixture
def area(qtbot):
    """An area with a striped piece in it."""
    made = PieceArea()
    qtbot.addWidget(made, before_close_func=lambda area: area.shutdown())
    made.resize(400, 420)
    made.show_built("A", Built("A", STRIPED, EXPORT_CHORD_MM, report_on(build(STRIPED))))
    with qtbot.waitExposed(made):
        made.show()
    settle(qtbot, made)
    return made


@pytest.fixture
def picture(qtbot, tmp_path, area):
    dialog = PictureDialog(area, "A", tmp_path, "Plant stand")
    qtbot.addWidget(dialog)
    dialog.open()
    yield dialog
    dialog.reject()


def choose(box, data):
    box.setCurrentIndex(box.findData(data))
    box.activated.emit(box.currentIndex())


def set_size(dialog, width, height):
    dialog.width_field.setValue(width)
    dialog.height_field.setValue(height)


def test_a_picture_as_on_screen(qtbot, picture, area, tmp_path):
    assert picture.sizes.currentText().startswith("As on screen")
    press(qtbot, picture.go)
    done(qtbot, picture)
    assert picture.words.text() == "plant_stand.png is written."
    assert picture.show_button.isVisible()
    written = pixels(QImage(str(tmp_path / "plant_stand.png")))
    assert written.shape[:2] == area.picture_size()[::-1]
    shown = pixels(area.views["A"])
    assert np.abs(written - shown).mean() < 1.5
    assert list(tmp_path.iterdir()) == [tmp_path / "plant_stand.png"]


def test_the_window_goes_on_while_a_picture_is_drawn(qtbot, picture):
    ticks = []
    timer = QTimer(interval=20)
    timer.timeout.connect(lambda: ticks.append(picture.is_at_work))
    timer.start()
    press(qtbot, picture.go)
    done(qtbot, picture)
    timer.stop()
    assert sum(ticks) > 10


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


def test_two_side_by_side_in_one_picture(qtbot, picture, area, tmp_path):
    other = msgspec.structs.replace(VARIANT, name="B")
    area.show_built("B", Built("B", other, EXPORT_CHORD_MM, report_on(build(other))))
    area.set_mode("side by side")
    set_size(picture, 301, 150)
    press(qtbot, picture.go)
    done(qtbot, picture)
    written = pixels(QImage(str(tmp_path / "plant_stand.png")))
    assert written.shape == (150, 301, 3)
    for half in (written[:, :150], written[:, 150:]):
        ground = half[:, :2].mean(axis=1, keepdims=True)
        assert (np.abs(half - ground).max(axis=2) > 45).sum() > 500


def test_a_moving_picture_goes_round_and_says_how_far_it_is(qtbot, picture, tmp_path):
    assert not picture.steps.isVisible()
    choose(picture.kinds, "gif")
    assert picture.steps.isVisible()
    assert picture.path.text().endswith("plant_stand.gif")
    assert picture.size_px == ROUND_SIZES["Usual"]
    choose(picture.steps, 24)
    set_size(picture, 75, 100)
    said = []
    picture._maker.advanced.connect(lambda done, count: said.append((done, count, picture.bar.value())))
    press(qtbot, picture.go)
    done(qtbot, picture)
    assert picture.words.text() == "plant_stand.gif is written."
    counts = [n for n, _, _ in said]
    assert counts == sorted(set(counts))
    assert counts[-1] == 24
    assert {count for _, count, _ in said} == {24}
    assert all(n == value for n, _, value in said)
    with Image.open(tmp_path / "plant_stand.gif") as film:
        assert (film.n_frames, film.size) == (24, (75, 100))


def test_a_moving_picture_can_be_cancelled(qtbot, picture, tmp_path):
    choose(picture.kinds, "gif")
    set_size(picture, 75, 100)
    with qtbot.waitSignal(picture._maker.advanced, timeout=60_000):
        press(qtbot, picture.go)
    assert picture.words.text().startswith("Picture 1 of 36")
    press(qtbot, picture.leave)
    assert not picture.is_at_work
    assert picture.words.text() == "Cancelled; nothing was written."
    assert picture.findChild(QProcess).state() == QProcess.ProcessState.NotRunning
    assert list(tmp_path.iterdir()) == []
    choose(picture.kinds, "png")
    assert picture.path.text().endswith("plant_stand.png")
    assert picture.sizes.currentText().startswith("As on screen")


def test_without_a_piece_there_is_one_sentence(qtbot, picture, area, tmp_path):
    area.clear("A", "A")
    for kind in ("png", "gif"):
        choose(picture.kinds, kind)
        press(qtbot, picture.go)
        assert not picture.is_at_work
        assert picture.words.text() == "There is no piece to make a picture of yet."
    assert list(tmp_path.iterdir()) == []
