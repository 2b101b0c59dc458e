"""The list of findings: worst first, whole sentences, each leading to its place by mouse and by key."""

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QAccessible

from app.findings_list import NOTHING_IN_THE_WAY, FindingsList, count_words
from app.look import DARK, LIGHT, contrast, palette_of
from app.severity import severity_colour
from geometry.findings import SEVERITIES
from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Node, Variant
from geometry.report import report_on


def findings_with(reach):
    """Findings of a real piece whose front line swings out by a reach in millimetres."""
    nodes = (Node((0.0, 0.0), "corner"), Node((reach, 140.0)), Node((-reach, 240.0)), Node((0.0, 420.0), "corner"))
    return report_on(build(Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(blade=Blade(12.7), nodes=nodes)))).findings


BAD = findings_with(25.0)


@pytest.fixture
def shown(qtbot):
    widget = FindingsList()
    qtbot.addWidget(widget)
    widget.resize(280, 500)
    widget.show()
    return widget


def row_rect(shown, row):
    return shown.view.visualRect(shown.view.model().index(row, 0))


def test_the_sample_says_enough_to_test_with():
    assert len({f.severity for f in BAD}) >= 2
    assert len(BAD) >= 3


def test_rows_are_worst_first_with_word_message_and_remedy(shown):
    shown.show_findings(BAD[::-1])
    model = shown.view.model()
    texts = [model.index(i, 0).data(Qt.ItemDataRole.DisplayRole) for i in range(model.rowCount())]
    order = [SEVERITIES.index(f.severity) for f in shown.findings]
    assert order == sorted(order)
    assert set(texts) == {f"{f.severity.capitalize()}: {f.message} {f.remedy}" for f in BAD}
    assert shown.counts.text() == count_words(BAD)
    assert not any(f.code in text for f in BAD for text in texts)


def test_a_click_leads_to_the_place_once(qtbot, shown):
    shown.show_findings(BAD)
    chosen = []
    shown.finding_chosen.connect(chosen.append)
    qtbot.mouseClick(
        shown.view.viewport(), Qt.MouseButton.LeftButton, pos=row_rect(shown, 1).topLeft() + QPoint(40, 20)
    )
    assert chosen == [shown.findings[1]]


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space])
def test_keys_walk_the_list_and_lead_to_the_place(qtbot, shown, key):
    shown.show_findings(BAD)
    shown.activateWindow()
    shown.view.setFocus()
    chosen = []
    shown.finding_chosen.connect(chosen.append)
    qtbot.keyClick(shown.view, Qt.Key.Key_Home)
    qtbot.keyClick(shown.view, Qt.Key.Key_Down)
    qtbot.keyClick(shown.view, key)
    assert chosen == [shown.findings[1]]


def test_the_current_finding_stays_current_while_its_numbers_change(qtbot, shown):
    before, after = findings_with(24.0), findings_with(25.0)
    wanted = next(i for i, f in enumerate(before) if f.severity == "caution" and f.cut == "front")
    shown.show_findings(before)
    shown.view.setCurrentIndex(shown.view.model().index(wanted, 0))
    shown.show_findings(after)
    current = shown.findings[shown.view.currentIndex().row()]
    assert (current.code, current.cut) == (before[wanted].code, before[wanted].cut)
    assert current != before[wanted]


def test_nothing_in_the_way(shown):
    shown.show_findings(BAD)
    shown.show_findings(())
    assert shown.message.isVisible()
    assert shown.message.text() == NOTHING_IN_THE_WAY
    assert shown.counts.text() == ""


def test_a_quick_build_says_nothing_and_a_slow_one_does(qtbot, shown):
    shown.show_findings(BAD)
    shown.show_building()
    assert shown.counts.text() == count_words(BAD)
    qtbot.waitUntil(lambda: shown.counts.text() == "building …")
    assert shown.view.isVisible()  # what was found before can still be read
    shown.show_findings(BAD)
    assert shown.counts.text() == count_words(BAD)


def test_before_anything_was_built_it_says_so(shown):
    assert shown.message.isVisible()
    assert "piece" in shown.message.text()


@pytest.mark.parametrize("width", [240, 280, 360])
def test_rows_are_as_high_as_their_text_needs(qtbot, shown, width):
    shown.resize(width, 800)
    shown.show_findings(BAD)
    qtbot.waitUntil(lambda: row_rect(shown, 0).width() == shown.view.viewport().width())
    metrics = shown.fontMetrics()
    room = shown.view.viewport().width() - 44
    for row, finding in enumerate(shown.findings):
        needed = sum(
            metrics.boundingRect(QRect(0, 0, room, 10_000), Qt.TextFlag.TextWordWrap, text).height()
            for text in ("Stop", finding.message, finding.remedy)
        )
        assert row_rect(shown, row).height() >= needed
        if row:
            assert row_rect(shown, row).top() > row_rect(shown, row - 1).bottom()


def test_a_screen_reader_hears_whole_rows(shown):
    shown.show_findings(BAD)
    view = QAccessible.queryAccessibleInterface(shown.view)
    assert view.text(QAccessible.Text.Name) == "Findings, worst first"
    names = [view.child(i).text(QAccessible.Text.Name) for i in range(view.childCount())]
    assert any(name.startswith("Stop: ") and BAD[0].remedy in name for name in names)


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("severity", SEVERITIES)
def test_severities_can_be_read_on_either_ground(look, severity):
    colour = severity_colour(severity, palette_of(look))
    assert contrast(colour, look.window) >= 4.5
    assert contrast(colour, look.paper) >= 4.5
