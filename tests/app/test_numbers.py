"""The numbers row and the table of two pieces, on real pieces."""

import math

import msgspec
import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QApplication, QTextEdit, QVBoxLayout, QWidget

from app.compare_table import CompareTable
from app.numbers_row import NumbersRow
from app.piece_numbers import KG_PER_POUND, comparisons, figures, mass, volume
from geometry.piece import build
from geometry.project import Blade, Blank, Cut, Node, Variant
from geometry.report import report_on


def bent(reach, name="A"):
    nodes = (Node((0.0, 0.0), "corner"), Node((reach, 140.0)), Node((-reach, 280.0)), Node((0.0, 420.0), "corner"))
    return Variant(name, Blank(60.0, 60.0, 420.0), front=Cut(kerf=0.0, nodes=nodes), side=Cut(kerf=0.0))


GENTLE, STEEP = report_on(build(bent(8.0))), report_on(build(bent(25.0, "B")))


def test_the_figures_are_the_reports():
    shown = {f.label: f.long for f in figures(GENTLE, "mm")}
    # with no kerf the piece has the volume of the blank: 60 × 60 × 420 mm³
    assert shown["Volume"] == "1.512 l"
    # walnut at 12 %: 1.12 · 550 kg/m³ · 1.512 l
    assert shown["Mass"] == "0.93 kg"
    assert shown["Side line"] == "straight, any blade"
    radius = f"{GENTLE.cuts['front'].bend.radius_mm:.1f}".rstrip("0").rstrip(".")
    assert f"radius {radius} mm at " in shown["Front line"]
    assert 'blade 25.4 mm (1")' in shown["Front line"]
    x, y, z = (GENTLE.bounds_mm[1] - GENTLE.bounds_mm[0]).tolist()
    assert (y, z) == pytest.approx((60.0, 420.0))
    assert shown["Size"].endswith(" × 60 × 420 mm")
    assert float(shown["Size"].split(" ")[0]) == pytest.approx(x, abs=0.05)


def test_inches_bring_pounds_and_cubic_inches():
    assert mass(KG_PER_POUND, "in") == "1.00 lb"
    assert volume(25.4**3, "in") == "1.0 cu in"
    assert {f.label: f.long for f in figures(GENTLE, "in")}["Side line"] == "straight, any blade"


@pytest.fixture
def row(qtbot):
    """A row below something that takes the rest of the room, as in the window."""
    window = QWidget()
    qtbot.addWidget(window)
    column = QVBoxLayout(window)
    column.setContentsMargins(0, 0, 0, 0)
    row = NumbersRow()
    column.addWidget(QTextEdit(), 1)
    column.addWidget(row)
    row.show_report(STEEP, "mm")
    window.resize(1366, 400)
    window.show()
    yield row  # the window lives until then


def test_everything_is_said_on_one_line_at_a_laptops_width(row):
    assert row.texts() == tuple(f.long for f in figures(STEEP, "mm"))
    assert row.height() < 2 * row.fontMetrics().height()


def test_narrow_it_says_less_and_then_takes_a_second_line_but_drops_no_number(qtbot, row):
    said = []
    for width in (1366, 1000, 900, 700, 480):
        row.window().resize(width, 400)
        qtbot.waitUntil(lambda w=width: row.width() == w)
        said.append(len("".join(row.texts())))
        assert len(row.texts()) == 5
        assert row.height() >= row.heightForWidth(width)
    assert said[0] > said[1]
    assert row.height() > 2 * row.fontMetrics().height()
    assert all(f.long in row.toolTip() for f in figures(STEEP, "mm"))


def test_stale_numbers_say_so_and_look_so(row):
    fresh = row.grab().toImage()
    row.set_stale(True)
    assert row.toolTip().startswith("Of the last piece that could be built")
    assert row.grab().toImage() != fresh
    row.show_report(STEEP, "mm")
    assert not row.is_stale
    assert row.grab().toImage() == fresh


