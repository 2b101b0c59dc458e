"""Start from a shape: every shape on every face, its parameters, and leaving it."""

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCheckBox, QDialogButtonBox, QDoubleSpinBox

from app.faces import ShapeDialog
from app.length_field import LengthField
from geometry.copying import copied_to_other_face
from geometry.findings import findings_of, has_stop
from geometry.piece import build
from geometry.project import Blade
from geometry.shapes import SHAPES, room_of, with_shape
from tests.app.faces.hands import SERPENTINE, STRAIGHT

LABELS = [shape.label for shape in SHAPES]


@pytest.fixture
def dialog(qtbot):
    dialog = ShapeDialog(STRAIGHT, "mm", "front")
    qtbot.addWidget(dialog)
    dialog.told, dialog.seen = [], []
    dialog.edited.connect(lambda name, variant: dialog.told.append((name, variant)))
    dialog.previewed.connect(dialog.seen.append)
    with qtbot.waitExposed(dialog):
        dialog.show()
    return dialog


@pytest.mark.parametrize("label", LABELS)
def test_every_shape_can_be_taken_as_it_comes(qtbot, dialog, label):
    dialog.choose(label)
    ok = dialog.findChild(QDialogButtonBox).button(QDialogButtonBox.StandardButton.Ok)
    qtbot.mouseClick(ok, Qt.MouseButton.LeftButton)
    ((name, variant),) = dialog.told
    shape = next(s for s in SHAPES if s.label == label)
    assert variant == with_shape(STRAIGHT, "front", shape.fitted(room_of(STRAIGHT, "front")))
    assert label.lower() in name
    assert not has_stop(findings_of(build(variant)))


@pytest.mark.parametrize("sense", ["together", "apart"])
def test_a_shape_goes_on_both_faces_in_two_senses(dialog, sense):
    dialog.choose("Serpentine")
    dialog._target.setCurrentIndex(["front", "side", "together", "apart"].index(sense))
    outcome = dialog.outcome
    assert outcome == copied_to_other_face(outcome, "front", sense)
    assert outcome.front.nodes
    assert outcome.side.nodes


def test_on_the_right_face_only_the_side_line_changes(qtbot):
    dialog = ShapeDialog(SERPENTINE, "mm", "side")
    qtbot.addWidget(dialog)
    assert dialog.target == "side"
    assert dialog.outcome.front == SERPENTINE.front
    assert dialog.outcome.side != SERPENTINE.side


def test_parameters_are_seen_at_once(qtbot, dialog):
    dialog.choose("Serpentine")
    before = dialog.outcome
    waves = dialog.field("waves")
    assert isinstance(waves, QDoubleSpinBox)
    waves.setFocus()
    qtbot.keyClick(waves, Qt.Key.Key_Up)
    assert len(dialog.outcome.front.nodes) > len(before.front.nodes)
    assert dialog.seen[-1] == dialog.outcome
    swing = dialog.field("swing_mm")
    assert isinstance(swing, LengthField)
    swing.setFocus()
    swing.selectAll()
    qtbot.keyClicks(swing, '1/4"')
    qtbot.keyClick(swing, Qt.Key.Key_Tab)
    assert max(abs(n.at[0]) for n in dialog.outcome.front.nodes) == pytest.approx(6.35, abs=0.01)


def test_a_switch_turns_the_hook_round(qtbot, dialog):
    dialog.choose("Hook")
    before = dialog.outcome
    box = dialog.field("right_first")
    assert isinstance(box, QCheckBox)
    box.click()
    assert [n.at[0] for n in dialog.outcome.front.nodes] == [-n.at[0] for n in before.front.nodes]


def test_a_length_that_cannot_be_read_keeps_the_dialog_open(qtbot, dialog):
    dialog.choose("Arc")
    swing = dialog.field("swing_mm")
    swing.setFocus()
    swing.selectAll()
    qtbot.keyClicks(swing, "wide")
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.told == []
    assert "wide" in dialog._trouble.text()


def test_leaving_it_shows_the_design_as_it_was(qtbot, dialog):
    dialog.choose("Cyma")
    assert dialog.seen[-1] != STRAIGHT
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    assert dialog.seen[-1] == STRAIGHT
    assert dialog.told == []


def test_a_blade_that_does_not_follow_is_spoken_of(qtbot):
    variant = replace(STRAIGHT, front=replace(STRAIGHT.front, blade=Blade(19.0)))
    dialog = ShapeDialog(variant, "mm", "front")
    qtbot.addWidget(dialog)
    dialog.choose("Hook")
    assert dialog.outcome.front.blade != variant.front.blade
    assert "does not follow" in dialog._words.text()
