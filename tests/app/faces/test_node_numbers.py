"""The selected node's numbers: read in either unit, typed, and never lost."""

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt

from app.faces import NodeNumbers
from geometry.project import Node
from tests.app.faces.hands import SERPENTINE


@pytest.fixture
def numbers(qtbot):
    numbers = NodeNumbers()
    qtbot.addWidget(numbers)
    numbers.resize(760, 40)
    numbers.show_node(SERPENTINE, "mm", "front", (1,))
    with qtbot.waitExposed(numbers):
        numbers.show()
    numbers.activateWindow()
    numbers.told = []
    numbers.edited.connect(lambda name, variant: numbers.told.append((name, variant)))
    return numbers


def type_in(qtbot, field, text):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_they_show_the_node_in_the_unit_on_display(numbers):
    assert (numbers.across.text(), numbers.up.text()) == ("8 mm", "140 mm")
    numbers.show_node(SERPENTINE, "in", "front", (1,))
    assert (numbers.across.text(), numbers.up.text()) == ('5/16"', '5 1/2"')


@pytest.mark.parametrize(
    ("typed", "mm"), [("12.5", 12.5), ("-3", -3.0), ('3/8"', 9.525), ("1 cm", 10.0), ("12,25 mm", 12.25)]
)
def test_a_place_across_is_typed(qtbot, numbers, typed, mm):
    type_in(qtbot, numbers.across, typed)
    ((name, variant),) = numbers.told
    assert name == "Set node across"
    assert variant.front.nodes[1].at == (pytest.approx(mm, abs=1e-9), 140.0)
    assert variant.side == SERPENTINE.side


def test_a_height_is_typed_and_may_take_an_end_off_the_end(qtbot, numbers):
    type_in(qtbot, numbers.up, "155")
    assert numbers.told[-1][1].front.nodes[1].at == (8.0, 155.0)
    numbers.show_node(SERPENTINE, "mm", "front", (0,))
    type_in(qtbot, numbers.up, "12")
    assert numbers.told[-1][1].front.nodes[0].at == (0.0, 12.0)


def test_what_cannot_be_read_stays_and_says_why(qtbot, numbers):
    type_in(qtbot, numbers.across, "abc")
    assert numbers.told == []
    assert numbers.across.text() == "abc"
    assert "abc" in numbers.trouble
    qtbot.keyClick(numbers.across, Qt.Key.Key_Escape)
    assert numbers.across.text() == "8 mm"
    assert numbers.trouble == ""


def test_a_place_that_is_taken_is_refused_in_words(qtbot, numbers):
    numbers.show_node(SERPENTINE, "mm", "side", (1,))
    type_in(qtbot, numbers.across, "0")
    numbers.told.clear()
    numbers.show_node(numbers._variant, "mm", "side", (1,))
    type_in(qtbot, numbers.up, "0")
    assert numbers.told == []
    assert "already there" in numbers.trouble
    assert numbers.up.text() == "0"


def test_several_nodes_are_set_across_together(qtbot, numbers):
    numbers.show_node(SERPENTINE, "mm", "side", (1, 2, 3))
    assert numbers.across.text() == ""
    assert not numbers.up.isEnabled()
    type_in(qtbot, numbers.across, "-5")
    ((name, variant),) = numbers.told
    assert name == "Set nodes across"
    assert [n.at for n in variant.side.nodes[1:4]] == [(-5.0, 105.0), (-5.0, 210.0), (-5.0, 315.0)]


def test_without_a_node_there_is_nothing_to_type(numbers):
    numbers.show_node(SERPENTINE, "mm", "front", ())
    assert not numbers.across.isEnabled()
    assert not numbers.up.isEnabled()
    assert numbers.across.text() == ""


def test_a_rounded_number_on_show_is_not_taken_for_the_value(qtbot, numbers):
    nodes = list(SERPENTINE.front.nodes)
    nodes[1] = Node((8.123456, 140.0))
    odd = replace(SERPENTINE, front=replace(SERPENTINE.front, nodes=tuple(nodes)))
    numbers.show_node(odd, "mm", "front", (1,))
    numbers.across.setFocus()
    qtbot.keyClick(numbers.across, Qt.Key.Key_Return)
    numbers.up.setFocus()
    assert numbers.told == []
