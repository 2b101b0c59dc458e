"""Saving, opening, dropping, leaving: nothing is lost unasked, and what comes back is what was saved."""

from pathlib import Path

import pytest
import trimesh
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QTimer, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication

from app.export_dialog import ExportDialog
from app.samples import samples
from geometry.files import SUFFIX, read_project, write_project
from tests.app.window.working import CTRL, LEFT, LEG, STRAIGHT, WAIT_MS


def test_saved_and_opened_again_it_is_the_same(work, open_window, tmp_path):
    work.drag(work.node("front", 1), work.node("front", 1) + QPoint(23, 11))
    work.type_in(work.window.bench.length_field, "431.8")
    assert work.window.isWindowModified()
    work.answers.saves = tmp_path / "my leg"
    work.press(Qt.Key.Key_S, CTRL)

    saved = tmp_path / f"my leg{SUFFIX}"
    assert not work.window.isWindowModified()
    assert work.window.windowTitle() == "my leg[*] – Cornerwise"
    project = work.document.project
    assert read_project(saved) == project
    picture = work.looked_at()

    again = open_window(file=saved)
    assert again.document.project == project
    assert again.answers.told == []
    assert (again.looked_at() == picture).all()
    assert again.steps == 0
    assert not again.window.isWindowModified()


def test_the_star_goes_with_the_step_and_comes_with_it(work, tmp_path):
    work.answers.saves = tmp_path / f"leg{SUFFIX}"
    work.drag(work.node("front", 1), work.node("front", 1) + QPoint(20, 0))
    work.press(Qt.Key.Key_S, CTRL)
    assert not work.window.isWindowModified()
    work.undo()
    assert work.window.isWindowModified()
    work.redo()
    assert not work.window.isWindowModified()


def test_leaving_with_unsaved_work_asks_and_may_be_called_off(open_window, tmp_path):
    work = open_window(LEG)
    work.drag(work.node("front", 1), work.node("front", 1) + QPoint(20, 0))
    drawn = work.document.state
    work.answers.about_losing = "cancel"
    assert not work.window.close()
    assert work.answers.asked == ["Leg"]
    assert work.window.isVisible()
    assert work.document.state == drawn
    # and it still works
    work.drag(work.node("side", 1), work.node("side", 1) + QPoint(20, 0))
    work.settle()
    assert work.piece.views["A"].built.variant == work.document.variant

    work.answers.about_losing, work.answers.saves = "save", tmp_path / f"kept{SUFFIX}"
    project = work.document.project
    assert work.window.close()
    assert read_project(tmp_path / f"kept{SUFFIX}") == project


def test_saving_on_leaving_that_is_left_keeps_the_window(work):
    work.drag(work.node("front", 1), work.node("front", 1) + QPoint(20, 0))
    work.answers.about_losing, work.answers.saves = "save", None
    assert not work.window.close()
    assert work.window.isVisible()


def test_nothing_is_asked_where_nothing_is_lost(open_window):
    work = open_window(LEG)
    assert work.window.close()
    assert work.answers.asked == []


@pytest.mark.parametrize("content", [b"", b"{", b"\x00\xff\xfe", b'{"format": "cornerwise project", "version": 99}'])
def test_a_bad_file_is_one_sentence_and_changes_nothing(work, tmp_path, content):
    bad = tmp_path / f"bad{SUFFIX}"
    bad.write_bytes(content)
    work.drag(work.node("front", 1), work.node("front", 1) + QPoint(20, 0))
    before, steps, title = work.document.state, work.steps, work.window.windowTitle()
    work.answers.opens = bad
    work.press(Qt.Key.Key_O, CTRL)
    (sentence,) = work.answers.told
    assert "\n" not in sentence.strip()
    assert bad.name in sentence
    assert "Traceback" not in sentence
    assert (work.document.state, work.steps, work.window.windowTitle()) == (before, steps, title)
    assert work.window.remembered.recent_files == ()


