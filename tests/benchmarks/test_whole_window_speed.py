"""How fast the whole window is: measured with ``--benchmark-enable``, otherwise each runs once to keep working."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QEventLoop, QPoint, QSettings

from app.remembered import Remembered
from app.window.application import new_application
from app.window.main_window import MainWindow
from geometry.project import Project
from tests.app.faces import hands
from tests.app.piece_view.looking import variant
from tests.app.window.leftovers import tidy
from tests.app.window.working import LEG, Answers, Work

ROOT = Path(__file__).resolve().parents[2]

BARE = "import PySide6.QtWidgets, vtkmodules.all"
"""What no window with a viewport can do without."""

START = """
import sys
from pathlib import Path
from PySide6.QtCore import QEventLoop, QSettings
from app.remembered import Remembered
from app.samples import samples
from app.window.application import new_application
from app.window.main_window import MainWindow

folder, until = Path(sys.argv[1]), sys.argv[2]
application = new_application()
window = MainWindow(Remembered(QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)), cache=folder)
window.open_at_start(samples()[0].path)
window.resize(1366, 768)
window.show()
view = window.piece.views["A"]

def is_there():
    return until == "drawn" or (window.pieces.are_up_to_date and view.is_at_rest)

application.processEvents()
while not is_there():
    application.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)
window.close()
"""


def run(code: str, *words: str) -> None:
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-c", code, *words], check=True, env=environment, cwd=ROOT)


def test_the_bare_imports(benchmark):
    benchmark.pedantic(run, (BARE,), rounds=5)


def test_from_start_to_a_window_that_can_be_drawn_on(benchmark, tmp_path):
    benchmark.pedantic(run, (START, str(tmp_path), "drawn"), rounds=5)


def test_from_start_to_the_finished_piece_in_the_window(benchmark, tmp_path):
    benchmark.pedantic(run, (START, str(tmp_path), "piece"), rounds=5)


@pytest.fixture
def work(qapp, qtbot, tmp_path):
    style = qapp.style().name()
    new_application()
    remembered = Remembered(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat))
    made = Work(qtbot, MainWindow(remembered, cache=tmp_path), Answers())
    made.window.resize(1366, 768)
    made.document.replace(LEG)
    with qtbot.waitExposed(made.window):
        made.window.show()
    made.settle()
    yield made
    made.end()
    tidy()
    qapp.setStyle(style)


def test_from_a_move_of_the_mouse_to_the_painted_piece(benchmark, work):
    """The node goes to and fro under the hand; each time the piece of the newest line is waited for."""
    start = work.node("front", 1)
    work.drag(start, start + QPoint(10, 0), release=False)
    view = work.piece.views["A"]
    places = iter([start + QPoint(10 + k % 20, k % 7) for k in range(1, 500)])
    painted = []
    view.picture_painted.connect(lambda: painted.append(view.built.variant))

    def once(place):
        hands.move(work.faces, place)
        wanted = work.document.variant
        loop = QEventLoop()
        while not painted or painted[-1] != wanted:
            loop.processEvents(QEventLoop.ProcessEventsFlag.WaitForMoreEvents)

    benchmark.pedantic(once, setup=lambda: ((next(places),), {}), rounds=30, warmup_rounds=3)
    work.let_go(start)


def test_the_faces_repaint_while_a_piece_is_built(benchmark, work):
    """A line of hundreds of nodes keeps the worker busy; the sheet that is drawn on is painted meanwhile."""
    waves = tuple((20.0 * (-1) ** i, 4.0 * i) for i in range(106))
    builder, heavy = work.window.pieces.builder, variant(waves, waves)

    def keep_building():
        if not builder.is_busy:
            builder.request({"beside": heavy})

    benchmark.pedantic(work.faces.sheet.repaint, setup=keep_building, rounds=50)
    builder.forget("beside")


def test_another_design_is_shown_everywhere(benchmark, work):
    """What the window's own process does for one step, whatever the worker does meanwhile."""
    drawn, straight = LEG, Project(variants=(variant(), LEG.variants[1]))
    projects = iter([straight, drawn] * 100)

    def once(project):
        work.document.apply("Change", project)

    benchmark.pedantic(once, setup=lambda: ((next(projects),), {}), rounds=50)
