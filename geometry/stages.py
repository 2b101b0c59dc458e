"""The work at the bench as the maker does it, stage by stage: bodies with their moves, and what is marked on them.

Nothing here draws. A stage is played from t = 0 to 1; as a still it is shown at 1. What stands in two stages that
follow one another stands where the one left it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from msgspec.structs import replace

from geometry.lines import Line
from geometry.offcuts import trimmed_directions
from geometry.piece import Piece, build
from geometry.project import CutName, Variant
from geometry.stage_bodies import Body, blank_body, half_bodies, quarter_bodies, trimmed_bodies
from geometry.stage_marks import Mark, line_marks, offcut_marks, quarter_marks, tape_marks, trim_marks
from geometry.stage_moves import Carried, Motion, Pose, Turned
from geometry.tolerances import LIVE_CHORD_MM
from geometry.turning import GLUED, TURNED

StageName = Literal[
    "mark", "saw front", "tape", "quarter turn", "saw side", "number quarters", "turn back", "part", "flats together",
    "tape flats", "mark trims", "trim", "number offcuts", "square", "drop offcuts", "turn quarters", "glue",
]  # fmt: skip

SECONDS: Final = 2.0
"""How long a stage is played where nothing says otherwise."""

_GAP = 0.35
"""How far parted bodies stand apart, by the wider side of the blank."""


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """A body and how it moves in a stage."""

    body: Body
    motion: Motion


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """One stage.

    Attributes
    ----------
    name : what is done
    cut : the direction it is done in, where there are two
    title, words : a few words, and what the maker does, in a sentence or two
    bodies : all bodies there are
    marks : lines, tapes and numbers on them
    seconds : how long it is played
    """

    name: StageName
    cut: CutName | None
    title: str
    words: str
    bodies: tuple[Shown, ...]
    marks: tuple[Mark, ...] = ()
    seconds: float = SECONDS


def bench_stages(variant: Variant, chord_mm: float = LIVE_CHORD_MM) -> tuple[Stage, ...]:
    """Return all the stages of a design in order; those of trims only where some can be sawn.

    Parameters
    ----------
    variant : the design
    chord_mm : how far the sampled lines may stray from the exact ones
    """
    sawn = build(variant, chord_mm)
    bare = replace(variant, front=replace(variant.front, trims=()), side=replace(variant.side, trims=()))
    before = sawn if bare == variant else build(bare, chord_mm)
    stages = [*_first_cuts(before)]
    turned = _SIDEWAYS
    bodies = quarter_bodies(before)
    order = trimmed_directions(sawn)
    for cut in order:
        if turned != _VIEWS[cut]:
            stages.append(_turn_to(cut, turned, bodies, before))
            turned = _VIEWS[cut]
        trimming = _Trimming(before, sawn, cut, is_last=cut == order[-1])
        stages += trimming.stages(bodies)
        bodies = trimming.left_over()
    stages += _last(sawn, quarter_bodies(sawn) if order else bodies, turned, bool(order))
    return tuple(stages)


_UPRIGHT, _SIDEWAYS = 0.0, -np.pi / 2.0
_VIEWS: Final[dict[CutName, float]] = {"front": _UPRIGHT, "side": _SIDEWAYS}
"""How the blank is turned about its length so that a direction's face lies on top."""


def _shown(bodies: Sequence[Body], *poses: Pose) -> tuple[Shown, ...]:
    return tuple(Shown(body, Carried(poses)) for body in bodies)


def _gap(piece: Piece) -> float:
    blank = piece.variant.blank
    return _GAP * max(blank.width, blank.depth, blank.width_at_top, blank.depth_at_top)


def _goes_up(line: Line) -> bool:
    """True where a line never doubles back, so that what it parts comes apart sideways."""
    return bool((np.diff(line.pieces, axis=1)[:, :, 1] >= 0.0).all())


