"""The worker process: answers come, the newest wins, a death is mended, nothing is left behind."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer

from app import builder as builder_module
from app.builder import DEADLY, RESTARTED, WILL_NOT_START, Builder
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.report import report_on
from geometry.tolerances import EXPORT_CHORD_MM, LIVE_CHORD_MM

ROOT = Path(__file__).resolve().parents[2]

WAIT_MS = 30_000  # how long a test may hang, not how long it takes

linux_only = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks processes up in /proc")


def leg(swing: float = 8.0, top_width: float | None = None) -> Variant:
    nodes = (Node((0, 0), "corner"), Node((swing, 140)), Node((-6, 280)), Node((0, 420), "corner"))
    return Variant("A", Blank(60, 60, 420, top_width), front=Cut(nodes=nodes), side=Cut(nodes=nodes))


def long_job() -> Variant:
    """A design that keeps the worker busy for many seconds: waves beyond what anyone would draw."""
    waves = tuple(Node((20.0 * (-1) ** i, 5.0 + i * 0.5)) for i in range(9000))
    return Variant("A", Blank(100, 100, 5000), front=Cut(nodes=waves), side=Cut(nodes=waves))


class Heard:
    """Everything a builder said, in order."""

    def __init__(self, builder: Builder) -> None:
        self.said: list[tuple[str, object]] = []
        builder.built.connect(lambda built: self.said.append(("built", built)))
        builder.failed.connect(lambda key, sentence: self.said.append(("failed", (key, sentence))))
        builder.worker_restarted.connect(lambda sentence: self.said.append(("restarted", sentence)))
        builder.busy_changed.connect(lambda busy: self.said.append(("busy", busy)))

    def all(self, kind: str) -> list:
        return [what for said, what in self.said if said == kind]


@pytest.fixture
def builder(qtbot):
    made = Builder()
    yield made
    pid = made.worker_pid
    made.close()
    assert made.worker_pid == 0
    assert not alive(pid)
    assert [timer for timer in made.findChildren(QTimer) if timer.isActive()] == []


def alive(pid: int) -> bool:
    return pid != 0 and sys.platform.startswith("linux") and Path(f"/proc/{pid}").exists()


def children_of(pid: int) -> set[int]:
    found = set()
    for each in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = each.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == pid:
            found.add(int(each.parent.name))
    return found


def test_the_piece_is_the_one_built_here(builder, qtbot):
    heard, variant = Heard(builder), leg()
    with qtbot.waitSignal(builder.built, timeout=WAIT_MS):
        builder.request({"A": variant})
    (built,) = heard.all("built")
    here = report_on(build(variant, EXPORT_CHORD_MM))
    assert (built.key, built.chord_mm, built.is_fine) == ("A", EXPORT_CHORD_MM, True)
    assert built.variant is variant
    assert len(built.quarters) == 4
    for mine, theirs in zip(here.piece.quarters, built.quarters, strict=True):
        assert (mine.vertices == theirs.vertices).all()
        assert (mine.triangles == theirs.triangles).all()
    assert built.report.volume.volume_mm3 == here.volume.volume_mm3
    assert built.report.findings == here.findings
    assert heard.all("busy") == [True, False]


def test_the_findings_speak_in_the_unit_asked_for(builder, qtbot):
    heard, variant = Heard(builder), leg(swing=29.0)
    with qtbot.waitSignals([builder.built, builder.built], timeout=WAIT_MS):
        builder.request({"mm": variant}, "mm")
        builder.request({"in": variant}, "in")
    sentences = {built.key: [f.message for f in built.report.findings] for built in heard.all("built")}
    assert sentences["mm"] == [f.message for f in report_on(build(variant), "mm").findings]
    assert sentences["in"] == [f.message for f in report_on(build(variant), "in").findings]
    assert sentences["mm"] != sentences["in"]


def test_coarse_while_dragging_and_fine_by_itself_at_rest(builder, qtbot):
    heard, variant = Heard(builder), leg()
    builder.request({"A": variant}, coarse=True)
    qtbot.waitUntil(lambda: len(heard.all("built")) == 2, timeout=WAIT_MS)
    assert [built.chord_mm for built in heard.all("built")] == [LIVE_CHORD_MM, EXPORT_CHORD_MM]
    assert all(built.variant is variant for built in heard.all("built"))


def test_newest_wins_and_nothing_stale_comes_after_it(builder, qtbot):
    heard = Heard(builder)
    variants = [leg(swing=8.0 + i / 50.0) for i in range(300)]
    for variant in variants:
        builder.request({"A": variant}, coarse=True)
    assert len(builder._waiting) == 1
    qtbot.waitUntil(lambda: any(built.is_fine for built in heard.all("built")), timeout=WAIT_MS)
    assert not builder.is_busy
    order = [variants.index(built.variant) for built in heard.all("built")]
    assert order == sorted(order)
    assert order[-1] == 299
    assert len(order) < 10  # what was overtaken was never built


def test_two_variants_each_have_their_own_newest(builder, qtbot):
    heard = Heard(builder)
    for i in range(20):
        builder.request({"A": leg(5 + i / 10), "B": leg(-5 - i / 10)}, coarse=True)
    qtbot.waitUntil(lambda: sum(built.is_fine for built in heard.all("built")) == 2, timeout=WAIT_MS)
    last = {built.key: built.variant for built in heard.all("built")}
    assert last == {"A": leg(6.9), "B": leg(-6.9)}


def test_tapers_and_trims_are_built_like_any_other(builder, qtbot):
    with qtbot.waitSignal(builder.built, timeout=WAIT_MS) as caught:
        builder.request({"A": leg(top_width=40)})
    (built,) = caught.args
    assert built.report.taper.end_trim_mm > 0.0


@linux_only
def test_a_killed_worker_is_restarted_and_the_piece_still_comes(builder, qtbot):
    heard = Heard(builder)
    with qtbot.waitSignal(builder.built, timeout=WAIT_MS):
        builder.request({"A": leg(3)})
    before = builder.worker_pid
    variant = leg(4)
    builder.request({"A": variant}, coarse=True)
    os.kill(before, signal.SIGKILL)
    qtbot.waitUntil(
        lambda: [b.is_fine for b in heard.all("built") if b.variant is variant][-1:] == [True], timeout=WAIT_MS
    )
    assert heard.all("restarted") == [RESTARTED]
    assert builder.worker_pid not in (0, before)
    assert not alive(before)


@linux_only
def test_a_worker_that_dies_while_idle_comes_back(builder, qtbot):
    with qtbot.waitSignal(builder.built, timeout=WAIT_MS):
        builder.request({"A": leg(3)})
    with qtbot.waitSignal(builder.worker_restarted, timeout=WAIT_MS) as caught:
        os.kill(builder.worker_pid, signal.SIGKILL)
    assert caught.args == [RESTARTED]
    with qtbot.waitSignal(builder.built, timeout=WAIT_MS):
        builder.request({"A": leg(3)})


@linux_only
def test_a_design_over_which_the_worker_dies_twice_is_given_up(builder, qtbot):
    heard = Heard(builder)
    with qtbot.waitSignal(builder.built, timeout=WAIT_MS):
        builder.request({"A": leg(3)})
    builder.request({"A": long_job()})
    for _ in range(2):
        qtbot.waitUntil(lambda: builder._has_begun, timeout=WAIT_MS)
        with qtbot.waitSignal(builder.worker_restarted, timeout=WAIT_MS):
            os.kill(builder.worker_pid, signal.SIGKILL)
    qtbot.waitUntil(lambda: heard.all("failed") != [], timeout=WAIT_MS)
    assert heard.all("failed") == [("A", DEADLY)]
    assert heard.all("restarted") == [RESTARTED, RESTARTED]
    with qtbot.waitSignal(builder.built, timeout=WAIT_MS):
        builder.request({"A": leg(3)})


@linux_only
def test_a_long_build_is_broken_off_for_a_newer_design(builder, qtbot, monkeypatch):
    heard = Heard(builder)
    with qtbot.waitSignal(builder.built, timeout=WAIT_MS):
        builder.request({"A": leg(3)})
    before = builder.worker_pid
    builder.request({"A": long_job()})
    variant = leg(4)
    builder.request({"A": variant})
    qtbot.waitUntil(lambda: not builder.is_busy, timeout=WAIT_MS)
    assert [built.variant.blank.length for built in heard.all("built")] == [420, 420]
    assert heard.all("built")[-1].variant is variant
    assert heard.all("restarted") == []  # it was meant
    assert not alive(before)


def test_a_worker_that_never_starts_is_a_sentence(qtbot, tmp_path):
    for command in ([str(tmp_path / "nothing here")], [sys.executable, "-c", "raise SystemExit(1)"]):
        builder = Builder(command=command)
        heard = Heard(builder)
        builder.request({"A": leg()})
        qtbot.waitUntil(lambda heard=heard: heard.all("failed") != [], timeout=WAIT_MS)
        assert heard.all("failed") == [("A", WILL_NOT_START)]
        assert not builder.is_busy
        builder.close()


def test_nothing_comes_after_close(qtbot):
    builder = Builder()
    heard = Heard(builder)
    builder.request({"A": leg()}, coarse=True)
    builder.close()
    builder.close()
    builder.request({"A": leg()})
    qtbot.wait(2 * builder_module.REST_MS)
    assert heard.all("built") == []
    assert heard.all("failed") == []


@linux_only
def test_close_leaves_no_child_process(qtbot):
    before = children_of(os.getpid())
    for _ in range(3):
        builder = Builder()
        with qtbot.waitSignal(builder.built, timeout=WAIT_MS):
            builder.request({"A": leg()})
        assert children_of(os.getpid()) - before == {builder.worker_pid}
        builder.close()
        assert children_of(os.getpid()) == before


@linux_only
def test_the_worker_ends_when_the_program_is_killed():
    script = """
import os, signal
from PySide6.QtCore import QCoreApplication
from app.builder import Builder
application = QCoreApplication([])
builder = Builder()
builder._process.waitForStarted()
print(builder.worker_pid, flush=True)
os.kill(os.getpid(), signal.SIGKILL)
"""
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert done.returncode == -signal.SIGKILL
    worker = int(done.stdout)
    # An orphan is taken over by another process; what matters is that it ends, not who sweeps it up.
    for _ in range(600):
        if not alive(worker) or ") Z " in Path(f"/proc/{worker}/stat").read_text():
            return
        subprocess.run(["sleep", "0.05"], check=True)
    pytest.fail("the worker outlived the program")


def test_the_worker_loads_neither_window_nor_viewport():
    script = """
import sys, app.builder_worker
print(sorted({"PySide6", "shiboken6", "vtkmodules"} & {name.partition(".")[0] for name in sys.modules}))
"""
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
