"""Two lines are drawn and the piece is seen: with the mouse on the faces of the whole window."""

import numpy as np
import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, Qt

from geometry.project import Node, Project, Variant
from tests.app.faces.hands import hover
from tests.app.piece_view.looking import changed
from tests.app.window.working import LEG, STRAIGHT


def test_a_curve_on_each_face_and_the_piece_follows(work):
    work.document.replace(STRAIGHT)
    work.settle()
    before = work.seen()
    work.drag(work.at("front", 0.0, 210.0), work.at("front", 15.0, 200.0))
    work.settle()
    between = work.seen()
    work.drag(work.at("side", 0.0, 210.0), work.at("side", -15.0, 220.0))
    work.settle()
    after = work.seen()

    assert changed(before, between) > 2_000
    assert changed(between, after) > 2_000
    design = work.document.variant
    assert design.front.nodes[0].at[1] == 0.0
    assert max(node.at[0] for node in design.front.nodes) == pytest.approx(15.0, abs=1.0)
    assert min(node.at[0] for node in design.side.nodes) == pytest.approx(-15.0, abs=1.0)
    # what is shown and measured is this very design
    assert work.piece.views["A"].built.variant == design
    assert work.window.pieces.report_on(design).is_watertight


def test_a_click_beyond_a_short_line_makes_it_longer(work):
    nodes = tuple(node for node in LEG.variants[0].front.nodes if node.at[1] < 300.0)
    work.document.replace(with_front(LEG, nodes))
    work.click(work.at("front", -4.0, 400.0))
    assert len(work.document.variant.front.nodes) == len(nodes) + 1
    assert work.document.variant.front.nodes[-1].at == pytest.approx((-4.0, 400.0), abs=1.0)


def test_a_drag_is_one_step_with_a_name(work):
    first = work.document.state
    work.drag(work.node("front", 1), work.node("front", 1) + QPoint(30, -20))
    last = work.document.state
    assert work.steps == 1
    assert last != first
    assert work.window.menus.undo.text() == "&Undo move node"
    work.undo()
    assert work.document.state == first
    assert work.faces.variant == first.variant
    assert not work.window.menus.undo.isEnabled()
    assert not work.window.isWindowModified()
    work.redo()
    assert work.document.state == last


def test_undone_to_the_start_and_redone_to_the_end_it_is_all_the_same(work):
    states, pictures = [work.document.state], {0: work.looked_at()}
    steps = (
        lambda: work.drag(work.node("front", 1), work.node("front", 1) + QPoint(25, 10)),
        lambda: work.drag(work.node("side", 2), work.node("side", 2) + QPoint(-20, -15)),
        lambda: work.press(Qt.Key.Key_M),
        lambda: work.type_in(work.window.bench.width_field, "72"),
        lambda: work.press(Qt.Key.Key_K, widget=work.sheet()),
    )
    for step in steps:
        step()
        states.append(work.document.state)
    pictures[len(steps)] = work.looked_at()
    work.faces.sheet.setFocus()
    assert work.steps == len(steps)
    assert len(set(map(repr, states))) == len(states)

    for expected in states[-2::-1]:
        work.undo()
        assert work.document.state == expected
    assert np.array_equal(work.looked_at(), pictures[0])
    for expected in states[1:]:
        work.redo()
        assert work.document.state == expected
    assert np.array_equal(work.looked_at(), pictures[len(steps)])


def test_escape_in_a_drag_puts_everything_back(work):
    first = work.document.state
    work.drag(work.node("front", 1), work.node("front", 1) + QPoint(40, 0), release=False)
    assert work.document.state != first
    work.press(Qt.Key.Key_Escape)
    work.let_go(work.node("front", 1))
    assert work.document.state == first
    assert work.steps == 0
    work.settle()
    assert work.piece.views["A"].built.variant == first.variant


def test_the_piece_follows_while_the_hand_still_drags(work, qtbot):
    start = work.node("front", 1)
    work.drag(start, start + QPoint(30, 0), release=False)
    dragged = work.document.variant
    work.until(lambda: work.piece.views["A"].built.variant == dragged)
    assert work.document.in_gesture
    work.let_go(start + QPoint(30, 0))
    assert work.steps == 1


