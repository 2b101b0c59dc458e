"""How the quarters move: from the sawn block, opened, turned, to the glued piece standing as drawn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np

from geometry.sawing import QUARTER_SIGNS
from geometry.solids import FloatArray, Solid

OPENED: Final = 1.0 / 3.0
TURNED: Final = 2.0 / 3.0
GLUED: Final = 1.0
STOPS: Final[tuple[tuple[str, float], ...]] = (
    ("sawn", 0.0), ("opened", OPENED), ("turned", TURNED), ("glued", GLUED),
)  # fmt: skip

_CLEARANCE = 1.06
"""Opened quarters stand this much further apart than they need to turn without touching."""


def glue_move(width: float, depth: float) -> tuple[FloatArray, ...]:
    """Return the four 4 by 4 moves from the blank to the glued piece: outside corners to the axis, nothing turned.

    The quarter whose outside corner is (sx a, sy b) moves by (-sx a, -sy b, 0).
    """
    return tuple(_shift(-sx * width / 2.0, -sy * depth / 2.0) for sx, sy in QUARTER_SIGNS)


def placements(width: float, depth: float, quarters: Sequence[Solid], turn: float) -> tuple[FloatArray, ...]:
    """Return the four 4 by 4 rigid moves of the quarters at a stage of the turning.

    From 0 to 1/3 the quarters move apart; to 2/3 each makes its half turn in place about its own length; then they
    close, and the closed piece makes a half turn as a whole, so that at 1 it stands the way it was drawn. The two
    half turns of each quarter add up to a whole one: at 1 the move is exactly `glue_move`.

    Parameters
    ----------
    width, depth : sizes of the blank in millimetres
    quarters : the four quarters in the blank's coordinates (their extents set how far apart they must stand)
    turn : 0 sawn, 1/3 opened, 2/3 turned, 1 glued; values outside 0..1 are taken as the nearer end
    """
    turn = min(max(turn, 0.0), 1.0)
    if turn == GLUED:
        return glue_move(width, depth)
    a, b = width / 2.0, depth / 2.0
    apart_x, apart_y = _apart(quarters, a, b)
    opening = _eased(turn / OPENED)
    half_turn = np.pi * _eased((turn - OPENED) / (TURNED - OPENED))
    closing = (turn - TURNED) / (GLUED - TURNED)
    # the closed piece turns only once it is closed
    closed, whole_turn = _eased(closing / 0.5), np.pi * _eased((closing - 0.5) / 0.5)
    moves = []
    for sx, sy in QUARTER_SIGNS:
        axis = np.array([sx * a / 2.0, sy * b / 2.0])
        offset = np.array([sx * apart_x, sy * apart_y])
        # the half turn about the middle of its nominal quarter already brings the outside corner to the blank's
        # axis, so closing is no more than giving up the distance
        drift = offset * opening * (1.0 - closed)
        move = _shift(*drift) @ _about(axis, half_turn)
        moves.append(_about(np.zeros(2), whole_turn) @ move)
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


def _shift(x: float, y: float) -> FloatArray:
    move = np.eye(4)
    move[0, 3], move[1, 3] = x, y
    return move


def _about(axis: FloatArray, angle: float) -> FloatArray:
    """Return the turn by ``angle`` about the upright through ``axis`` (x, y)."""
    move = np.eye(4)
    c, s = np.cos(angle), np.sin(angle)
    move[:2, :2] = [[c, -s], [s, c]]
    move[:2, 3] = axis - move[:2, :2] @ axis
    return move