def drop(work, path: Path) -> None:
    """Drag a file over the window and let it fall."""
    what = QMimeData()
    what.setUrls([QUrl.fromLocalFile(str(path))])
    where = QPoint(200, 200)
    copy, none = Qt.DropAction.CopyAction, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(where, copy, what, LEFT, none)
    QApplication.sendEvent(work.window, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(work.window, QDropEvent(QPointF(where), copy, what, LEFT, none))


def test_a_file_dropped_on_the_window_is_opened(work, tmp_path):
    file = tmp_path / f"other{SUFFIX}"
    write_project(STRAIGHT, file)
    drop(work, file)
    work.until(lambda: work.document.path == file)
    assert work.document.project == STRAIGHT
    work.settle()
    assert work.piece.views["A"].built.variant == STRAIGHT.variants[0]


def test_a_dropped_file_does_not_overrun_unsaved_work(work, tmp_path):
    file = tmp_path / f"other{SUFFIX}"
    write_project(STRAIGHT, file)
    work.drag(work.node("front", 1), work.node("front", 1) + QPoint(20, 0))
    drawn = work.document.state
    work.answers.about_losing = "cancel"
    drop(work, file)
    work.until(lambda: work.answers.asked == ["Leg"])
    assert work.document.state == drawn


def test_recent_files_are_offered_and_open(work, tmp_path):
    files = [tmp_path / f"{name}{SUFFIX}" for name in ("one", "two")]
    for file, project in zip(files, (LEG, STRAIGHT), strict=True):
        write_project(project, file)
        work.window.files.open_path(file)
    menu = work.window.menus.recent
    menu.aboutToShow.emit()
    assert [a.text() for a in menu.actions()[:2]] == [f"&1 two{SUFFIX}", f"&2 one{SUFFIX}"]
    menu.actions()[1].trigger()
    assert work.document.path == files[0]
    assert work.document.project == LEG

    files[1].unlink()
    menu.aboutToShow.emit()
    menu.actions()[1].trigger()
    assert len(work.answers.told) == 1
    assert work.document.path == files[0]
    menu.aboutToShow.emit()
    assert [a.text() for a in menu.actions()[:1]] == [f"&1 one{SUFFIX}"]
    menu.actions()[-1].trigger()
    assert work.window.remembered.recent_files == ()


def test_the_start_page_leads_to_a_sample_and_escape_back_to_work(work):
    work.window.menus.start_page.trigger()
    page = work.window.start_page
    assert page.isVisible()
    assert not work.faces.isVisible()
    work.press(Qt.Key.Key_Escape)
    assert work.faces.isVisible()
    assert work.document.project == LEG

    work.window.menus.start_page.trigger()
    work.qtbot.mouseClick(page.cards[1], LEFT)
    sample = samples()[1]
    assert work.faces.isVisible()
    assert work.document.project == read_project(sample.path)
    assert work.document.path is None  # saving asks where: the sample stays as it is
    work.settle()
    assert work.piece.views["A"].built.variant == work.document.variant


def test_the_very_first_start_shows_the_start_page_and_the_next_does_not(work):
    remembered = work.window.remembered
    assert work.faces.isVisible()
    remembered.keep_choice("welcomed", "")
    work.window.open_at_start(None)
    assert work.window.start_page.isVisible()
    work.window.show_work()
    work.window.open_at_start(None)
    assert work.faces.isVisible()


def test_another_document_leaves_the_start_page(work):
    for begin in (work.window.files.new, lambda: work.window.files.open_sample(samples()[0])):
        work.window.show_start_page()
        begin()
        assert work.faces.isVisible()


@pytest.mark.parametrize("part", ["piece", "quarters"])
def test_the_export_dialog_writes_a_mesh_that_another_library_reads(work, tmp_path, part):
    out = tmp_path / "leg.stl"
    seen = []

    def answer():
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, ExportDialog)
        dialog.parts[part].setChecked(True)
        dialog.path.setText(str(out))
        work.qtbot.mouseClick(dialog.go, LEFT)
        work.qtbot.waitUntil(lambda: dialog.written is not None, timeout=WAIT_MS)
        seen.append(dialog.size_words.text())
        work.qtbot.mouseClick(dialog.leave, LEFT)

    QTimer.singleShot(0, work.window, answer)
    work.window.menus.export.trigger()
    assert len(seen) == 1
    assert "over all" in seen[0]
    mesh = trimesh.load(out)
    assert mesh.is_watertight
    report = work.window.pieces.report_on(work.document.variant)
    whole = report.volume.volume_mm3 if part == "piece" else sum(report.quarter_volumes_mm3)
    assert mesh.volume == pytest.approx(whole, rel=1e-3)
    assert len(mesh.split()) == (1 if part == "piece" else 4)


def test_what_the_window_looked_like_is_there_the_next_time(open_window, remembered):
    work = open_window(LEG)
    work.window.bench.fold_sections(("Blank",))
    work.window.columns.setSizes([300, 700, 320])
    sizes = work.window.columns.sizes()
    size = work.window.size()
    work.window.close()
    again = open_window(LEG, size=(size.width(), size.height()))
    assert again.window.bench.folded_sections() == ("Blank",)
    assert again.window.columns.sizes() == pytest.approx(sizes, abs=2)
