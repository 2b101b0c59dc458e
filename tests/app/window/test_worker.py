"""The process that works out the piece may die at any moment: the window goes on and says so."""

import os
import signal
import sys

import pytest
from PySide6.QtCore import QPoint

from app.builder import RESTARTED
from tests.app.window.leftovers import children
from tests.app.window.working import LEG

linux_only = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="kills a process by its number")


@linux_only
def test_killed_in_the_midst_of_a_drag_it_comes_back_by_itself_and_says_so(work):
    start = work.node("front", 1)
    work.drag(start, start + QPoint(15, 0), release=False)
    first = work.window.pieces.builder.worker_pid
    assert first in children()
    os.kill(first, signal.SIGKILL)
    for step in range(16, 31):
        work.move(start + QPoint(step, 0))
    work.let_go(start + QPoint(30, 0))
    drawn = work.document.variant
    work.until(lambda: work.said == RESTARTED)
    work.settle()
    assert work.window.pieces.builder.worker_pid not in (0, first)
    assert work.piece.views["A"].built.variant == drawn
    assert work.piece.views["A"].built.is_fine
    assert work.steps == 1


@linux_only
def test_killed_at_rest_the_next_piece_still_comes(work):
    os.kill(work.window.pieces.builder.worker_pid, signal.SIGKILL)
    work.until(lambda: work.said == RESTARTED)
    work.drag(work.node("side", 1), work.node("side", 1) + QPoint(-15, 0))
    work.settle()
    assert work.piece.views["A"].built.variant == work.document.variant


def test_it_ends_with_the_window(open_window):
    work = open_window(LEG)
    builder = work.window.pieces.builder
    assert builder.worker_pid != 0
    work.window.close()
    assert builder.worker_pid == 0
    assert not builder.is_busy


def test_a_long_build_is_told_of(work):
    """While it lasts there are words for it, and they go when it is done."""
    window = work.window
    start = work.node("front", 1)
    seen = []
    window.pieces.builder.busy_changed.connect(seen.append)
    work.drag(start, start + QPoint(15, 0))
    assert seen == [True]
    work.settle()
    assert seen[-1] is False
    assert "building" not in window.findings.counts.text()