def _depth(piece: Piece, cut: CutName) -> float:
    """Return how far a part has to be drawn out towards the maker to come clear of the rest."""
    blank = piece.variant.blank
    deep = (blank.depth, blank.depth_at_top) if cut == "front" else (blank.width, blank.width_at_top)
    return max(deep) + _gap(piece)


def _apart(piece: Piece, cut: CutName, turn: float) -> tuple[Pose, Pose]:
    """Return where the low and the high half of a cut stand when they are parted.

    Sideways, or where a hook holds them together, the high one drawn out along the cut towards the maker.
    """
    if _goes_up(piece.cut(cut).line):
        away = _gap(piece) / 2.0
        return (
            (Pose(x=-away, turn_rad=turn), Pose(x=away, turn_rad=turn))
            if cut == "front"
            else (Pose(y=-away, turn_rad=turn), Pose(y=away, turn_rad=turn))
        )
    return Pose(turn_rad=turn), _towards_maker(cut, Pose(turn_rad=turn), _depth(piece, cut))


def _towards_maker(cut: CutName, pose: Pose, by: float) -> Pose:
    """Return a pose drawn out of the face that lies on top: along -y for the front, along +x for the side."""
    return pose.shifted(dy=-by) if cut == "front" else pose.shifted(dx=by)


# ---------------------------------------------------------------- the two lines


def _first_cuts(piece: Piece) -> list[Stage]:
    here, turned = Pose(), Pose(turn_rad=_SIDEWAYS)
    blank, halves, quarters = (blank_body(piece),), half_bodies(piece), quarter_bodies(piece)
    lines, tapes = line_marks(piece, ("front", "side")), tape_marks(piece)
    # the side line is drawn on the right face, which the half right of the front line keeps
    side_on_half = tuple(m.riding_on("half 2") for m in line_marks(piece, ("side",)))
    low, high = _apart(piece, "front", _UPRIGHT)
    on_side = _apart(piece, "side", _SIDEWAYS)

    def parted(bodies: Sequence[Body], *, opens: bool) -> tuple[Shown, ...]:
        out = []
        for body in bodies:
            away = low if body.number == 1 else high
            out.append(Shown(body, Carried((here, away) if opens else (away, here))))
        return tuple(out)

    opened = tuple(Shown(q, Carried((turned, on_side[q.quarter > 2]))) for q in quarters)
    closed = tuple(Shown(q, Carried((on_side[q.quarter > 2], turned))) for q in quarters)
    return [
        Stage(
            "mark", None, "Mark both lines",
            "Draw the front line on the front face and the side line on the right face, from the foot to the top.",
            _shown(blank, here), lines,
        ),
        Stage("saw front", "front", "Saw the front line", "Saw through along the front line, front face up.",
              parted(halves, opens=True), side_on_half),
        Stage("tape", "front", "Tape it together", "Put the halves back as they were and tape them, ends level.",
              parted(halves, opens=False), (*side_on_half, *(m.riding_on("half 1") for m in tapes))),
        Stage("quarter turn", None, "A quarter turn", "Turn the blank so that the right face lies on top.",
              _shown(halves, here, turned), (*side_on_half, *(m.riding_on("half 1") for m in tapes))),
        Stage("saw side", "side", "Saw the side line", "Saw through along the side line: there are four quarters.",
              opened),
        Stage(
            "number quarters", None, "Number the quarters",
            "Pencil 1 to 4 on the top ends, counter-clockwise from the front left, before they come apart.",
            closed, quarter_marks(quarters),
        ),
    ]  # fmt: skip


def _turn_to(cut: CutName, turned: float, bodies: Sequence[Body], piece: Piece) -> Stage:
    marks = quarter_marks(bodies)
    if cut == "front":
        return Stage("turn back", None, "Turn back", "Turn the block back so that the front face lies on top.",
                     _shown(bodies, Pose(turn_rad=turned), Pose()), marks)  # fmt: skip
    return Stage("quarter turn", None, "A quarter turn", "Turn the block so that the right face lies on top.",
                 _shown(bodies, Pose(turn_rad=turned), Pose(turn_rad=_VIEWS[cut])), marks)  # fmt: skip


