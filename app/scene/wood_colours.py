"""Plain colours: the sixteen woods by name, and the four quarters by number. No VTK here."""

from __future__ import annotations

from app.scene.body import Colour


def _rgb(red: int, green: int, blue: int) -> Colour:
    return (red / 255, green / 255, blue / 255)


# Freshly oiled side grain under daylight, chosen by eye; neighbours in a lay-up must tell apart.
WOOD_COLOURS: dict[str, Colour] = {
    "walnut": _rgb(116, 80, 57),
    "cherry": _rgb(183, 122, 83),
    "maple": _rgb(229, 203, 166),
    "soft-maple": _rgb(216, 186, 149),
    "red-oak": _rgb(199, 153, 116),
    "white-oak": _rgb(194, 162, 117),
    "ash": _rgb(223, 197, 158),
    "poplar": _rgb(196, 190, 142),
    "beech": _rgb(213, 170, 131),
    "birch": _rgb(225, 194, 150),
    "basswood": _rgb(232, 213, 180),
    "pine": _rgb(229, 190, 133),
    "fir": _rgb(213, 159, 109),
    "mahogany": _rgb(150, 82, 57),
    "sapele": _rgb(133, 69, 50),
    "teak": _rgb(166, 119, 68),
}

# End grain drinks more oil and returns less light.
END_GRAIN_SHADE = 0.76

# Okabe and Ito's palette, the four that also differ in lightness: told apart with any colour vision.
QUARTER_COLOURS: dict[int, Colour] = {
    1: _rgb(230, 159, 0),  # orange
    2: _rgb(86, 180, 233),  # sky blue
    3: _rgb(0, 158, 115),  # bluish green
    4: _rgb(204, 121, 167),  # reddish purple
}
