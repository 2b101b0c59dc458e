"""The whole window on screen, and the rule that nothing is left of it after a test."""

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtGui import QPalette

from app.remembered import Remembered
from app.window.application import new_application
from app.window.main_window import MainWindow
from tests.app.window.leftovers import Around, Warnings
from tests.app.window.working import LEG, SIZE, Answers, Work


def pytest_collection_modifyitems(items):
    for item in items:
        if item.path.parent.name == "window":
            item.add_marker(pytest.mark.no_qt_log)  # `nothing_is_left` listens itself, and until the window is closed


@pytest.fixture(scope="package")
def application(qapp):
    """The application as the program makes it; afterwards it is plain again."""
    style = qapp.style().name()
    yield new_application()
    qapp.setStyle(style)
    qapp.setPalette(QPalette())


@pytest.fixture(autouse=True)
def nothing_is_left(application):
    """Fail a test in which Qt warned, or that leaves windows, processes, threads or timers behind."""
    yield from watched()


_kept: list[Work] = []
"""The window that stays open from test to test: its worker may be another process in the end."""


def watched():
    """Watch what is left from one end to the other."""
    around, warnings = Around(), Warnings()
    warnings.start()
    yield
    try:
        troubles = [*around.left([work.window for work in _kept]), *warnings.said]
    finally:
        warnings.stop()
    assert troubles == []


def new_window(qtbot, remembered, pictures, size=SIZE) -> Work:
    """Open a window on nothing yet."""
    remembered.keep_choice("welcomed", "yes")
    window = MainWindow(remembered, cache=pictures)
    work = Work(qtbot, window, Answers())
    window.resize(*size)
    return work


@pytest.fixture
def open_window(application, qtbot, remembered, tmp_path):
    """Return what opens a window on a project and waits for its piece; all are closed in the end, unsaved or not."""
    opened = []

    def on(project=None, file=None, size=SIZE, waits=True) -> Work:
        work = new_window(qtbot, remembered, tmp_path / "pictures", size)
        opened.append(work)
        work.window.open_at_start(file)
        if project is not None:
            work.document.replace(project)
        with qtbot.waitExposed(work.window):
            work.window.show()
        work.window.activateWindow()
        if waits:
            work.settle()
        return work

    yield on
    for work in opened:
        work.end()


@pytest.fixture(scope="package")
def one_window(application, tmp_path_factory):
    """One window for the many tests that need not open one of their own: opening takes longer than most of them."""
    watch = watched()
    next(watch)
    folder = tmp_path_factory.mktemp("window")
    remembered = Remembered(QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat))
    work = new_window(None, remembered, folder / "pictures")
    work.window.open_at_start(None)
    work.window.show()
    _kept.append(work)
    yield work
    _kept.clear()
    work.end()
    next(watch, None)


@pytest.fixture
def work(one_window, qtbot):
    """The window on a leg with two curves, as if it had just been opened."""
    one_window.begin_with(qtbot, LEG)
    yield one_window
    one_window.rest()
