"""Trims in the window: drawn flats together, followed by the piece, set at the bench, one step each."""

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, Qt

from app.faces.selection import Selection
from geometry.project import Cut, Node, Project, Trim, Variant
from tests.app.window.working import LEG, SHIFT

ANKLE = Trim((Node((45.0, 60.0)), Node((22.0, 140.0)), Node((45.0, 240.0))))
TRIMMED = Project(
    variants=tuple(replace(v, front=replace(v.front, trims=(ANKLE,))) for v in LEG.variants), name="Trimmed leg"
)


@pytest.fixture
def flats(open_window):
    work = open_window(TRIMMED)
    work.faces.set_view("flats")
    yield work
    work.faces.set_view("faces")


def built(work) -> Variant:
    return work.piece.views["A"].built.variant


def test_a_trim_that_is_dragged_is_one_step_and_the_piece_follows(flats):
    work = flats
    before = work.document.variant
    start = work.at("front", 22.0, 140.0)
    work.drag(start, start + QPoint(-9, 0))
    work.settle()
    assert work.steps == 1
    assert built(work) == work.document.variant != before
    assert work.document.variant.front.trims[0].nodes[1].at[0] < 20.0
    work.undo()
    work.settle()
    assert built(work) == before


def test_a_trim_takes_wood_and_taking_it_out_gives_it_back(flats):
    work = flats
    trimmed = work.piece.views["A"].built.report.volume.volume_mm3
    work.faces.sheet.select(Selection("front", trim=0))
    work.sheet()
    work.press(Qt.Key.Key_Delete, SHIFT)
    work.settle()
    assert work.document.variant.front == LEG.variants[0].front
    assert work.piece.views["A"].built.report.volume.volume_mm3 > trimmed + 1000.0


def test_the_bench_and_the_numbers_are_those_of_the_trim_in_hand(flats):
    work = flats
    assert work.window.bench.trims.isVisible()
    work.faces.sheet.select(Selection.of("front", (1,), trim=0))
    numbers = work.window.node_numbers
    assert (numbers.across.value, numbers.up.value) == (22.0, 140.0)
    work.type_in(numbers.up, "150")
    assert work.document.variant.front.trims[0].nodes[1].at == (22.0, 150.0)
    work.type_in(work.window.bench.trims.kerf, "1.5")
    assert work.document.variant.front.trims[0].kerf == 1.5
    assert work.document.variant.front.nodes == LEG.variants[0].front.nodes
    assert work.steps == 2
    work.undo()
    work.undo()
    assert work.document.variant == TRIMMED.variants[0]


def test_a_finding_of_a_trim_in_the_list_leads_to_it(flats):
    work = flats
    crossing = replace(ANKLE, nodes=(ANKLE.nodes[0], Node((-5.0, 140.0)), ANKLE.nodes[2]))
    work.document.edit("Cross", replace(work.document.variant, front=Cut(trims=(crossing,))))
    work.settle()
    work.faces.set_view("faces")
    found = next(f for f in work.faces.sheet.findings if f.code == "trim-crosses-axis")
    work.window.findings.finding_chosen.emit(found)
    assert (work.faces.view, work.faces.selected_trim) == ("flats", 0)
