"""What is said about a pattern: that it steps, that it stops, that it is too fine; and when nothing is."""

import math

import pytest

from geometry.busyness import busyness, smallest_cell_mm
from geometry.findings import findings_of
from geometry.findings.pattern import expected_step_mm
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import layup_grid
from geometry.layup_words import wood_in_words
from geometry.lineup import line_up
from geometry.lineup_errors import LIKELY_ERRORS, flush_step_mm
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.report import report_object, report_on, report_text

BLANK = Blank(60.0, 60.0, 420.0)
TWO = ("walnut", "maple")
LINE = (Node((0.0, 0.0), "corner"), Node((12.0, 140.0)), Node((-11.0, 280.0)), Node((0.0, 420.0), "corner"))
PATTERN = ("pattern-does-not-meet", "pattern-too-fine")


def piece_of(layup, kerf=0.9, line=LINE):
    return build(Variant("A", BLANK, layup, front=Cut(kerf, nodes=line), side=Cut(kerf, nodes=line)), 0.05)


def told(layup, kerf=0.9, line=LINE, units="mm"):
    return [f for f in findings_of(piece_of(layup, kerf, line), units) if f.code in PATTERN]


@pytest.mark.parametrize("across", ["x", "y"])
def test_a_chevron_off_the_centre_is_told_with_its_cure(across):
    off = 3.0
    (finding,) = told(Chevron(across, 40.0, 40.0, TWO, off))
    assert (finding.code, finding.severity) == ("pattern-does-not-meet", "caution")
    assert finding.cut == ("front" if across == "y" else "side")
    assert finding.at is not None
    assert 0.0 < finding.at[1] < 420.0
    assert "5 mm" in finding.message  # 2 · 3 · tan 40° = 5.03
    assert "peak at the centre" in finding.remedy
    assert "3 mm off" in finding.remedy
    step = 2.0 * off * math.tan(math.radians(40.0))
    assert step == pytest.approx(5.03, abs=0.01)
    # two tenths off steps by a third of a millimetre, which is not seen
    assert told(Chevron(across, 40.0, 40.0, TWO, 0.2)) == []
    assert told(Chevron(across, 40.0, 40.0, TWO)) == []


def test_borders_that_stop_are_told():
    stopping = Checker((20.0,) * 3, (30.0, 30.0), ("walnut", "maple", "walnut"))
    front, side = told(stopping)
    assert (front.code, front.cut, side.cut) == ("pattern-does-not-meet", "front", "side")
    assert "2 borders of the pattern stop" in front.message
    assert "odd count of blocks across the depth" in front.remedy
    assert "two species that take turns" in side.remedy
    assert told(Checker((20.0,) * 3, (20.0,) * 3, TWO)) == []


def test_a_pattern_that_the_saw_eats_is_told():
    fine = Stripes("x", tuple((4.0, TWO[i % 2]) for i in range(15)))
    (finding,) = told(fine)
    assert (finding.code, finding.severity, finding.cut) == ("pattern-too-fine", "advice", None)
    assert "4 mm" in finding.message
    finest = Stripes("x", tuple((1.0, TWO[i % 2]) for i in range(60)))
    assert [f.severity for f in told(finest)] == ["caution"]
    wide = Stripes("x", tuple((12.0, TWO[i % 2]) for i in range(5)))
    assert told(wide) == []
    # the limit is where a tenth of the strip is the step to be expected
    step = expected_step_mm(piece_of(wide))
    for width, count in ((9.9 * step, 1), (10.1 * step, 0)):
        strips = Stripes("x", ((width, "walnut"), (60.0 - 2.0 * width, "maple"), (width, "walnut")))
        assert len(told(strips)) == count
    # with a kerf of nothing only tilt and tape are left
    assert expected_step_mm(piece_of(wide, kerf=0.0)) == pytest.approx(
        math.hypot(LIKELY_ERRORS.slip_mm, max_flush()), rel=1e-9
    )


def max_flush():
    piece = piece_of(Plain(), kerf=0.0)
    return max(flush_step_mm(piece, cut, LIKELY_ERRORS) for cut in ("front", "side"))


def test_plain_wood_has_no_pattern():
    assert told(Plain()) == []
    assert told(Stripes("x", ((60.0, "ash"),))) == []
    assert told(Stripes("x", ((3.0, "ash"), (57.0, "ash")))) == []


