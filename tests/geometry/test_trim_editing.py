"""Trims begun, mirrored and copied: each can be sawn where the lines are gentle."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.piece import build
from geometry.project import Blank, Cut, Node, Trim, Variant
from geometry.tolerances import LIVE_CHORD_MM
from geometry.trim_editing import (
    as_cut,
    as_trim,
    copied_trim,
    edge_at,
    is_outside,
    mirrored_trim,
    new_trim,
    passes_through,
    with_trim,
    with_trim_added,
)
from geometry.trims import saw_trims

BLANK = Blank(60.0, 80.0, 420.0)


def design(swing: float) -> Variant:
    line = Cut(nodes=(Node((0.0, 0.0)), Node((swing, 140.0)), Node((-swing, 280.0)), Node((0.0, 420.0))))
    return Variant("A", BLANK, front=line, side=line)


@given(st.floats(-12.0, 12.0), st.sampled_from([1, -1]))
def test_a_new_trim_its_mirror_image_and_its_copy_can_be_sawn(swing, side):
    variant = design(swing)
    wood = build(variant, LIVE_CHORD_MM).front.untrimmed
    trim = new_trim(wood, BLANK.length, side, variant.front)
    (sawn,) = saw_trims((trim,), wood, LIVE_CHORD_MM)
    assert (sawn.fault, sawn.side, sawn.offcut.area > 100.0) == (None, side, True)
    assert (trim.kerf, trim.blade) == (variant.front.kerf, variant.front.blade)
    (other,) = saw_trims((mirrored_trim(trim, wood),), wood, LIVE_CHORD_MM)
    assert (other.fault, other.side) == (None, -side)
    trimmed = Variant("A", BLANK, front=with_trim_added(variant.front, trim), side=variant.side)
    side_wood = build(variant, LIVE_CHORD_MM).side.untrimmed
    (copied,) = saw_trims((copied_trim(trimmed, "front", 0, wood, side_wood),), side_wood, LIVE_CHORD_MM)
    assert (copied.fault, copied.side) == (None, side)


def test_new_trims_keep_clear_of_those_that_are_there():
    variant = design(0.0)
    wood = build(variant, LIVE_CHORD_MM).front.untrimmed
    cut = variant.front
    for _ in range(2):
        cut = with_trim_added(cut, new_trim(wood, BLANK.length, 1, cut))
    first, second = (sorted(n.at[1] for n in t.nodes) for t in cut.trims)
    assert first[-1] <= second[0] or second[-1] <= first[0]
    # the other side is free
    assert [n.at[1] for n in new_trim(wood, BLANK.length, -1, cut).nodes] == [n.at[1] for n in cut.trims[0].nodes]


def test_the_edge_of_a_straight_piece_is_half_its_width_less_half_the_kerf():
    wood = build(Variant("A", BLANK), LIVE_CHORD_MM).front.untrimmed
    for z in (-5.0, 0.0, 200.0, 420.0, 430.0):
        assert edge_at(wood, z, 1) == edge_at(wood, z, -1) == pytest.approx(29.55)
    assert is_outside(wood, (30.0, 200.0)) and not is_outside(wood, (29.0, 200.0))
    assert passes_through(wood, [(40.0, 100.0), (20.0, 150.0), (40.0, 200.0)])
    assert not passes_through(wood, [(40.0, 100.0), (35.0, 150.0), (40.0, 200.0)])


def test_a_mirrored_trim_takes_as_much_off_where_the_profile_swings():
    variant = design(12.0)
    wood = build(variant, LIVE_CHORD_MM).front.untrimmed
    trim = Trim((Node((24.0, 280.0)), Node((12.0, 240.0)), Node((40.0, 190.0))))
    mirrored = mirrored_trim(trim, wood)
    for (u, z), (v, there) in zip((n.at for n in trim.nodes), (n.at for n in mirrored.nodes), strict=True):
        assert there == z
        assert edge_at(wood, z, -1) + v == pytest.approx(edge_at(wood, z, 1) - u)


def test_a_mirrored_trim_keeps_clear_of_the_seam():
    wood = build(Variant("A", BLANK, front=Cut(nodes=(Node((20.0, 0.0)), Node((20.0, 420.0))))), LIVE_CHORD_MM)
    trim = Trim((Node((60.0, 100.0)), Node((10.0, 150.0)), Node((60.0, 200.0))))
    # 49.55 of wood on the right, 9.55 on the left
    assert mirrored_trim(trim, wood.front.untrimmed).nodes[1].at[0] == pytest.approx(-0.15 * 9.55)


def test_a_trim_goes_through_the_hands_of_the_line_editor_unchanged():
    trim = Trim((Node((40.0, 100.0)), Node((20.0, 150.0)), Node((40.0, 200.0))), 1.1)
    assert as_trim(as_cut(trim)) == trim
    assert as_trim(Cut()) is None
    cut = Cut(trims=(trim,))
    assert with_trim(cut, 0, None) == Cut()
    assert with_trim(with_trim_added(cut, trim), 1, None) == cut
