"""New, open, save and save as: on real files, with somebody who answers what is asked."""

from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QByteArray, QSettings

from app.document import Document, new_project
from app.files_session import FilesSession, with_suffix
from app.remembered import MOST_RECENT_FILES, Remembered
from geometry.files import SUFFIX, read_project
from geometry.project import Blank, Project, Variant

pytestmark = pytest.mark.usefixtures("qapp")


class Maker:
    """Somebody who answers, and keeps what was asked and told."""

    def __init__(self) -> None:
        self.answer = "cancel"
        self.replaces = False
        self.opens: Path | None = None
        self.saves: Path | None = None
        self.asked: list[str] = []
        self.told: list[str] = []

    def ask_save_before_losing(self, name):
        self.asked.append(f"lose {name}")
        return self.answer

    def ask_replace(self, path):
        self.asked.append(f"replace {path.name}")
        return self.replaces

    def open_path(self, folder):
        self.asked.append(f"open in {folder}")
        return self.opens

    def save_path(self, suggested):
        self.asked.append(f"save as {suggested.name}")
        return self.saves

    def tell(self, sentence):
        self.told.append(sentence)


@pytest.fixture
def maker():
    return Maker()


@pytest.fixture
def session(remembered, maker):
    return FilesSession(Document(), remembered, maker)


def change(session: FilesSession) -> None:
    document = session.document
    document.edit("Set sanding", replace(document.variant, sanding=document.variant.sanding + 0.1))


def test_saved_and_opened_again_it_is_identical(session, maker, tmp_path):
    change(session)
    maker.saves = tmp_path / "stand"
    assert session.save()
    assert maker.asked == [f"save as Untitled{SUFFIX}"]
    path = tmp_path / f"stand{SUFFIX}"
    saved = session.document.state
    assert session.document.path == path
    assert session.name == "stand"
    assert not session.document.is_modified
    assert session.new()
    assert session.document.project == new_project()
    assert session.open(path)
    assert session.document.state == saved
    assert maker.asked == [f"save as Untitled{SUFFIX}"]


def test_a_second_save_asks_nothing_and_writes_the_same_file(session, maker, tmp_path):
    maker.saves = tmp_path / f"stand{SUFFIX}"
    assert session.save_as()
    change(session)
    maker.saves = None
    assert session.save()
    assert read_project(tmp_path / f"stand{SUFFIX}") == session.document.project
    assert not session.save_as()  # the maker chose nowhere
    assert {f.name for f in tmp_path.iterdir() if f.name != "settings.ini"} == {f"stand{SUFFIX}"}


@pytest.mark.parametrize("action", ["new", "open", "close"])
def test_unsaved_work_is_never_lost_unasked(session, maker, tmp_path, action):
    other = tmp_path / f"other{SUFFIX}"
    FilesSession(Document(Project((Variant("Other", Blank(50, 50, 300)),))), session.remembered, maker)._write(other)
    act = {"new": session.new, "open": lambda: session.open(other), "close": session.may_lose_work}[action]
    change(session)
    mine = session.document.state
    maker.answer = "cancel"
    assert not act()
    assert session.document.state == mine
    assert maker.asked == ["lose Untitled"]
    # "save", and then nowhere to save to: still not lost
    maker.answer, maker.saves = "save", None
    assert not act()
    assert session.document.state == mine
    maker.saves = tmp_path / "mine"
    assert act()
    assert read_project(tmp_path / f"mine{SUFFIX}") == mine.project
    change(session)
    maker.answer = "discard"
    assert act()
    assert action == "close" or not session.document.is_modified


def test_a_drag_that_still_lasts_is_work_too(session, maker):
    session.document.begin("Move node")
    session.document.update_variant(replace(session.document.variant, sanding=0.7))
    assert not session.new()
    assert maker.asked == ["lose Untitled"]
    assert session.document.variant.sanding == 0.7


def test_a_bad_file_is_told_of_and_changes_nothing(session, maker, tmp_path):
    bad = tmp_path / f"bad{SUFFIX}"
    bad.write_text('{"format": "cornerwise project", "version": 1}')
    before = session.document.state
    assert not session.open(bad)
    assert session.document.state == before
    (sentence,) = maker.told
    assert str(bad) in sentence
    assert "variants" in sentence
    assert session.remembered.recent_files == ()


