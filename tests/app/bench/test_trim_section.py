"""Blade and kerf of each trim."""

import msgspec

from geometry.project import Blade, Node, Trim
from tests.app.bench.hands import PLAIN, choose, only_edit, type_in

replace = msgspec.structs.replace

TRIM = Trim((Node((40.0, 60.0)), Node((20.0, 140.0)), Node((40.0, 240.0))))
TRIMMED = replace(
    PLAIN, front=replace(PLAIN.front, trims=(TRIM, replace(TRIM, kerf=1.2))), side=replace(PLAIN.side, trims=(TRIM,))
)


def test_it_is_there_only_with_trims(bench):
    assert not bench.trims.isVisible()
    bench.show_variant(TRIMMED, "mm")
    assert bench.trims.isVisible()
    words = [bench.trims.which.itemText(k) for k in range(bench.trims.which.count())]
    assert words == ["Trim 1, from the front", "Trim 2, from the front", "Trim 1, from the right"]
    bench.show_variant(PLAIN, "mm")
    assert not bench.trims.isVisible()


def test_the_kerf_of_the_chosen_trim_changes_alone(qtbot, bench):
    bench.show_variant(TRIMMED, "mm")
    choose(qtbot, bench.trims.which, "Trim 2, from the front")
    assert bench.trims.kerf.value == 1.2
    type_in(qtbot, bench.trims.kerf, "1.5")
    step, variant = only_edit(bench)
    assert step == "Set kerf of the trim"
    assert [t.kerf for t in variant.front.trims] == [0.9, 1.5]
    assert variant.side == TRIMMED.side


def test_the_blade_of_the_trim_in_hand_elsewhere(qtbot, bench):
    bench.show_variant(TRIMMED, "mm")
    bench.choose_trim("side", 0)
    choose(qtbot, bench.trims.blade.list, "6.35 mm")
    assert only_edit(bench)[1].side.trims[0].blade == Blade(6.35)
    # a line in hand leaves the trim that is shown
    bench.choose_trim("front", None)
    assert bench.trims.which.currentText() == "Trim 1, from the right"


def test_a_trim_that_is_taken_out_gives_way_to_another(bench):
    bench.show_variant(TRIMMED, "mm")
    bench.choose_trim("front", 1)
    bench.show_variant(replace(TRIMMED, front=replace(TRIMMED.front, trims=(TRIM,))), "mm")
    assert (bench.trims.which.currentText(), bench.trims.kerf.value) == ("Trim 1, from the front", 0.9)
