"""Where the faces lie: to pixels and back, true and stretched, upright and lying."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPointF, QRectF, Qt

from app.faces.arrangement import arrange, stated_factor
from app.faces.rulers import strokes
from app.faces.words import FACE, LINE
from app.look import DARK, LIGHT, contrast, look_of, palette_of, pencil_on, wood_colour
from app.scene.wood_colours import WOOD_COLOURS
from geometry.project import CUT_NAMES, Blank
from geometry.units import MM_PER_INCH
from tests.app.faces.hands import SERPENTINE, picture

sizes = st.floats(20.0, 300.0)
ROOM = QRectF(40.0, 30.0, 340.0, 470.0)


@given(sizes, sizes, st.floats(100.0, 2000.0), st.booleans(), st.booleans(), st.floats(-1, 1), st.floats(0, 1))
def test_to_pixels_and_back(width, depth, length, fills, lying, across, up):
    placed = arrange(Blank(width, depth, length), ROOM, fills, lying)
    for cut, size in (("front", width), ("side", depth)):
        place = (across * size / 2.0, up * length)
        point = placed.face(cut).to_px(*place)
        assert placed.face(cut).to_mm(point) == pytest.approx(place, abs=1e-6)
        assert placed.face(cut).transform.map(QPointF(*place)) == point
        assert ROOM.adjusted(-1e-6, -1e-6, 1e-6, 1e-6).contains(point)


@given(sizes, sizes, st.floats(100.0, 2000.0), st.booleans(), st.booleans())
def test_the_faces_share_their_edge_and_do_not_overlap(width, depth, length, fills, lying):
    placed = arrange(Blank(width, depth, length), ROOM, fills, lying)
    half_front, half_side = width / 2.0, depth / 2.0
    for z in (0.0, length):
        a, b = placed.front.to_px(half_front, z), placed.side.to_px(-half_side, z)
        assert math.dist(a.toTuple(), b.toTuple()) < 1e-6
    assert placed.factor == pytest.approx(placed.front.across / placed.front.up)


@given(sizes, sizes, st.floats(100.0, 2000.0), st.booleans())
def test_true_is_true_and_filling_is_never_less_wide(width, depth, length, lying):
    true = arrange(Blank(width, depth, length), ROOM, False, lying)
    filled = arrange(Blank(width, depth, length), ROOM, True, lying)
    assert true.front.across == pytest.approx(true.front.up)
    assert true.factor == 1.0
    assert filled.factor >= 1.0
    assert filled.front.up == pytest.approx(true.front.up)


def test_a_slender_blank_is_drawn_wide_enough_to_draw_on():
    placed = arrange(Blank(60.0, 60.0, 600.0), ROOM)
    assert placed.factor == 3.5
    assert placed.both.width() > 0.9 * ROOM.width()
    assert placed.both.height() == pytest.approx(ROOM.height())


def test_lying_is_the_upright_sheet_turned_a_quarter_clockwise():
    placed = arrange(Blank(60.0, 40.0, 420.0), ROOM, lying=True)
    foot, top = placed.front.to_px(0.0, 0.0), placed.front.to_px(0.0, 420.0)
    assert top.x() > foot.x()
    assert top.y() == foot.y()
    assert placed.front.to_px(10.0, 0.0).y() > foot.y()
    assert placed.side_box.top() == pytest.approx(placed.front_box.bottom())


@pytest.mark.parametrize(
    ("most", "stated"), [(0.4, 1.0), (1.0, 1.0), (1.3, 1.25), (2.99, 2.75), (3.4, 3.0), (3.5, 3.5), (12.7, 12.0)]
)
def test_the_factor_is_one_that_is_easily_said(most, stated):
    assert stated_factor(most) == stated


@given(st.floats(0.05, 20.0), st.sampled_from(["mm", "in"]), st.floats(10.0, 3000.0))
def test_rulers_carry_numbers_apart_from_each_other(scale, units, length):
    found = strokes(0.0, length, scale, units, 40.0, closes=True)
    numbered = [s.at_mm for s in found if s.number]
    assert numbered[-1] == pytest.approx(length, abs=1e-9)
    assert all((b - a) * scale >= 40.0 - 1e-6 for a, b in zip(numbered, numbered[1:], strict=False))
    if units == "in" and len(numbered) > 2:
        assert (numbered[1] / MM_PER_INCH * 16) == pytest.approx(round(numbered[1] / MM_PER_INCH * 16))


# ---------------------------------------------------------------- switching, on the widget


def test_one_key_for_true_proportion_and_one_for_lying(qtbot, view):
    button = view.actions_by_key["true"]
    assert button.text() == f"Across × {view.sheet.arrangement.factor:g}"
    qtbot.keyClick(view.sheet, Qt.Key.Key_T)
    assert view.stretch == "true"
    assert view.sheet.arrangement.factor == 1.0
    assert button.text() == "True proportion"
    qtbot.keyClick(view.sheet, Qt.Key.Key_T)
    qtbot.keyClick(view.sheet, Qt.Key.Key_L)
    assert view.is_lying
    assert view.sheet.arrangement.is_lying
    assert view.stretch == "fill"
    view.set_lying(False)
    view.set_stretch("true")
    assert (view.is_lying, view.stretch) == (False, "true")


@pytest.mark.parametrize("size", [(300, 500), (400, 700), (560, 900)])
@pytest.mark.parametrize("lying", [False, True])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_faces_rulers_and_names_have_room_at_every_size(show, size, lying, units):
    view = show(SERPENTINE, units, size, lying)
    both = view.sheet.arrangement.both
    sheet = QRectF(view.sheet.rect())
    assert sheet.adjusted(20, 8, -8, -18).contains(both)
    assert both.height() >= 110
    assert both.width() >= 150


def test_the_picture_is_as_fine_as_the_screen(view):
    assert picture(view).size() == view.sheet.size() * view.sheet.devicePixelRatioF()


# ---------------------------------------------------------------- colours


@pytest.mark.parametrize("look", [LIGHT, DARK])
def test_text_reads_on_its_ground(look):
    for text, ground in (
        (look.ink, look.paper), (look.ink, look.window), (look.faint_ink, look.paper), (look.faint_ink, look.window),
        (look.accent, look.paper), (look.on_accent, look.accent),
    ):  # fmt: skip
        assert contrast(text, ground) >= 4.5


@pytest.mark.parametrize("look", [LIGHT, DARK])
def test_a_palette_of_a_look_gives_that_look(look):
    assert look_of(palette_of(look)) is look


@pytest.mark.parametrize("species", sorted(WOOD_COLOURS))
def test_the_pencil_shows_on_every_wood(species):
    assert contrast(pencil_on(wood_colour(species)), wood_colour(species)) >= 4.5


def test_both_faces_are_named():
    assert set(FACE) == set(LINE) == set(CUT_NAMES)
