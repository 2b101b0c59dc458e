"""The faces on screen with a serpentine leg."""

import pytest

from app.faces import FacesView
from tests.app.faces.hands import SERPENTINE, Told


@pytest.fixture
def show(qtbot):
    """Return what shows a design and listens to all that the view tells."""

    def shown(variant=SERPENTINE, units="mm", size=(420, 760), lying=False):
        view = FacesView()
        qtbot.addWidget(view)
        view.resize(*size)
        view.set_lying(lying)
        view.show_variant(variant, units)
        with qtbot.waitExposed(view):
            view.show()
        view.activateWindow()
        view.sheet.setFocus()
        view.told = Told(view)
        return view

    return shown


@pytest.fixture
def view(show):
    return show()
