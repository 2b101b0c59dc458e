"""What the sixteen species look like: colours, rings, pores, rays and fibre. Our own values, tuned by eye.

Lengths are millimetres; colours are sRGB, 0 to 1, freshly oiled. Side by side under one light each must be told
from its neighbours, so the marks a maker goes by are a little stronger than in a weathered board.
"""

from __future__ import annotations

from dataclasses import dataclass

from geometry.species import SpeciesName

Colour = tuple[float, float, float]


def _rgb(red: int, green: int, blue: int) -> Colour:
    return (red / 255, green / 255, blue / 255)


@dataclass(frozen=True, slots=True)
class Rings:
    """Growth rings: from ``late_from`` to ``late_full`` of a ring, early wood turns into late wood.

    A narrow dark line (maple) begins late; a softwood's band in the middle; a ring-porous wood's dense late wood
    soon after the pores. ``uneven`` is how much one ring's late wood may be weaker than another's.
    """

    early: Colour
    late: Colour
    width: float
    contrast: float
    late_from: float
    late_full: float
    uneven: float = 0.45


@dataclass(frozen=True, slots=True)
class Pores:
    """Vessels along the fibre, at most one to each ``cell``: radius and share of cells in early and late wood.

    ``band`` is the share of a ring that counts as early here: a ring-porous wood has its large pores there.
    """

    colour: Colour
    strength: float
    cell: float
    early_radius: float
    late_radius: float
    early_share: float
    late_share: float
    band: float


@dataclass(frozen=True, slots=True)
class Rays:
    """Thin sheets that run from the pith outward: flecks on a quarter-sawn face, short lines on a flat-sawn one.

    ``dark`` is how much darker than the wood their edges look on a flat-sawn face.
    """

    colour: Colour
    strength: float
    spacing: float
    height: float
    share: float
    length: float
    dark: float = 0.25


@dataclass(frozen=True, slots=True)
class Look:
    """One species.

    Attributes
    ----------
    rings, pores, rays
    streak : colour of the darker or other-coloured zones that follow the rings, and how strong
    fibre : how much single fibres differ in lightness
    warp, ripple, jag : how far rings stray from circles over some 50, 12 and 2 mm
    ribbon, ribbon_width : lightness and width of the stripes that interlocked grain shows on a quarter-sawn face
    end_shade : lightness of end grain against side grain
    vary : how much boards differ in lightness
    """

    rings: Rings
    pores: Pores
    rays: Rays
    streak: tuple[Colour, float]
    fibre: float
    warp: float = 2.6
    ripple: float = 0.5
    jag: float = 0.16
    ribbon: float = 0.0
    ribbon_width: float = 10.0
    end_shade: float = 0.74
    vary: float = 0.05


