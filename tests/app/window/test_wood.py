"""The wood of the piece follows what the maker chooses, ahead of the saw."""

import numpy as np
from msgspec.structs import replace
from PySide6.QtCore import Qt

from geometry.layup import Plain, Stripes
from tests.app.piece_view.looking import changed
from tests.app.window.working import LEG

STRIPES = Stripes(along="x", strips=((20.0, "walnut"), (20.0, "maple"), (20.0, "walnut")))


def pale(picture: np.ndarray) -> int:
    """How many pixels show maple by day."""
    return int(((picture[..., 0] > 180) & (picture[..., 0] - picture[..., 2] > 40)).sum())


def test_another_wood_is_seen_before_the_piece_is_worked_out_again(open_window):
    work = open_window(LEG)
    view = work.piece.views["A"]
    sawn, walnut = view.built, work.seen()
    design = replace(work.document.variant, layup=STRIPES)
    work.document.edit("Change the wood", design)
    view.repaint()
    assert view.built is sawn  # no answer has come yet
    assert pale(work.seen()) > pale(walnut) + 500
    work.settle()
    assert view.built.variant == design
    work.undo()
    view.repaint()
    assert pale(work.seen()) < 50
    work.settle()
    assert changed(walnut, work.seen()) == 0


def test_an_answer_about_the_wood_before_does_not_bring_it_back(open_window):
    work = open_window(LEG)
    view, seen, answered = work.piece.views["A"], [], []
    view.picture_painted.connect(lambda: seen.append((view.built.variant.side, view.stage._variant.layup)))
    work.window.pieces.builder.built.connect(lambda built: answered.append(built.variant.layup))
    old, new, maple = work.document.variant.side, work.document.variant.front, Plain(species="maple")
    work.document.edit("Change the line", replace(work.document.variant, side=new))
    work.document.edit("Change the wood", replace(work.document.variant, layup=maple))
    work.settle()
    assert answered[0] != maple  # this one was late
    assert {layup for side, layup in seen if side == new} == {maple}
    assert {side for side, _ in seen} <= {old, new}


def test_a_line_and_a_wood_at_once_wait_for_the_saw(open_window):
    work = open_window(LEG)
    view, design = work.piece.views["A"], work.document.variant
    before = work.seen()
    work.document.edit("Change both", replace(design, side=design.front, layup=STRIPES))
    view.repaint()
    assert changed(before, work.seen()) == 0
    work.settle()
    assert pale(work.seen()) > 500


def test_the_start_page_is_used_to_get_ready_for_wood(open_window):
    work = open_window(LEG)
    work.window.files.new()
    work.piece.views["A"].clear()
    work.window.show_start_page()
    assert work.piece.views["A"]._warm.isActive()
    work.press(Qt.Key.Key_Escape, widget=work.window)
    work.settle()
