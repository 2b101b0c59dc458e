"""Opened and closed again and again, nothing piles up."""

import sys

import pytest

from app.samples import samples
from tests.app.piece_view.looking import built
from tests.app.window.leftovers import resident_kb, tidy
from tests.app.window.working import LEG

WARM, ROUNDS = 5, 15
MOST_GROWTH = 0.03
"""Of all memory in use, over all rounds; a window that were kept would take more than that by itself, each time."""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads the memory in use from /proc")
def test_twenty_windows_need_no_more_memory_than_five(open_window):
    piece = built(LEG.variants[0])  # made here: waiting for twenty workers to begin takes most of the time

    def once():
        work = open_window(LEG, size=(800, 560), waits=False)
        work.piece.show_built("A", piece)
        work.until(lambda: work.piece.views["A"].is_at_rest)
        work.end()
        tidy()

    for _ in range(WARM):
        once()
    before = resident_kb()
    for _ in range(ROUNDS):
        once()
    grown = resident_kb() - before
    assert grown < MOST_GROWTH * before, f"{grown} kB more than {before} kB"


def test_closed_in_the_midst_of_everything_it_leaves_nothing(open_window):
    work = open_window(LEG)
    work.drag(work.node("front", 1), work.at("front", 12.0, 150.0), release=False)
    work.piece.play_action.trigger()
    assert work.piece.player.is_playing
    work.window.close()
    assert not work.piece.player.is_playing


def test_closed_while_the_start_page_draws_its_pictures_it_leaves_nothing(open_window):
    work = open_window()
    work.window.show_start_page()
    assert samples()
    work.window.close()


def test_closed_before_the_first_piece_is_there_it_leaves_nothing(open_window):
    work = open_window(LEG, waits=False)
    assert work.piece.views["A"].built is None
    work.window.close()
