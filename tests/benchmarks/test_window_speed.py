"""How fast the window follows: run with ``--benchmark-enable`` to measure, otherwise each runs once to keep working."""

import pytest
from PySide6.QtCore import QEventLoop, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QWidget

from app.builder import Builder
from app.piece_view import PieceArea
from tests.app.piece_view.looking import WAVE, built, settle, variant


@pytest.fixture
def area(qtbot):
    made = PieceArea()
    qtbot.addWidget(made, before_close_func=lambda area: area.shutdown())
    made.resize(800, 700)
    made.show_built("A", built(variant(WAVE, WAVE)))
    with qtbot.waitExposed(made):
        made.show()
    settle(qtbot, made)
    return made


@pytest.fixture
def builder(qtbot):
    made = Builder()
    with qtbot.waitSignal(made.built, timeout=30_000):
        made.request({"A": variant(WAVE, WAVE)})
    yield made
    made.close()


def designs():
    """The design with one node moved, again and again."""
    step = 0
    while True:
        step += 1
        yield variant(((0, 0), (8 + step % 50 / 10, 140), (-6, 280), (0, 420)), WAVE)


class Beside(QWidget):
    """A widget with some two hundred strokes to paint, as an editor has."""

    painted = Signal()

    def paintEvent(self, _event):
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for i in range(200):
            painter.drawLine(i, 0, 200 - i, 300)
        painter.end()
        self.painted.emit()


def until(signal, act) -> None:
    """Do something, then run the event loop until it is answered."""
    loop = QEventLoop()
    signal.connect(loop.quit)
    act()
    loop.exec()
    signal.disconnect(loop.quit)


def test_from_a_moved_node_to_the_painted_piece(benchmark, area, builder):
    shown = []

    def show(answer):
        shown.append(answer.variant)
        area.show_built("A", answer)

    builder.built.connect(show)
    moved = designs()

    def once(design):
        builder.request({"A": design}, coarse=True)
        while design not in shown:  # the picture of the step before may still be smoothed
            until(area.views["A"].picture_painted, lambda: None)

    benchmark.pedantic(once, setup=lambda: ((next(moved),), {}), rounds=20)


def test_from_a_drag_to_the_painted_piece(benchmark, area):
    view = area.views["A"]

    def once():
        until(view.picture_painted, lambda: area.viewpoint.orbit(3.0, 0.5))

    benchmark.pedantic(once, rounds=20)
    assert not view.is_at_rest  # rough while it moves


def test_from_the_slider_to_the_painted_piece(benchmark, area):
    turns = iter([i / 40 for i in range(40)] * 10)
    view = area.views["A"]

    def once():
        until(view.picture_painted, lambda: area.slider.set_turn(next(turns)))

    benchmark.pedantic(once, rounds=20)


def test_the_finished_picture_once_it_rests(benchmark, area):
    def once():
        area.views["A"].finish_picture()

    benchmark.pedantic(once, setup=lambda: area.views["A"].set_turn(1.0), rounds=10)
    assert area.views["A"].is_at_rest


def test_another_widget_repaints_while_a_piece_is_built(benchmark, qtbot, builder):
    waves = tuple((20.0 * (-1) ** i, 4.0 * i) for i in range(106))
    heavy = variant(waves, waves)
    beside = Beside()
    qtbot.addWidget(beside)
    with qtbot.waitExposed(beside):
        beside.show()

    def once():
        until(beside.painted, beside.update)

    def keep_building():
        if not builder.is_busy:
            builder.request({"A": heavy})

    benchmark.pedantic(once, setup=keep_building, rounds=50)