LOOKS: dict[SpeciesName, Look] = {
    "walnut": Look(
        Rings(_rgb(132, 94, 68), _rgb(72, 47, 34), 3.8, 0.68, 0.42, 1.0, 0.5),
        Pores(_rgb(44, 29, 22), 0.70, 0.62, 0.105, 0.07, 0.80, 0.40, 0.45),
        Rays(_rgb(136, 98, 70), 0.10, 0.6, 1.0, 0.4, 3.0),
        (_rgb(84, 60, 51), 0.70),
        fibre=0.15, ripple=0.8, vary=0.07, end_shade=0.68,
    ),
    "cherry": Look(
        Rings(_rgb(188, 131, 92), _rgb(142, 90, 61), 3.6, 0.62, 0.66, 1.0, 0.5),
        Pores(_rgb(122, 78, 52), 0.40, 0.36, 0.045, 0.035, 0.75, 0.45, 0.5),
        Rays(_rgb(218, 164, 124), 0.34, 0.62, 1.7, 0.5, 4.0, 0.15),
        (_rgb(158, 102, 70), 0.50),
        fibre=0.085, vary=0.05, end_shade=0.70,
    ),
    "maple": Look(
        Rings(_rgb(236, 212, 182), _rgb(200, 157, 116), 3.2, 0.66, 0.86, 1.0, 0.5),
        Pores(_rgb(180, 144, 106), 0.30, 0.36, 0.042, 0.036, 0.6, 0.6, 0.5),
        Rays(_rgb(200, 160, 118), 0.34, 0.58, 1.1, 0.5, 3.0, 0.2),
        (_rgb(229, 198, 160), 0.5),
        fibre=0.05, warp=3.2, ripple=0.7, vary=0.03, end_shade=0.80,
    ),
    "soft-maple": Look(
        Rings(_rgb(224, 197, 163), _rgb(184, 146, 112), 3.8, 0.50, 0.82, 1.0, 0.5),
        Pores(_rgb(164, 128, 96), 0.34, 0.38, 0.045, 0.038, 0.6, 0.5, 0.5),
        Rays(_rgb(182, 140, 106), 0.36, 0.62, 1.3, 0.5, 3.0, 0.2),
        (_rgb(178, 150, 128), 0.75),
        fibre=0.06, warp=3.2, ripple=0.7, vary=0.05, end_shade=0.78,
    ),
    "red-oak": Look(
        Rings(_rgb(178, 130, 98), _rgb(213, 166, 130), 2.9, 0.85, 0.16, 0.36, 0.25),
        Pores(_rgb(116, 76, 52), 0.80, 0.48, 0.155, 0.045, 0.95, 0.25, 0.30),
        Rays(_rgb(228, 184, 150), 0.55, 2.0, 11.0, 0.55, 14.0, 0.42),
        (_rgb(190, 138, 106), 0.40),
        fibre=0.095, jag=0.22, vary=0.05, end_shade=0.72,
    ),
    "white-oak": Look(
        Rings(_rgb(172, 141, 98), _rgb(205, 176, 131), 2.5, 0.82, 0.16, 0.38, 0.25),
        Pores(_rgb(122, 94, 60), 0.66, 0.46, 0.145, 0.04, 0.95, 0.25, 0.30),
        Rays(_rgb(227, 204, 163), 0.74, 2.0, 24.0, 0.80, 22.0, 0.36),
        (_rgb(176, 144, 98), 0.40),
        fibre=0.095, jag=0.22, vary=0.05, end_shade=0.74,
    ),
    "ash": Look(
        Rings(_rgb(200, 165, 120), _rgb(235, 214, 180), 3.6, 0.90, 0.14, 0.32, 0.2),
        Pores(_rgb(150, 114, 74), 0.70, 0.50, 0.145, 0.045, 0.95, 0.08, 0.26),
        Rays(_rgb(226, 204, 168), 0.06, 0.6, 1.0, 0.4, 3.0),
        (_rgb(214, 184, 142), 0.40),
        fibre=0.065, jag=0.22, vary=0.04, end_shade=0.78,
    ),
    "poplar": Look(
        Rings(_rgb(212, 203, 163), _rgb(176, 166, 122), 4.6, 0.50, 0.78, 1.0, 0.5),
        Pores(_rgb(160, 154, 108), 0.28, 0.34, 0.045, 0.04, 0.6, 0.5, 0.5),
        Rays(_rgb(216, 210, 168), 0.16, 0.6, 1.0, 0.4, 3.0),
        (_rgb(148, 151, 109), 0.80),
        fibre=0.06, warp=3.0, vary=0.05, end_shade=0.76,
    ),
    "beech": Look(
        Rings(_rgb(220, 178, 142), _rgb(188, 140, 102), 3.0, 0.48, 0.72, 1.0, 0.5),
        Pores(_rgb(170, 124, 88), 0.28, 0.34, 0.04, 0.03, 0.6, 0.5, 0.6),
        Rays(_rgb(168, 114, 78), 0.52, 0.95, 2.4, 0.50, 3.0, 0.36),
        (_rgb(206, 158, 122), 0.40),
        fibre=0.05, vary=0.04, end_shade=0.76,
    ),
    "birch": Look(
        Rings(_rgb(234, 207, 167), _rgb(206, 168, 124), 4.2, 0.42, 0.70, 1.0, 0.5),
        Pores(_rgb(172, 132, 94), 0.42, 0.58, 0.06, 0.055, 0.4, 0.4, 0.5),
        Rays(_rgb(214, 178, 136), 0.12, 0.6, 0.9, 0.4, 3.0),
        (_rgb(204, 156, 110), 0.55),
        fibre=0.07, warp=3.4, ripple=0.9, vary=0.05, end_shade=0.78,
        ribbon=0.045, ribbon_width=9.0,
    ),
    "basswood": Look(
        Rings(_rgb(238, 221, 190), _rgb(218, 194, 156), 3.8, 0.42, 0.80, 1.0, 0.5),
        Pores(_rgb(210, 184, 146), 0.22, 0.34, 0.04, 0.035, 0.5, 0.5, 0.5),
        Rays(_rgb(240, 224, 194), 0.14, 0.6, 1.0, 0.4, 3.0),
        (_rgb(226, 204, 168), 0.40),
        fibre=0.035, vary=0.03, end_shade=0.82,
    ),
    "pine": Look(
        Rings(_rgb(241, 211, 160), _rgb(204, 146, 82), 3.6, 0.80, 0.46, 0.98, 0.4),
        Pores(_rgb(168, 116, 64), 0.55, 0.95, 0.10, 0.09, 0.03, 0.10, 0.55),
        Rays(_rgb(240, 210, 160), 0.0, 0.6, 1.0, 0.0, 3.0),
        (_rgb(232, 184, 122), 0.45),
        fibre=0.04, warp=2.4, jag=0.08, vary=0.04, end_shade=0.80,
    ),
    "fir": Look(
        Rings(_rgb(231, 184, 136), _rgb(160, 90, 50), 2.4, 0.95, 0.50, 0.82, 0.35),
        Pores(_rgb(140, 84, 48), 0.50, 0.95, 0.09, 0.09, 0.02, 0.08, 0.55),
        Rays(_rgb(226, 176, 128), 0.0, 0.6, 1.0, 0.0, 3.0),
        (_rgb(214, 150, 100), 0.45),
        fibre=0.045, warp=2.0, jag=0.08, vary=0.04, end_shade=0.76,
    ),
    "mahogany": Look(
        Rings(_rgb(157, 90, 62), _rgb(124, 67, 46), 6.0, 0.40, 0.70, 1.0, 0.6),
        Pores(_rgb(78, 38, 27), 0.80, 0.80, 0.125, 0.115, 0.75, 0.62, 0.5),
        Rays(_rgb(176, 104, 72), 0.22, 0.7, 1.2, 0.4, 3.0),
        (_rgb(132, 68, 48), 0.50),
        fibre=0.13, vary=0.06, end_shade=0.70,
        ribbon=0.11, ribbon_width=8.0,
    ),
    "sapele": Look(
        Rings(_rgb(146, 82, 60), _rgb(116, 60, 45), 5.0, 0.35, 0.72, 1.0, 0.6),
        Pores(_rgb(64, 30, 24), 0.68, 0.52, 0.085, 0.075, 0.80, 0.70, 0.5),
        Rays(_rgb(158, 90, 66), 0.20, 0.55, 1.0, 0.4, 3.0),
        (_rgb(112, 54, 44), 0.45),
        fibre=0.10, vary=0.05, end_shade=0.70,
        ribbon=0.20, ribbon_width=3.4,
    ),
    "teak": Look(
        Rings(_rgb(152, 106, 58), _rgb(190, 141, 86), 4.4, 0.75, 0.10, 0.40, 0.3),
        Pores(_rgb(88, 58, 32), 0.72, 0.66, 0.145, 0.08, 0.90, 0.35, 0.22),
        Rays(_rgb(190, 142, 90), 0.12, 0.6, 1.0, 0.4, 3.0),
        (_rgb(118, 82, 50), 0.80),
        fibre=0.12, ripple=0.7, vary=0.06, end_shade=0.72,
        ribbon=0.06, ribbon_width=12.0,
    ),
}  # fmt: skip
