"""An area on screen with a wavy leg in it."""

import pytest

from app.piece_view import PieceArea
from tests.app.piece_view.looking import WAVE, built, settle, variant


@pytest.fixture
def area(qtbot):
    """An area on screen with a wavy leg in its first slot, at rest; its end leaves no timer running."""
    made = PieceArea()
    qtbot.addWidget(made, before_close_func=lambda area: area.shutdown())
    made.resize(520, 560)
    made.show_built("A", built(variant(WAVE, WAVE)))
    with qtbot.waitExposed(made):
        made.show()
    settle(qtbot, made)
    return made