def test_an_impossible_line_leaves_the_last_piece_in_grey_with_the_reason(work):
    good, numbers = work.piece.views["A"].built, work.window.numbers.texts()
    wood = work.looked_at()
    home = work.node("front", 1)
    work.drag(home, work.at("front", 45.0, 140.0), release=False)
    impossible = work.document.variant
    work.until(lambda: work.window.pieces.are_up_to_date)

    view = work.piece.views["A"]
    assert view.built.variant != impossible
    assert "leaves the face" in view.accessibleDescription() or "edge" in view.accessibleDescription()
    assert work.window.findings.findings[0].severity == "stop"
    assert work.window.findings.findings[0].message in view.accessibleDescription()
    assert work.window.numbers.is_stale
    grey = work.seen().astype(int)
    middle = grey[grey.shape[0] // 3 : grey.shape[0] // 2, grey.shape[1] // 2 - 20 : grey.shape[1] // 2 + 20]
    colour = (middle.max(axis=2) - middle.min(axis=2)).mean()
    there = wood[grey.shape[0] // 3 : grey.shape[0] // 2, grey.shape[1] // 2 - 20 : grey.shape[1] // 2 + 20]
    assert colour < 0.6 * (there.max(axis=2) - there.min(axis=2)).mean()

    work.move(home)
    work.let_go(home)
    work.point_at_nothing()
    work.settle()
    assert work.document.variant == good.variant
    assert "Greyed" not in view.accessibleDescription()
    assert not work.window.numbers.is_stale
    assert work.window.numbers.texts() == numbers
    assert np.array_equal(work.looked_at(), wood)


def test_a_design_that_never_could_be_sawn_shows_no_piece_of_another(work):
    work.document.replace(with_front(LEG, bent(LEG.variants[0].front.nodes)))
    work.until(lambda: work.window.pieces.are_up_to_date)
    assert work.piece.views["A"].built is None
    assert work.window.numbers.texts() == ()
    assert work.window.findings.findings[0].severity == "stop"


def test_a_finding_leads_to_its_place(work):
    work.document.replace(with_front(LEG, bent(LEG.variants[0].front.nodes, 26.0)))
    work.settle()
    finding = next(f for f in work.window.findings.findings if f.cut == "front" and f.at is not None)
    row = work.window.findings.findings.index(finding)
    view = work.window.findings.view
    place = view.visualRect(view.model().index(row, 0)).center()
    work.qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert work.faces.sheet.chosen_finding == finding
    assert work.faces.level == pytest.approx(finding.at[1])
    assert work.piece_level() == pytest.approx(finding.at[1])


def test_the_height_pointed_at_is_one_on_faces_and_piece(work):
    plain = work.seen()
    hover(work.faces, work.at("side", 10.0, 300.0))
    assert work.piece_level() == pytest.approx(300.0, abs=1.0)
    lined = work.seen()
    assert changed(plain, lined) > 30

    view = work.piece.views["A"]
    for place in (QPoint(view.width() // 2, view.height() // 2), QPoint(view.width() // 2, view.height() // 2 - 60)):
        work.qtbot.mouseMove(view, place + QPoint(1, 1))
        work.qtbot.mouseMove(view, place)
        before = work.faces.level
        work.until(lambda before=before: work.faces.level != before)
        assert work.faces.level == work.piece_level()
    assert work.faces.level > 210.0
    work.qtbot.mouseMove(view, QPoint(3, 3))
    work.until(lambda: work.faces.level is None)
    assert work.piece_level() is None


def with_front(project: Project, nodes) -> Project:
    first: Variant = project.variants[0]
    return project.with_variant(replace(first, front=replace(first.front, nodes=tuple(nodes))))


def bent(nodes, u=45.0):
    """The line with its second node so far out that it leaves the face."""
    return (nodes[0], Node((u, nodes[1].at[1])), *nodes[2:])
