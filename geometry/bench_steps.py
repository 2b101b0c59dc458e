"""The work at the bench in steps, each as bodies to be shown and marks to be drawn on them, of one very design.

Nothing here draws: a step says where bodies stand in space and which lines, tapes and numbers lie on them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, cast

import numpy as np
from msgspec.structs import replace

from geometry.lines import Line
from geometry.piece import Piece, build
from geometry.project import CUT_NAMES, Cut, CutName, Node, Variant
from geometry.sampling import sample
from geometry.solids import FloatArray, Solid
from geometry.tapering import half_depth, half_width
from geometry.tolerances import LIVE_CHORD_MM
from geometry.turning import OPENED, TURNED, placements

StepName = Literal[
    "mark", "first cut", "tape", "second cut", "front trims", "side trims", "numbered", "turned", "halves", "glued"
]

_APART = 0.35
"""How far parted bodies stand apart in the pictures, by the blank's width."""

_TAPES = (0.12, 0.5, 0.88)
_TAPE_MM = 14.0


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """One step as it is to be shown.

    Attributes
    ----------
    name : which step
    bodies : solids with the rigid move (4, 4) that puts each where it stands
    lines : polylines (n, 3) drawn on the wood
    tapes : polygons (n, 3) of tape round it
    numbers : texts with their places (3,) on top of the wood
    """

    name: StepName
    bodies: tuple[tuple[Solid, FloatArray], ...]
    lines: tuple[FloatArray, ...] = ()
    tapes: tuple[FloatArray, ...] = ()
    numbers: tuple[tuple[str, FloatArray], ...] = ()


def bench_steps(variant: Variant) -> tuple[Step, ...]:
    """Return the steps from the marked blank to the glued piece; those of the trims only where there are any."""
    sawn = build(variant, LIVE_CHORD_MM)
    untrimmed = _without_trims(variant)
    before = build(untrimmed, LIVE_CHORD_MM) if untrimmed is not variant else sawn
    blank = variant.blank
    steps = [_mark(before), _first_cut(before), _tape(before), _second_cut(before)]
    trimmed = [cut for cut in CUT_NAMES if sawn.cut(cut).trims and not blank.is_tapered]
    steps += [_flats_together(before, sawn, cut) for cut in trimmed]
    steps += [_turning(sawn, "numbered", OPENED), _turning(sawn, "turned", TURNED), _halves(sawn)]
    steps.append(Step("glued", _bodies(sawn.quarters, sawn.glue_moves())))
    return tuple(steps)


def _without_trims(variant: Variant) -> Variant:
    if not (variant.front.trims or variant.side.trims):
        return variant
    return replace(variant, front=replace(variant.front, trims=()), side=replace(variant.side, trims=()))


def _uncut(cut: Cut, half: float, length: float) -> Cut:
    """Return a cut that passes beside the blank on the right, so that all of it is left of the line."""
    away = 4.0 * half + 10.0
    return Cut(0.0, nodes=(Node((away, 0.0), "corner"), Node((away, length), "corner")))


def _bodies(solids: Sequence[Solid], moves: Sequence[FloatArray]) -> tuple[tuple[Solid, FloatArray], ...]:
    return tuple((solid, move) for solid, move in zip(solids, moves, strict=True) if not solid.is_empty)


def _shift(dx: float = 0.0, dy: float = 0.0) -> FloatArray:
    move = np.eye(4)
    move[:2, 3] = dx, dy
    return move


def _quarter_turn() -> FloatArray:
    """Return the turn that brings the right face to the front."""
    return np.array([[0.0, 1.0, 0.0, 0.0], [-1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]])


def _moved(points: FloatArray, move: FloatArray) -> FloatArray:
    return cast(FloatArray, points @ move[:3, :3].T + move[:3, 3])


def _largest(variant: Variant) -> float:
    b = variant.blank
    return max(b.width, b.depth, b.width_at_top, b.depth_at_top)


# ---------------------------------------------------------------- marks on the blank


def _on_face(piece: Piece, cut: CutName, points: FloatArray) -> FloatArray:
    """Return the places in space of points (n, 2) of a face's drawing."""
    blank, (u, z) = piece.variant.blank, points.T
    if cut == "front":
        return np.stack([u, -half_depth(blank, z), z], axis=1)
    return np.stack([half_width(blank, z), u, z], axis=1)


def _line_on(piece: Piece, cut: CutName) -> FloatArray:
    line: Line = piece.cut(cut).line
    return _on_face(piece, cut, sample(line, LIVE_CHORD_MM).points)


