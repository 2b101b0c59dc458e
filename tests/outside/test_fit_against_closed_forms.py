"""Blanks and trims for outlines whose answer is known by formula."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.fit import fit_wish
from geometry.project import Blank, Cut, Node, Variant
from geometry.wish import ViewWish, Wish

LENGTH = 400.0


def sine(width: float, swing: float, waves: float) -> ViewWish:
    z = np.linspace(0.0, LENGTH, 161)
    u = swing * np.sin(2.0 * np.pi * waves * z / LENGTH)

    def side(across: np.ndarray) -> tuple[Node, ...]:
        return tuple(Node((float(a), float(h))) for a, h in zip(across, z, strict=True))

    return ViewWish(side(u - width / 2.0), side(u + width / 2.0))


def start(kerf: float, sanding: float, wish: Wish) -> Variant:
    return Variant("A", Blank(60, 60, LENGTH), front=Cut(kerf), side=Cut(kerf), sanding=sanding, wish=wish)


@pytest.mark.parametrize("kerf", [0.0, 0.9, 1.3])
@pytest.mark.parametrize(("swing", "waves"), [(0.0, 1.0), (10.0, 1.0), (9.0, 1.5), (6.0, 2.0)])
def test_one_width_takes_a_blank_of_that_width_and_the_slot_at_its_steepest(kerf: float, swing: float, waves: float):
    # plane geometry: a slot k wide that leans by u' is k·sqrt(1 + u'²) wide level, and the blank loses just that
    width, steepest = 44.0, swing * 2.0 * np.pi * waves / LENGTH
    wish = Wish(sine(width, swing, waves), follows="front", tolerance=0.1)
    answer = fit_wish(start(kerf, 0.0, wish)).answers[0].variant
    assert answer.front.trims == answer.side.trims == ()
    closed = width + kerf * np.sqrt(1.0 + steepest**2)
    assert answer.blank.width == pytest.approx(closed, abs=0.06)
    assert answer.blank.depth == answer.blank.width


def test_sanding_takes_twice_its_allowance():
    wish = Wish(sine(44.0, 0.0, 1.0), follows="front")
    plain, sanded = (fit_wish(start(0.9, s, wish)).answers[0].variant.blank.width for s in (0.0, 0.4))
    assert plain == pytest.approx(44.9, abs=0.011)
    assert sanded - plain == pytest.approx(0.8, abs=0.011)


@pytest.mark.parametrize(("foot", "top"), [(60.0, 36.0), (36.0, 60.0), (48.0, 44.0)])
def test_a_straight_taper_is_sawn_straight(foot: float, top: float):
    # two points fix a straight line: half the foot at z = 0, half the top at z = L, on either side
    def side(sign: float) -> tuple[Node, ...]:
        return (Node((sign * foot / 2.0, 0.0), "corner"), Node((sign * top / 2.0, LENGTH), "corner"))

    fit = fit_wish(start(0.9, 0.0, Wish(ViewWish(side(-1.0), side(1.0)), follows="front")))
    both = next(a.variant for a in fit.answers if len(a.variant.front.trims) == 2)
    assert both.blank.width == pytest.approx(max(foot, top) + 0.9, abs=0.011)
    for trim in both.front.trims:
        (u0, z0), (u1, z1) = (n.at for n in trim.nodes)
        assert abs((u1 - u0) / (z1 - z0)) == pytest.approx(abs(top - foot) / 2.0 / LENGTH, abs=2e-4)
        assert abs(u0 + (u1 - u0) * (LENGTH / 2.0 - z0) / (z1 - z0)) == pytest.approx((foot + top) / 4.0, abs=0.03)


def test_an_upright_outline_is_the_blank_less_the_kerf():
    def side(u: float) -> tuple[Node, ...]:
        return (Node((u, 0.0), "corner"), Node((u, LENGTH), "corner"))

    wish = Wish(ViewWish(side(-20.0), side(26.0)))
    answer = fit_wish(replace(start(1.1, 0.0, wish))).answers[0].variant
    assert answer.blank.width == pytest.approx(47.1, abs=0.011)
    assert [n.at[0] for n in answer.front.nodes] == pytest.approx([3.0, 3.0], abs=0.01)
