"""The wood under the lines: each strip where it lies at once, its grain a little later, on tapered faces too."""

import pytest
from PySide6.QtGui import QColor

from app.faces.drawn import middle_of_section, section_of
from app.faces.wood import WoodPictures, ground_colour, is_many_woods
from app.look import LIGHT, wood_colour
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import grid_of
from geometry.project import Blank, Cut, Node, Trim, Variant
from tests.app.faces.hands import SERPENTINE, STRAIGHT, node, picture
from tests.app.faces.hands import at as place_on

STRIPED = Variant("A", Blank(60.0, 60.0, 420.0), Stripes("x", ((15.0, "walnut"), (30.0, "maple"), (15.0, "cherry"))))


def near(a: QColor, b: QColor, far: int) -> bool:
    return max(abs(a.red() - b.red()), abs(a.green() - b.green()), abs(a.blue() - b.blue())) <= far


def flat(variant, cut, view):
    """Return the picture there is before any grain."""
    return WoodPictures().picture(variant, cut, view.sheet.arrangement.face(cut), 1.0)


@pytest.mark.parametrize("cut", ["front", "side"])
@pytest.mark.parametrize(
    "layup",
    [
        STRIPED.layup,
        Stripes("y", ((20.0, "teak"), (40.0, "ash"))),
        Checker((20.0, 20.0, 20.0), (30.0, 30.0), ("walnut", "maple"), (210.0, 210.0)),
        Chevron("x", 40.0, 50.0, ("walnut", "maple", "cherry"), 7.0),
    ],
)
def test_strips_stand_at_once_where_they_lie(show, cut, layup):
    variant = Variant("A", Blank(60.0, 60.0, 420.0), layup)
    image = flat(variant, cut, show(variant))
    grid = grid_of(variant)
    for i in range(7):
        for j in range(5):
            x, y = (2 * i + 1) * image.width() // 14, (2 * j + 1) * image.height() // 10
            u = ((x + 0.5) / image.width() - 0.5) * 60.0
            z = (1.0 - (y + 0.5) / image.height()) * 420.0
            spot = [u, -29.98, z] if cut == "front" else [29.98, u, z]
            species = grid.species[grid.species_at([spot])[0]]
            assert image.pixelColor(x, y).rgb() == wood_colour(species).rgb()


def test_a_narrowing_blank_shows_the_strip_that_lies_bare_further_up(show):
    # the right face of a blank 60 wide below and 20 above leaves the outer strip where half the width is 15
    variant = Variant("A", Blank(60.0, 60.0, 420.0, 20.0), STRIPED.layup)
    image = flat(variant, "side", show(variant))
    middle = image.width() // 2
    borders = [
        y for y in range(1, image.height())
        if image.pixelColor(middle, y).rgb() != image.pixelColor(middle, y - 1).rgb()
    ]  # fmt: skip
    assert len(borders) == 1
    z = (1.0 - borders[0] / image.height()) * 420.0
    assert z == pytest.approx(420.0 * (30.0 - 15.0) / (30.0 - 10.0), abs=420.0 / image.height() + 0.5)


def test_the_grain_follows_and_says_so(qtbot, show):
    view = show(STRIPED)
    pictures = view.sheet.wood_pictures
    first = picture(view)
    assert pictures.is_busy
    qtbot.waitUntil(lambda: not pictures.is_busy)
    assert pictures.serial == 2  # one for each face
    second = picture(view)
    spots = [place_on(view, "front", u, 300.0) for u in (-25.0, -22.0, 10.0, 24.0, 27.0)]
    assert any(first.pixelColor(p) != second.pixelColor(p) for p in spots)
    # strips stay what they were: grain is a shade, not another wood
    assert all(near(first.pixelColor(p), second.pixelColor(p), 60) for p in spots)


def test_another_wood_shows_at_once_and_a_moved_line_leaves_the_wood_alone(qtbot, show):
    view = show(SERPENTINE)
    qtbot.waitUntil(lambda: not view.sheet.wood_pictures.is_busy)
    serial = view.sheet.wood_pictures.serial
    moved = Variant("A", SERPENTINE.blank, SERPENTINE.layup, front=SERPENTINE.side, side=SERPENTINE.front)
    view.show_variant(moved, "mm")
    picture(view)
    assert (view.sheet.wood_pictures.is_busy, view.sheet.wood_pictures.serial) == (False, serial)
    view.show_variant(Variant("A", SERPENTINE.blank, Plain("maple")), "mm")
    spot = place_on(view, "front", -20.0, 300.0)
    assert near(picture(view).pixelColor(spot), ground_colour(view.variant, LIGHT), 40)


def test_a_pencil_on_many_woods_gets_a_rim(show):
    assert not is_many_woods(STRAIGHT)
    assert is_many_woods(STRIPED)


def test_the_section_of_a_tapered_blank_is_that_of_its_faces_at_the_height():
    tapered = Variant("A", Blank(60.0, 50.0, 400.0, 40.0), front=Cut(kerf=1.0), side=Cut(kerf=1.0))
    section = section_of(tapered, 100.0)
    # 60 - 20 · 100 / 400, less the kerf
    assert (section.width, section.depth) == pytest.approx((54.0, 49.0))


def test_trims_are_taken_off_the_section():
    trim = Node((40.0, 100.0), "corner"), Node((20.0, 100.0), "corner"), Node((20.0, 200.0), "corner")
    variant = Variant("A", Blank(60.0, 60.0, 400.0), front=Cut(0.0, trims=(Trim((*trim, Node((40.0, 200.0))), 0.0),)))
    assert section_of(variant, 50.0).width == pytest.approx(60.0)
    assert section_of(variant, 150.0).width == pytest.approx(50.0)


def test_the_section_stands_where_the_wood_is():
    trim = Trim((node(50, 100, "corner"), node(20, 100, "corner"), node(20, 200, "corner"), node(50, 200)), 0.0)
    leg = Variant(
        "A", Blank(60.0, 60.0, 400.0),
        front=Cut(0.0, nodes=(node(0, 0, "corner"), node(10, 100, "corner"), node(10, 400, "corner")), trims=(trim,)),
    )  # fmt: skip
    # sawn 10 right of the middle the wood lies from -20 to 40; the trim leaves it from -20 to 20
    assert middle_of_section(leg, 300.0) == pytest.approx((10.0, 0.0))
    assert middle_of_section(leg, 150.0) == pytest.approx((0.0, 0.0))