def test_a_recent_file_that_is_gone_is_told_of_and_forgotten(session, maker, tmp_path):
    maker.saves = tmp_path / "stand"
    session.save()
    path = tmp_path / f"stand{SUFFIX}"
    assert session.remembered.recent_files == (path,)
    path.unlink()
    assert not session.open(path)
    assert len(maker.told) == 1
    assert session.remembered.recent_files == ()


def test_a_file_that_cannot_be_written_leaves_the_work_unsaved(session, maker, tmp_path):
    change(session)
    maker.saves = tmp_path / "no such folder" / "stand"
    assert not session.save()
    assert len(maker.told) == 1
    assert session.document.is_modified
    assert session.document.path is None


def test_an_ending_that_was_added_does_not_write_over_another_file_unasked(session, maker, tmp_path):
    there = tmp_path / f"stand{SUFFIX}"
    there.write_text("precious")
    maker.saves = tmp_path / "stand"
    assert not session.save()
    assert there.read_text() == "precious"
    assert maker.asked[-1] == f"replace stand{SUFFIX}"
    maker.replaces = True
    assert session.save()
    assert read_project(there) == session.document.project


def test_opening_the_file_at_hand_again_after_saving_reads_what_was_saved(session, maker, tmp_path):
    maker.saves = tmp_path / "stand"
    session.save()
    change(session)
    mine = session.document.project
    maker.answer = "save"
    assert session.open(session.document.path)
    assert session.document.project == mine


def test_open_asks_in_the_folder_of_the_last_file(session, maker, tmp_path):
    maker.saves = tmp_path / "stand"
    session.save()
    assert not session.open()
    assert maker.asked[-1] == f"open in {tmp_path}"
    maker.opens = tmp_path / f"stand{SUFFIX}"
    assert session.open()


def test_the_name_of_a_new_document_is_the_projects(session, maker):
    session.new(replace(new_project(), name='Plant stand: "reading/room"'))
    assert session.name == 'Plant stand: "reading/room"'
    session.save()
    assert maker.asked == [f"save as Plant stand reading room{SUFFIX}"]
    assert session.title.startswith("Plant stand")


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("leg", "leg.cornerwise.json"),
        ("leg.", "leg.cornerwise.json"),
        ("leg.json", "leg.cornerwise.json"),
        ("leg.cornerwise", "leg.cornerwise.json"),
        ("leg.cornerwise.json", "leg.cornerwise.json"),
        ("Leg.Cornerwise.JSON", "Leg.Cornerwise.JSON"),
        ("leg 1.5", "leg 1.5.cornerwise.json"),
        (".json", ".json.cornerwise.json"),
    ],
)
def test_the_ending_is_added_once(typed, kept):
    assert with_suffix(Path("folder") / typed) == Path("folder") / kept


# ---------------------------------------------------------------- remembered


def test_what_is_remembered_is_there_the_next_time(settings, tmp_path):
    first = Remembered(settings)
    first.add_recent(tmp_path / "a")
    first.add_recent(tmp_path / "b")
    first.keep_layout("window", QByteArray(b"\x00\x01layout"))
    first.keep_choice("across", "true")
    settings.sync()
    again = Remembered(QSettings(settings.fileName(), QSettings.Format.IniFormat))
    assert again.recent_files == (tmp_path / "b", tmp_path / "a")
    assert again.layout("window") == QByteArray(b"\x00\x01layout")
    assert again.choice("across", "stretched") == "true"
    assert again.folder == tmp_path
    again.drop_recent(tmp_path / "b")
    assert again.recent_files == (tmp_path / "a",)  # one alone is still a list
    again.clear_recent()
    assert again.recent_files == ()


def test_recent_files_are_few_and_each_once(remembered, tmp_path):
    for i in range(MOST_RECENT_FILES + 5):
        remembered.add_recent(tmp_path / str(i))
    remembered.add_recent(tmp_path / "7")
    files = remembered.recent_files
    assert len(files) == len(set(files)) == MOST_RECENT_FILES
    assert files[0] == tmp_path / "7"


def test_settings_that_make_no_sense_count_as_none(settings):
    settings.setValue("recent_files", 7)
    settings.setValue("layout/window", "text")
    remembered = Remembered(settings)
    assert remembered.recent_files == ()
    assert remembered.layout("window") is None
    assert remembered.layout("panels") is None
    assert remembered.choice("across", "stretched") == "stretched"
    assert remembered.folder == Path.home()
