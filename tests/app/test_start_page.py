"""Where to begin: samples that are found and can be sawn, pictures that come by themselves and are kept."""

from pathlib import Path

import pytest
from PySide6.QtCore import QProcess, Qt
from PySide6.QtGui import QImage

from app.sample_pictures import PICTURE, SamplePictures, silhouettes
from app.samples import Sample, samples
from app.start_page import StartPage
from geometry.files import SUFFIX


@pytest.fixture
def page(qtbot, tmp_path):
    page = StartPage(cache=tmp_path)
    qtbot.addWidget(page)
    page.resize(760, 560)
    page.show()
    yield page
    page.shutdown()


def test_the_samples_are_found_with_readable_names():
    titles = [s.title for s in samples()]
    assert titles[:3] == ["Plant stand", "Reading bench", "Lectern column"]  # the simple ones first
    assert titles[3:] == sorted(titles[3:])
    for sample in samples():
        assert sample.path.name.endswith(SUFFIX)
        assert sample.path.is_file()
        assert "_" not in sample.title


def test_pressing_a_card_opens_its_sample(qtbot, page):
    opened = []
    page.open_sample.connect(opened.append)
    qtbot.mouseClick(page.cards[1], Qt.MouseButton.LeftButton)
    page.cards[2].setFocus()
    qtbot.keyClick(page.cards[2], Qt.Key.Key_Space)
    assert opened == [str(samples()[1].path), str(samples()[2].path)]


@pytest.mark.parametrize(("button", "signal"), [("blank", "new_blank"), ("file", "open_file")])
def test_the_other_two_ways_to_begin(qtbot, page, button, signal):
    with qtbot.waitSignal(getattr(page, signal)):
        qtbot.mouseClick(getattr(page, button), Qt.MouseButton.LeftButton)


def test_everything_is_in_view_in_the_smallest_window(page):
    for widget in (*page.cards, page.blank, page.file):
        corner = widget.mapTo(page, widget.rect().bottomRight())
        assert page.rect().contains(corner)
        assert page.rect().contains(widget.mapTo(page, widget.rect().topLeft()))


def test_cards_say_sizes_in_the_makers_unit(page):
    millimetres = [card.toolTip() for card in page.cards]
    page.show_units("in")
    assert all(" mm, " in words for words in millimetres)
    assert all('", ' in card.toolTip() for card in page.cards)


def test_before_the_picture_there_is_a_drawing(page):
    assert not any(card.has_photograph for card in page.cards)
    for card in page.cards:
        drawn = card.grab().toImage()
        colours = {drawn.pixelColor(x, y).rgb() for x in range(20, 190, 5) for y in range(20, 240, 5)}
        assert len(colours) >= 3  # paper and two shades of wood


def test_drawings_show_the_wood_and_a_bad_file_shows_none(tmp_path):
    image = silhouettes(samples()[0]).toImage()
    assert image.size() == PICTURE
    bad = tmp_path / f"bad{SUFFIX}"
    bad.write_text("{}", encoding="utf-8")
    assert silhouettes(Sample(bad)) is None


def test_pictures_come_and_are_kept(qtbot, page, tmp_path):
    card = page.cards[0]
    qtbot.waitUntil(lambda: card.has_photograph, timeout=60_000)
    kept = list(tmp_path.glob("*.png"))
    assert len(kept) >= 1
    assert QImage(str(kept[0])).size() == PICTURE
    page.hide()
    # another page shows it at once, without drawing
    again = []
    pictures = SamplePictures(tmp_path)
    pictures.ready.connect(lambda sample, _: again.append(sample))
    pictures.want([card.sample])
    assert again == [card.sample]


def test_leaving_the_page_stops_the_drawing(qtbot, page, tmp_path):
    process = page.findChild(QProcess)
    assert process.state() != QProcess.ProcessState.NotRunning
    page.hide()
    assert process.state() == QProcess.ProcessState.NotRunning
    page.show()
    assert process.state() != QProcess.ProcessState.NotRunning


def test_a_changed_sample_is_drawn_anew(qtbot, tmp_path):
    original = samples()[0].path
    sample = Sample(tmp_path / original.name)
    sample.path.write_bytes(original.read_bytes())
    pictures = SamplePictures(tmp_path / "cache")
    before = pictures._kept_at(sample)
    sample.path.write_bytes(original.read_bytes().replace(b'"walnut"', b'"teak"'))
    assert pictures._kept_at(sample) != before


def test_a_bad_sample_file_holds_up_nothing(qtbot, tmp_path):
    bad = tmp_path / f"bad{SUFFIX}"
    bad.write_text("{}", encoding="utf-8")
    pictures = SamplePictures(tmp_path / "cache")
    with qtbot.waitSignal(pictures.ready, timeout=60_000) as told:
        pictures.want([Sample(bad), Sample(Path(tmp_path / f"absent{SUFFIX}")), samples()[1]])
    assert told.args[0] == samples()[1]