def _last(piece: Piece, quarters: Sequence[Body], turned: float, was_trimmed: bool) -> list[Stage]:
    blank, marks = piece.variant.blank, quarter_marks(quarters)
    stages: list[Stage] = []
    if not was_trimmed and turned != _UPRIGHT:
        stages.append(_turn_to("front", turned, quarters, piece))

    def moved(start: float, stop: float) -> tuple[Shown, ...]:
        return tuple(Shown(q, Turned(blank, piece.quarters, q.quarter, start, stop)) for q in quarters)

    return [
        *stages,
        Stage("turn quarters", None, "Turn the quarters",
              "Part the quarters and give each a half turn about its length: the outside corners come to the middle.",
              moved(0.0, TURNED), marks, 3.0),
        Stage("glue", None, "Glue", "Glue flat to flat, 1 to 2 and 3 to 4 first, then both halves, feet level.",
              moved(TURNED, GLUED), (), 3.0),
    ]  # fmt: skip


# ---------------------------------------------------------------- one direction of trims


@dataclass(frozen=True, slots=True, eq=False)
class _Trimming:
    """The stages of one direction of trims."""

    before: Piece
    sawn: Piece
    cut: CutName
    is_last: bool

    def left_over(self) -> tuple[Body, ...]:
        """Return the bodies that are in the squared stock afterwards."""
        bodies = trimmed_bodies(self.before, self.sawn, self.cut)
        return tuple(b for b in bodies if b.kind == "quarter" or (not self.is_last and b.is_needed))

    def stages(self, bodies: Sequence[Body]) -> list[Stage]:
        """Return the stages, from the squared stock with the face on top to the squared stock again."""
        cut, what = self.cut, self.cut
        after = trimmed_bodies(self.before, self.sawn, cut)
        numbers, tapes = quarter_marks(bodies), tape_marks(self.before, flats=cut)
        parting = tuple(Shown(b, Carried((self._here, self._parted(b)))) for b in bodies)
        carrying = tuple(Shown(b, Carried(self._way(b))) for b in bodies)
        lying = tuple(Shown(b, Carried((self._flat(b),))) for b in bodies)
        riders = {self._is_low(b): b.name for b in bodies}
        taped = tuple(m.riding_on(riders[m.is_low]) for m in tapes if m.is_low in riders)
        trims = tuple(m.riding_on(riders[m.is_low]) for m in trim_marks(self.sawn, cut) if m.is_low in riders)
        trimmed = tuple(Shown(b, Carried((self._flat(b), self._out(b)))) for b in after)
        numbered = tuple(Shown(b, Carried((self._out(b),))) for b in after)
        named = offcut_marks(after, self.sawn, cut)
        others = {"front": "1 and 4, and 2 and 3", "side": "1 and 2, and 3 and 4"}[cut]
        out = [
            Stage("part", cut, "Part it in halves",
                  f"Part the block along the {what} line only: {others} stay together, their kerf shimmed.",
                  parting, numbers),
            Stage("flats together", cut, "Flats together",
                  "Carry one half across until its outside flat lies on that of the other, ends level.",
                  carrying, numbers, 3.0),
            Stage("tape flats", cut, "Tape the flats together", "Tape them so, clear of the trims.", lying,
                  (*numbers, *taped)),
            Stage("mark trims", cut, "Mark the trims", "Draw the trims on the face that lies on top.", lying,
                  (*numbers, *taped, *trims)),
            Stage("trim", cut, "Saw the trims", "Saw them; the kerf lies in the waste.", trimmed,
                  (*quarter_marks(after), *taped)),
            Stage("number offcuts", cut, "Number the offcuts",
                  "Pencil its number on each offcut and keep it.", numbered, (*quarter_marks(after), *named)),
        ]  # fmt: skip
        if not self.is_last:
            return [*out, self._square(after)]
        kept = self.left_over()
        return [
            *out,
            Stage("drop offcuts", cut, "Drop the offcuts", "All trims are sawn: every offcut can go.",
                  tuple(Shown(b, Carried((self._out(b), self._gone(b)))) for b in after), quarter_marks(kept)),
            Stage("square", cut, "Back to square", "Carry the halves back to where they were in the blank.",
                  tuple(Shown(b, Carried((*self._way(b)[::-1], self._here, Pose()))) for b in kept),
                  quarter_marks(kept)),
        ]  # fmt: skip

    def _square(self, after: Sequence[Body]) -> Stage:
        """Back to square with the offcuts that are needed inside; the others are laid aside."""
        shown = []
        for body in after:
            home = (*self._way(body)[::-1], self._here)
            if body.kind == "quarter":
                motion = Carried((self._flat(body), *home))
            elif body.is_needed:
                motion = Carried((self._out(body), *home))
            else:
                motion = Carried((self._out(body), self._gone(body)))
            shown.append(Shown(body, motion))
        return Stage("square", self.cut, "Back to square, offcuts inside",
                     "Put the stock back square with the offcuts in their places, a shim as thick as the kerf behind "
                     "each, and tape it.", tuple(shown), quarter_marks(after), 3.0)  # fmt: skip

    # where things stand

    @property
    def _here(self) -> Pose:
        return Pose(turn_rad=_VIEWS[self.cut])

    def _is_low(self, body: Body) -> bool:
        return body.quarter in ((1, 4) if self.cut == "front" else (1, 2))

    def _parted(self, body: Body) -> Pose:
        low, high = _apart(self.before, self.cut, _VIEWS[self.cut])
        return low if self._is_low(body) else high

    def _across(self, pose: Pose, by: float) -> Pose:
        return pose.shifted(dx=by) if self.cut == "front" else pose.shifted(dy=by)

    def _flat(self, body: Body) -> Pose:
        blank = self.before.variant.blank
        half = (blank.width if self.cut == "front" else blank.depth) / 2.0
        return self._across(self._here, half if self._is_low(body) else -half)

    def _way(self, body: Body) -> tuple[Pose, ...]:
        """Return the way from parted to flats together: the high half is lifted out, carried across and put down."""
        start, stop = self._parted(body), self._flat(body)
        if self._is_low(body):
            return start, start, stop, stop
        clear = _depth(self.before, self.cut)
        lifted = _towards_maker(self.cut, self._here, clear)
        across = start.y if self.cut == "side" else start.x
        return start, self._across(lifted, across), _towards_maker(self.cut, stop, clear), stop

    def _out(self, body: Body) -> Pose:
        """Return where a body stands once the trims are sawn: offcuts of this direction drawn off their faces."""
        flat = self._flat(body)
        if body.kind != "offcut" or body.cut != self.cut:
            return flat
        return self._off(flat, body, _gap(self.before))

    def _gone(self, body: Body) -> Pose:
        """Return where an offcut lies when it is dropped: out of its half, whichever direction it was trimmed in."""
        if body.kind != "offcut":
            return self._flat(body)
        blank = self.before.variant.blank
        far = 2.0 * max(blank.width, blank.depth) + _gap(self.before)
        return self._off(self._out(body), body, far)

    def _off(self, pose: Pose, body: Body, by: float) -> Pose:
        trims = [t for t in self.sawn.cut(self.cut).trims if t.fault is None]
        # offcuts of the other direction slide along their own cut, which runs across here
        if body.cut != self.cut or all(_goes_one_way(t.line) for t in trims):
            return self._across(pose, by if self._is_low(body) else -by)
        return _towards_maker(self.cut, pose, by + _depth(self.before, self.cut))


def _goes_one_way(line: Line) -> bool:
    """True where a trim never doubles back, from foot to top or from top to foot."""
    rises = np.diff(line.pieces, axis=1)[:, :, 1]
    return bool((rises >= 0.0).all() or (rises <= 0.0).all())
