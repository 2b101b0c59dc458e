"""The outline that is wanted in one view, read into curves that give a place at every height."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, cast

import numpy as np

from geometry.curvature import highs_and_lows
from geometry.findings.finding import Words
from geometry.fit.cannot import CannotFit
from geometry.lines import line_through
from geometry.project import CutName, Limits, Node
from geometry.sampling import sample
from geometry.solids import FloatArray
from geometry.tolerances import PLACE_MM
from geometry.wish import Give, ViewWish

OUTLINE_CHORD_MM: Final = 0.002
"""Outlines are read to a fiftieth of the closest tolerance, so that reading one spends nothing of it."""

FLAT_MM: Final = 0.005
"""An outline that stays this close to upright is a post: the saw follows a straight line there."""

SHORTEST_POST_MM: Final = 10.0
"""A shorter upright stretch is part of the curve."""

CORNER_DEG: Final = 2.0
"""An outline that turns by less at a node is rounded off by any saw within a hundredth or two."""


@dataclass(frozen=True, slots=True, eq=False)
class Rising:
    """A curve that rises all the way: places ``u`` (n,) at strictly rising heights ``z`` (n,), straight between."""

    z: FloatArray
    u: FloatArray

    def at(self, z: FloatArray) -> FloatArray:
        """Return the places at heights ``z``; past its ends the curve runs straight on."""
        low, high = self.z[0], self.z[-1]
        first = (self.u[1] - self.u[0]) / (self.z[1] - self.z[0])
        last = (self.u[-1] - self.u[-2]) / (self.z[-1] - self.z[-2])
        inside = np.interp(z, self.z, self.u)
        return cast(FloatArray, inside + np.minimum(z - low, 0.0) * first + np.maximum(z - high, 0.0) * last)

    def mirrored(self) -> Rising:
        """Return the curve seen in a mirror."""
        return Rising(self.z, -self.u)

    def moved(self, across: float) -> Rising:
        """Return the curve moved sideways."""
        return Rising(self.z, self.u + across)


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """The outline wanted in one view.

    Attributes
    ----------
    length : height in millimetres
    left, right : the two outlines
    foot_post, top_post : up to and down to which height both are upright; 0 and ``length`` where they are not
    corners : heights at which the left and the right outline turn a corner that stands out
    nodes : heights of the nodes the outlines are drawn with, left and right
    shift_mm : how far the drawn outline was moved to the right to lie about the glue seam
    """

    length: float
    left: Rising
    right: Rising
    foot_post: float
    top_post: float
    corners: tuple[tuple[float, ...], tuple[float, ...]]
    nodes: tuple[tuple[float, ...], tuple[float, ...]]
    shift_mm: float = 0.0

    def mirrored(self) -> Outline:
        """Return the outline seen in a mirror."""
        return replace(
            self, left=self.right.mirrored(), right=self.left.mirrored(), corners=self.corners[::-1],
            nodes=self.nodes[::-1],
        )  # fmt: skip

    @property
    def heights(self) -> FloatArray:
        """Heights at which either outline has a place of its own, and close ones between."""
        even = np.linspace(0.0, self.length, 801)
        return np.unique(np.concatenate([even, np.clip(self.left.z, 0.0, None), self.right.z]))


@lru_cache(maxsize=64)
def read_outline(
    name: CutName, wish: ViewWish, limits: Limits, give: Give, tolerance: float, words: Words
) -> Outline | CannotFit:
    """Return the outline of a view, about the glue seam; or why no leg of this make has it.

    Parameters
    ----------
    name, wish : the view and its outline
    limits : the wall that must stay on either side of the glue seam
    give : whether the outline may be moved sideways
    tolerance : how far the piece may stray from it
    words : the maker's unit
    """
    curves: list[Rising] = []
    corners: list[tuple[float, ...]] = []
    for side, nodes in zip(("left", "right"), wish.outlines(), strict=True):
        curve = _rising(name, side, nodes, tolerance, words)
        if isinstance(curve, CannotFit):
            return curve
        curves.append(curve)
        corners.append(_corners_that_stand_out(nodes, 1.0 if side == "right" else -1.0))
    left, right = curves
    shift = _about_the_seam(name, left, right, limits.wall, give.axis, words)
    if isinstance(shift, CannotFit):
        return shift
    foot, top = _posts(left, right, wish.length)
    at_left, at_right = (tuple(n.at[1] for n in nodes) for nodes in wish.outlines())
    return Outline(
        wish.length, left.moved(shift), right.moved(shift), foot, top, (corners[0], corners[1]), (at_left, at_right),
        shift,
    )  # fmt: skip


def _rising(name: CutName, side: str, nodes: Sequence[Node], tolerance: float, words: Words) -> Rising | CannotFit:
    line = line_through(nodes)
    turns = highs_and_lows(line)
    if len(turns) > 2:
        high, low = turns[1], turns[2]
        by = float(abs(low[1] - high[1]))
        if by > PLACE_MM:
            return CannotFit(
                name, (float(high[0]), float(high[1])), by,
                f"The {side} outline of the {name} view turns back down by {words.length(by)} at "
                f"{words.up(float(high[1]))}: a fitted line rises all the way. Draw it so that it only climbs, or draw "
                "the line itself on the face.",
            )  # fmt: skip
    points = sample(line, OUTLINE_CHORD_MM).points
    level = np.diff(points[:, 1]) <= PLACE_MM
    step = np.where(level, np.abs(np.diff(points[:, 0])), 0.0)
    worst = int(np.argmax(step))
    if step[worst] > 2.0 * tolerance:
        u, z = points[worst]
        return CannotFit(
            name, (float(u), float(z)), float(step[worst]),
            f"The {side} outline of the {name} view steps sideways by {words.length(float(step[worst]))} at "
            f"{words.up(float(z))}: no blade saws a level step. Let it slope there.",
        )  # fmt: skip
    keep = np.append(True, np.diff(np.maximum.accumulate(points[:, 1])) > PLACE_MM)
    return Rising(points[keep, 1].copy(), points[keep, 0].copy())


def _corners_that_stand_out(nodes: Sequence[Node], out: float) -> tuple[float, ...]:
    """Return the heights of the corners at which two cuts could meet: those that turn towards the seam going up."""
    line = line_through(nodes)
    found: list[float] = []
    for k in line.kinks:
        came = line.pieces[k - 1, 3] - line.pieces[k - 1, 2]
        goes = line.pieces[k, 1] - line.pieces[k, 0]
        turn = np.degrees(np.arctan2(goes[0], goes[1]) - np.arctan2(came[0], came[1]))
        if out * turn < -CORNER_DEG:
            found.append(float(line.pieces[k, 0, 1]))
    return tuple(found)


def _about_the_seam(
    name: CutName, left: Rising, right: Rising, wall: float, may_move: bool, words: Words
) -> float | CannotFit:
    """Return how far to move the outlines so that each keeps the wall from the glue seam."""
    z = np.unique(np.concatenate([left.z, right.z]))
    l_, r_ = left.at(z), right.at(z)
    thin = int(np.argmin(r_ - l_))
    if r_[thin] - l_[thin] < 2.0 * wall - PLACE_MM:
        by = 2.0 * wall - float(r_[thin] - l_[thin])
        have = max(float(r_[thin] - l_[thin]), 0.0)
        return CannotFit(
            name, (float(r_[thin]), float(z[thin])), by,
            f"In the {name} view the outline leaves {words.length(have)} of wood {words.up(float(z[thin]))}, but a "
            f"wall of {words.length(wall)} has to stay on either side of the glue seam. Make it at least "
            f"{words.length(by)} thicker there.",
        )  # fmt: skip
    i, j = int(np.argmax(l_)), int(np.argmin(r_))
    least, most = wall - float(r_[j]), -wall - float(l_[i])  # moves that keep the wall on the right, on the left
    if least <= PLACE_MM and most >= -PLACE_MM:
        return 0.0
    if not may_move:
        sign, at, short = (1, j, least) if least > -most else (-1, i, -most)
        u = float(r_[j] if sign > 0 else l_[i])
        side = "right" if sign > 0 else "left"
        return CannotFit(
            name, (u, float(z[at])), short,
            f"The {side} outline of the {name} view comes within {words.length(max(sign * u, 0.0))} of the glue seam "
            f"{words.up(float(z[at]))}{', or crosses it' if sign * u < 0 else ''}, but a wall of {words.length(wall)} "
            f"has to stay. Move it {words.length(short)} to the {side} there, or let the axis move.",
        )  # fmt: skip
    if least > most:
        by = least - most
        return CannotFit(
            name, (float(r_[j]), float(z[j])), by,
            f"In the {name} view the outline swings too far for its thickness: no upright glue seam keeps "
            f"{words.length(wall)} from the right outline {words.up(float(z[j]))} and from the left one at "
            f"{words.up(float(z[i]))}; {words.length(by)} are missing. Let it swing less, or make it thicker.",
        )  # fmt: skip
    ease = min(2.0, (most - least) / 2.0)
    return float(np.clip(0.0, least + ease, most - ease))


def _posts(left: Rising, right: Rising, length: float) -> tuple[float, float]:
    z = np.unique(np.concatenate([left.z, right.z, np.linspace(0.0, length, 401)]))
    stray = [np.maximum(np.abs(left.at(z) - left.u[e]), np.abs(right.at(z) - right.u[e])) > FLAT_MM for e in (0, -1)]
    if not stray[0].any():
        return 0.0, length
    foot = float(z[int(np.argmax(stray[0])) - 1]) if not stray[0][0] else 0.0
    top = float(z[len(z) - int(np.argmax(stray[1][::-1]))]) if not stray[1][-1] else length
    return (foot if foot >= SHORTEST_POST_MM else 0.0), (top if length - top >= SHORTEST_POST_MM else length)