def _tapes(piece: Piece) -> tuple[FloatArray, ...]:
    """Return the two visible sides of tape round the blank at three heights."""
    length = piece.variant.blank.length
    out: list[FloatArray] = []
    high = min(_TAPE_MM, 0.08 * length)
    for share in _TAPES:
        low, top = share * length - high / 2.0, share * length + high / 2.0
        for cut in CUT_NAMES:
            half = half_width if cut == "front" else half_depth
            a, b = float(half(piece.variant.blank, np.array(low))), float(half(piece.variant.blank, np.array(top)))
            corners = np.array([(-a, low), (a, low), (b, top), (-b, top)])
            out.append(_on_face(piece, cut, corners))
    return tuple(out)


# ---------------------------------------------------------------- the steps


def _mark(piece: Piece) -> Step:
    variant, blank = piece.variant, piece.variant.blank
    far_front, far_side = (_uncut(c, _largest(variant), blank.length) for c in (variant.front, variant.side))
    whole = build(replace(variant, front=far_front, side=far_side, sanding=0.0), LIVE_CHORD_MM)
    bodies = _bodies(whole.quarters, [np.eye(4)] * 4)
    return Step("mark", bodies, lines=(_line_on(piece, "front"), _line_on(piece, "side")))


def _sawn_once(piece: Piece) -> Piece:
    variant = piece.variant
    side = _uncut(variant.side, _largest(variant), variant.blank.length)
    return build(replace(variant, side=side, sanding=0.0), LIVE_CHORD_MM)


def _first_cut(piece: Piece) -> Step:
    halves = _sawn_once(piece).quarters
    apart = _APART * piece.variant.blank.width / 2.0
    moves = [_shift(dx=-apart), _shift(dx=apart), _shift(dx=apart), _shift(dx=-apart)]
    return Step("first cut", _bodies(halves, moves), lines=(_moved(_line_on(piece, "side"), moves[1]),))


def _tape(piece: Piece) -> Step:
    halves = _sawn_once(piece).quarters
    return Step("tape", _bodies(halves, [np.eye(4)] * 4), lines=(_line_on(piece, "side"),), tapes=_tapes(piece))


def _second_cut(piece: Piece) -> Step:
    """The right face has come to the front; what lay before the side line stands to the left."""
    apart = _APART * piece.variant.blank.depth / 2.0
    turn = _quarter_turn()
    moves = [turn @ _shift(dy=-apart), turn @ _shift(dy=-apart), turn @ _shift(dy=apart), turn @ _shift(dy=apart)]
    return Step("second cut", _bodies(piece.quarters, moves))


def _flats_together(before: Piece, sawn: Piece, cut: CutName) -> Step:
    """The halves lie flat to flat with the trims marked on them; the offcuts of the first direction are in place."""
    blank = before.variant.blank
    a, b = blank.width / 2.0, blank.depth / 2.0
    if cut == "front":
        moves = [_shift(dx=a), _shift(dx=-a), _shift(dx=-a), _shift(dx=a)]
        turn = np.eye(4)
    else:
        moves = [_shift(dy=b), _shift(dy=b), _shift(dy=-b), _shift(dy=-b)]
        turn = _quarter_turn()
    lines: list[FloatArray] = []
    for trim in sawn.cut(cut).trims:
        u, z = sample(trim.line, LIVE_CHORD_MM).points.T
        on_top = (
            np.stack([u, np.full(len(u), -b), z], axis=1)
            if cut == "front"
            else np.stack([np.full(len(u), a), u, z], axis=1)
        )
        lines.append(_moved(on_top, turn))
    name: StepName = "front trims" if cut == "front" else "side trims"
    return Step(name, _bodies(before.quarters, [turn @ m for m in moves]), lines=tuple(lines))


def _turning(piece: Piece, name: StepName, turn: float) -> Step:
    moves = placements(piece.variant.blank, piece.quarters, turn)
    return Step(name, _bodies(piece.quarters, moves), numbers=_numbers(piece, moves))


def _numbers(piece: Piece, moves: Sequence[FloatArray]) -> tuple[tuple[str, FloatArray], ...]:
    """Return the quarters' numbers, each in the middle of its top end."""
    out = []
    for number, (quarter, move) in enumerate(zip(piece.quarters, moves, strict=True), start=1):
        if quarter.is_empty:
            continue
        top = quarter.vertices[quarter.vertices[:, 2] > quarter.vertices[:, 2].max() - 1e-3]
        middle = (top.min(axis=0) + top.max(axis=0)) / 2.0
        out.append((str(number), _moved(middle[None], move)[0]))
    return tuple(out)


def _halves(piece: Piece) -> Step:
    """1 is glued to 2 and 3 to 4; the halves stand apart before they are joined."""
    apart = _APART * piece.variant.blank.depth / 2.0
    glued = piece.glue_moves()
    moves = [
        _shift(dy=apart) @ glued[0],
        _shift(dy=apart) @ glued[1],
        _shift(dy=-apart) @ glued[2],
        _shift(dy=-apart) @ glued[3],
    ]
    return Step("halves", _bodies(piece.quarters, moves), numbers=_numbers(piece, moves))
