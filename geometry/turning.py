"""How the quarters move: from the sawn block, opened, turned, to the glued piece standing as drawn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, cast

import numpy as np

from geometry.project import Blank
from geometry.sawing import QUARTER_SIGNS
from geometry.solids import FloatArray, Solid
from geometry.tapering import glue_moves

OPENED: Final = 1.0 / 3.0
TURNED: Final = 2.0 / 3.0
GLUED: Final = 1.0
STOPS: Final[tuple[tuple[str, float], ...]] = (
    ("sawn", 0.0), ("opened", OPENED), ("turned", TURNED), ("glued", GLUED),
)  # fmt: skip

_CLEARANCE = 1.06
"""Opened quarters stand this much further apart than they need to turn without touching."""


def placements(blank: Blank, quarters: Sequence[Solid], turn: float) -> tuple[FloatArray, ...]:
    """Return the four 4 by 4 rigid moves of the quarters at a stage of the turning.

    From 0 to 1/3 the quarters move apart; to 2/3 each makes its half turn in place about its own length, those of a
    tapered blank leaning upright on the way; then they close, and the closed piece makes a half turn as a whole, so
    that at 1 it stands the way it was drawn. The two half turns of each quarter add up to a whole one: at 1 the move
    is exactly that of `tapering.glue_moves`.

    Parameters
    ----------
    blank : the blank, straight or tapered
    quarters : the four quarters in the blank's coordinates (their extents set how far apart they must stand)
    turn : 0 sawn, 1/3 opened, 2/3 turned, 1 glued; values outside 0..1 are taken as the nearer end
    """
    turn = min(max(turn, 0.0), 1.0)
    glued = glue_moves(blank)
    if turn == GLUED:
        return glued
    a, b = blank.width / 2.0, blank.depth / 2.0
    apart_x, apart_y = _apart(quarters, a, b)
    opening = _eased(turn / OPENED)
    turned = _eased((turn - OPENED) / (TURNED - OPENED))
    closing = (turn - TURNED) / (GLUED - TURNED)
    # the closed piece turns only once it is closed
    closed, whole_turn = _eased(closing / 0.5), np.pi * _eased((closing - 0.5) / 0.5)
    moves = []
    for (sx, sy), standing in zip(QUARTER_SIGNS, glued, strict=True):
        middle = np.array([sx * a / 2.0, sy * b / 2.0, 0.0])
        move = np.eye(4)
        move[:3, :3] = _upright_turn(np.pi * turned) @ _share(standing[:3, :3], turned)
        move[:3, 3] = middle - move[:3, :3] @ middle
        # the half turn about the middle of its nominal quarter already brings a straight quarter's outside corner to
        # the blank's axis; what a leaning one still misses it by is made up while closing
        upside = _upright_turn(np.pi)
        missing = upside @ (standing[:3, :3] @ middle + standing[:3, 3]) - middle
        offset = np.array([sx * apart_x, sy * apart_y, 0.0])
        move[:3, 3] += offset * opening * (1.0 - closed) + missing * closed
        whole = np.eye(4)
        whole[:3, :3] = _upright_turn(whole_turn)
        moves.append(whole @ move)
    return tuple(moves)


def _apart(quarters: Sequence[Solid], a: float, b: float) -> tuple[float, float]:
    """Return how far each quarter moves out so that the circles in which they turn clear one another."""
    reach = 0.0
    for (sx, sy), quarter in zip(QUARTER_SIGNS, quarters, strict=True):
        if quarter.is_empty:
            continue
        rel = quarter.vertices[:, :2] - (sx * a / 2.0, sy * b / 2.0)
        reach = max(reach, float(np.hypot(rel[:, 0], rel[:, 1]).max()))
    return max(0.0, _CLEARANCE * reach - a / 2.0), max(0.0, _CLEARANCE * reach - b / 2.0)


def _eased(t: float) -> float:
    """Start and stop gently: 0 to 1 with no speed at either end."""
    t = min(max(t, 0.0), 1.0)
    return t * t * (3.0 - 2.0 * t)


def _upright_turn(angle: float) -> FloatArray:
    """Return the turn (3, 3) by ``angle`` about an upright."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def _share(turn: FloatArray, share: float) -> FloatArray:
    """Return a share 0..1 of a turn (3, 3) of less than half a revolution, about the same axis (Rodrigues)."""
    axis = np.array([turn[2, 1] - turn[1, 2], turn[0, 2] - turn[2, 0], turn[1, 0] - turn[0, 1]]) / 2.0
    sine = float(np.linalg.norm(axis))
    if sine == 0.0:
        return np.eye(3)
    angle = share * float(np.arctan2(sine, (np.trace(turn) - 1.0) / 2.0))
    x, y, z = axis / sine
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return cast(FloatArray, np.eye(3) + np.sin(angle) * cross + (1.0 - np.cos(angle)) * cross @ cross)