def test_no_piece_no_numbers(row):
    row.show_report(None, "mm")
    assert row.texts() == ()
    assert row.toolTip() == ""


# ---------------------------------------------------------------- two pieces


@pytest.fixture
def table(qtbot):
    table = CompareTable()
    qtbot.addWidget(table)
    table.show_reports(GENTLE, STEEP, "mm")
    table.resize(1000, table.sizeHint().height())
    table.show()
    return table


def cells(table):
    return {
        table.verticalHeaderItem(r).text(): tuple(table.item(r, c).text() for c in range(3))
        for r in range(table.rowCount())
    }


def test_three_columns_with_the_variants_names(table):
    assert [table.horizontalHeaderItem(c).text() for c in range(3)] == ["A", "B", "Difference"]
    assert list(cells(table)) == [
        "Size", "Volume", "Mass", "Thinnest section", "Front line", "Side line", "Findings",
    ]  # fmt: skip


def test_the_difference_is_b_less_a(table):
    shown = cells(table)
    apart = STEEP.cuts["front"].bend.radius_mm - GENTLE.cuts["front"].bend.radius_mm
    assert apart < 0
    assert shown["Front line"][2].startswith("radius −")
    assert float(shown["Front line"][2].split("−")[1].removesuffix(" mm")) == pytest.approx(-apart, abs=0.05)
    assert shown["Side line"][2] == "same"
    width = math.copysign(1, STEEP.bounds_mm[1][0] - GENTLE.bounds_mm[1][0])
    assert (width > 0) == shown["Size"][2].startswith("+")
    assert shown["Findings"][1].startswith("Caution: ")
    assert "caution" in shown["Findings"][2]


def test_a_piece_beside_itself_differs_in_nothing():
    for units in ("mm", "in"):
        assert {c.difference for c in comparisons(GENTLE, GENTLE, units)} == {"same"}


def test_turned_about_the_signs_turn(table):
    def turned(text):
        return text.translate(str.maketrans({"+": "−", "−": "+"}))

    for units in ("mm", "in"):
        forth, back = comparisons(GENTLE, STEEP, units), comparisons(STEEP, GENTLE, units)
        assert [turned(c.difference) for c in forth] == [c.difference for c in back]


def test_a_piece_still_being_built_leaves_its_column_open(table):
    table.show_reports(GENTLE, None, "mm")
    assert cells(table)["Size"][1:] == ("building …", "")
    assert {row[2] for row in cells(table).values()} == {""}


def test_straight_and_bent(table):
    straight = report_on(build(msgspec.structs.replace(bent(8.0), front=Cut(kerf=0.0, blade=Blade(6.35)))))
    front = comparisons(straight, GENTLE, "mm")[4]
    assert (front.a, front.difference) == ("straight, any blade", "A is straight")


def test_all_rows_are_seen(table):
    last = table.visualItemRect(table.item(table.rowCount() - 1, 0))
    assert table.viewport().rect().contains(last)


def test_stale_columns_are_marked_and_the_difference_with_them(table):
    table.set_stale(False, True)
    assert [table.item(0, c).font().italic() for c in range(3)] == [False, True, True]
    table.show_reports(GENTLE, STEEP, "mm")
    assert not table.item(0, 1).font().italic()


def test_marked_cells_are_copied_as_text(qtbot, table):
    table.activateWindow()
    table.setFocus()
    table.selectAll()
    qtbot.keySequence(table, QKeySequence(QKeySequence.StandardKey.Copy))
    lines = QApplication.clipboard().text().splitlines()
    assert lines[1].split("\t") == ["Volume", *cells(table)["Volume"]]
    assert len(lines) == 7


def test_tab_leaves_the_table(qtbot, table):
    table.setFocus()
    table.setCurrentCell(0, 0)
    qtbot.keyClick(table, Qt.Key.Key_Tab)
    assert table.currentColumn() == 0
