"""Pictures of the window on every sample, by day and by night, to be looked at.

They are written into the folder that the environment variable CORNERWISE_SHOTS names, else thrown away.
"""

import os
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtWidgets import QApplication, QWidget

from app.look import DARK, LIGHT, contrast
from app.samples import samples
from tests.app.piece_view.looking import like, pixels

SIZES = ((1366, 768), (1000, 640), (1920, 1080))


@pytest.fixture
def folder(tmp_path) -> Path:
    named = os.environ.get("CORNERWISE_SHOTS")
    made = Path(named) if named else tmp_path
    made.mkdir(parents=True, exist_ok=True)
    return made


def shot(work, path: Path) -> np.ndarray:
    picture = work.window.grab()
    assert picture.save(str(path))
    return pixels(picture.toImage())


def assert_something_is_seen(work, look) -> None:
    """Every part of the window is painted in the look, and there is wood in the piece's view."""
    for widget in (work.faces, work.piece, work.window.bench, work.window.numbers):
        picture = pixels(widget)
        assert picture.std() > 3.0, widget
    ground = (look.window.red(), look.window.green(), look.window.blue())
    whole = pixels(work.window)
    assert like(whole, ground, within=3) > 0.05 * whole.shape[0] * whole.shape[1]
    view = pixels(work.piece.views["A"]).astype(int)
    assert (view[..., 0] - view[..., 2] > 22).mean() > 0.02


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("sample", samples(), ids=lambda sample: sample.title)
def test_every_sample_looks_like_something(work, folder, sample, look):
    name = "dark" if look.is_dark else "light"
    work.window.wear_look(name)
    work.window.files.open_sample(sample)
    sizes = SIZES if sample == samples()[1] else SIZES[:1]
    for size in sizes:
        work.window.resize(*size)
        work.settle()
        shot(work, folder / f"{sample.title} {name} {size[0]}.png")
        assert_something_is_seen(work, look)


@pytest.mark.parametrize("name", ["light", "dark"])
def test_other_pages_and_states(work, folder, name):
    window = work.window
    window.resize(*SIZES[0])
    window.wear_look(name)
    work.settle()
    work.click(work.node("front", 1))
    work.settle()
    shot(work, folder / f"a node {name}.png")
    work.drag(work.node("front", 1), work.at("front", 45.0, 140.0))
    work.settle()
    shot(work, folder / f"impossible {name}.png")
    work.undo()
    window.show_side_by_side(True)
    work.settle()
    shot(work, folder / f"two {name}.png")
    window.show_side_by_side(False)
    work.piece.turn = 1.0 / 3.0
    work.settle()
    shot(work, folder / f"opened {name}.png")
    window.show_start_page()
    work.until(lambda: all(card.has_photograph for card in window.start_page.cards))
    page = shot(work, folder / f"start {name}.png")
    assert page.std() > 10.0


def test_the_look_changes_everywhere_at_once(work):
    """No widget keeps the colours it was made with."""
    for name, look in (("dark", DARK), ("light", LIGHT), ("dark", DARK)):
        work.window.wear_look(name)
        QApplication.processEvents()
        for widget in work.window.findChildren(QWidget):
            palette = widget.palette()
            ground = palette.color(palette.ColorRole.Window)
            ink = palette.color(palette.ColorRole.WindowText)
            assert contrast(ground, ink) > (3.0 if widget.isEnabled() else 2.0), widget
            assert palette.color(palette.ColorRole.Base).name() in {look.paper.name(), look.window.name()}, widget