def test_the_smallest_cell():
    def cell(layup):
        return smallest_cell_mm(layup_grid(layup, BLANK), BLANK)

    assert cell(Plain()) is None
    assert cell(Stripes("x", ((60.0, "ash"),))) is None
    assert cell(Stripes("x", ((10.0, "ash"), (20.0, "ash"), (30.0, "teak")))) == pytest.approx(30.0)
    assert cell(Stripes("y", ((10.0, "ash"), (20.0, "teak"), (30.0, "ash")))) == pytest.approx(10.0)
    assert cell(Checker((20.0,) * 3, (30.0, 30.0), TWO, (7.0, 413.0))) == pytest.approx(7.0)
    assert cell(Checker((20.0,) * 3, (30.0, 30.0), TWO)) == pytest.approx(20.0)
    assert cell(Chevron("x", 60.0, 20.0, TWO)) == pytest.approx(10.0)
    assert cell(Chevron("x", 0.0, 20.0, TWO)) == pytest.approx(20.0)


def test_busyness_of_bands_of_known_size():
    # a straight slant from edge to edge shows every strip once on the left and the right, 60 deep and 1/cos long
    slant = (Node((-29.0, 0.0), "corner"), Node((29.0, 420.0), "corner"))
    straight = ()
    layup = Stripes("x", tuple((12.0, TWO[i % 2]) for i in range(5)))
    piece = build(Variant("A", BLANK, layup, front=Cut(0.0, nodes=slant), side=Cut(0.0, nodes=straight)), 0.05)
    seams = line_up(piece)
    length = math.hypot(58.0, 420.0)
    busy = busyness(piece, seams)
    # four borders on both sides of two seams, none on the other two
    assert busy.changes_per_100_mm == pytest.approx(100.0 * 16 / (4 * length + 4 * 420.0))
    band = 12.0 / 58.0 * length * 60.0
    # on the front and back the strips run up the straight side line: slanting slivers between them are cut off by ends
    assert 0.0 < busy.smallest_patch_mm2 <= band * 1.02
    layers = Checker((60.0,), (60.0,), TWO, (60.0,) * 7)
    piece = build(Variant("A", BLANK, layers, front=Cut(0.0), side=Cut(0.0)), 0.05)
    busy = busyness(piece, line_up(piece))
    assert busy.smallest_patch_mm2 == pytest.approx(60.0 * 60.0, rel=0.05)
    assert busy.changes_per_100_mm == pytest.approx(600.0 / 420.0)


def test_the_report_says_it_all_in_numbers_and_words():
    piece = piece_of(Chevron("y", 40.0, 40.0, TWO, 3.0))
    report = report_on(piece)
    out = report_object(report)
    assert [list(s) for s in out["seams"]] == [
        ["face", "same_species", "crossings", "meeting", "largest_step_mm", "flush_step_mm"]
    ] * 4
    assert [s["face"] for s in out["seams"]] == ["+x", "-x", "+y", "-y"]
    assert out["seams"][0]["largest_step_mm"] == pytest.approx(6.0 * math.tan(math.radians(40.0)))
    assert out["seams"][2]["meeting"] == out["seams"][2]["crossings"] > 0
    assert sum(out["species_volumes_mm3"].values()) == pytest.approx(out["volume_mm3"])
    assert out["mass_kg"] == pytest.approx(
        (out["species_volumes_mm3"]["walnut"] * 616.0 + out["species_volumes_mm3"]["maple"] * 705.6) * 1e-9
    )
    text = report_text(report)
    assert "a chevron at 40° across its depth, every 40 mm, in walnut and maple" in text
    assert "largest step 5 mm" in text
    assert "changes of wood per 100 mm" in text
    too_fine = report_object(report_on(piece_of(Chevron("x", 89.9, 0.1, TWO))))
    assert [s["same_species"] for s in too_fine["seams"][:2]] == [None, None]
    assert [s["crossings"] for s in too_fine["seams"][:2]] == [None, None]
    plain = report_object(report_on(piece_of(Plain())))
    assert "busyness" not in plain
    assert [s["same_species"] for s in plain["seams"]] == [1.0] * 4


@pytest.mark.parametrize(
    ("layup", "words"),
    [
        (Plain("soft-maple"), "soft maple (red)"),
        (Stripes("y", ((10.0, "ash"), (50.0, "teak"))), "2 strips across its depth: ash, teak"),
        (Stripes("x", ((60.0, "ash"),)), "one strip across its width: ash"),
        (
            Stripes("x", tuple((10.0, TWO[i % 2]) for i in range(6))),
            "6 strips across its width, in walnut and maple",
        ),
        (Checker((30.0,) * 2, (20.0,) * 3, TWO), "2 × 3 × 1 blocks in walnut and maple"),
        (Checker((60.0,), (60.0,), ("ash", "teak", "fir"), (140.0,) * 3), "3 level layers in ash, teak and fir"),
        (Checker((60.0,), (60.0,), ("red-oak",)), "one level layer in red oak"),
        (Chevron("x", 30.0, 25.0, ("ash",)), "a chevron at 30° across its width, every 25 mm, in ash"),
    ],
)
def test_a_lay_up_in_words(layup, words):
    assert wood_in_words(layup) == words
