"""One piece on its ground at a stage of the turning: the scene, and where things are in it. No Qt."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.piece_view.turntable import Extent
from app.scene.body import Body, Colour, placed
from app.scene.still import new_scene
from app.scene.theme import ThemeName
from app.scene.wood_colours import QUARTER_COLOURS, WOOD_COLOURS
from geometry.piece import species_of
from geometry.project import Blank, Variant
from geometry.solids import FloatArray, Solid
from geometry.turning import GLUED, placements

_TOP_MM = 0.5
"""Vertices this close below a quarter's highest point belong to its top end."""


class Stage:
    """The scene of one piece.

    Attributes
    ----------
    scene : app.scene.scene.Scene
    """

    def __init__(self, theme: ThemeName = "light") -> None:
        """Begin empty; raise `OutputError` where nothing can be drawn."""
        self.scene = new_scene(theme)
        self._quarters: tuple[Solid, ...] = ()
        self._wood: Colour = WOOD_COLOURS["walnut"]
        self._blank = Blank(10.0, 10.0, 10.0)
        self._turn = GLUED
        self._moves: tuple[FloatArray, ...] = ()
        self._told_apart = False
        self._new_bodies, self._new_moves = False, False

    @property
    def is_empty(self) -> bool:
        """True until a piece was shown."""
        return not self._quarters

    @property
    def quarters(self) -> tuple[Solid, ...]:
        """The quarters as sawn, in the blank's coordinates."""
        return self._quarters

    @property
    def moves(self) -> tuple[FloatArray, ...]:
        """Where each quarter stands now, (4, 4) each."""
        return self._moves

    # ---- what is shown

    def show(self, variant: Variant, quarters: Sequence[Solid]) -> None:
        """Show the quarters of a piece in their wood, at the stage of the turning it is in, from ``prepare`` on."""
        self._quarters = tuple(quarters)
        self._wood = WOOD_COLOURS[species_of(variant)]
        self._blank = variant.blank
        self._place()
        self._new_bodies = True

    def clear(self) -> None:
        """Show nothing, from ``prepare`` on."""
        self._quarters, self._moves = (), ()
        self._new_bodies = True

    def set_turn(self, turn: float) -> None:
        """Move the quarters: 0 sawn, 1 glued; from ``prepare`` on."""
        self._turn = turn
        if self._quarters:
            self._place()
            self._new_moves = True

    def prepare(self) -> None:
        """Bring the scene up to date before it is rendered: once, however much was changed since the last time."""
        if self._new_bodies:
            self.scene.set_bodies(self.bodies())
        elif self._new_moves:
            self.scene.set_matrices(self._moves)
        if self._quarters and (self._new_bodies or self._new_moves):
            self.scene.update_seams()
        self._new_bodies = self._new_moves = False

    def set_told_apart(self, told_apart: bool) -> None:
        """Colour the quarters by number, or show their wood."""
        self._told_apart = told_apart
        if self._quarters and not self._new_bodies:
            self.scene.set_colours([body.colour for body in self.bodies()])

    def bodies(self) -> list[Body]:
        """The quarters as bodies of a scene, where they stand now."""
        return [
            Body(quarter, QUARTER_COLOURS[n] if self._told_apart else self._wood, move, f"quarter {n}", n)
            for n, (quarter, move) in enumerate(zip(self._quarters, self._moves, strict=True), start=1)
        ]

    def _place(self) -> None:
        self._moves = placements(self._blank, self._quarters, self._turn)

    # ---- where things are

    def extent(self) -> Extent | None:
        """Room the piece takes about its axis at this stage."""
        standing = [placed(q.vertices, m) for q, m in zip(self._quarters, self._moves, strict=True) if not q.is_empty]
        if not standing:
            return None
        points = np.concatenate(standing)
        radius = float(np.hypot(points[:, 0], points[:, 1]).max())
        return Extent(radius, float(points[:, 2].min()), float(points[:, 2].max()))

    def top_ends(self) -> dict[int, FloatArray]:
        """The middle of each quarter's top end where it stands now, by number; quarters without wood are left out."""
        ends = {}
        for number, (quarter, move) in enumerate(zip(self._quarters, self._moves, strict=True), start=1):
            if not quarter.is_empty:
                z = quarter.vertices[:, 2]
                top = quarter.vertices[z > z.max() - _TOP_MM]
                ends[number] = placed((top.min(axis=0) + top.max(axis=0))[None, :] / 2.0, move)[0]
        return ends

    def outline_at(self, z: float) -> FloatArray:
        """Where a level plane meets the surfaces of the quarters, (n, 2 ends, 3) mm, where they stand now."""
        found = [np.zeros((0, 2, 3))]
        for quarter, move in zip(self._quarters, self._moves, strict=True):
            if not quarter.is_empty:
                ends = _cut_level(quarter, z)
                found.append(placed(ends.reshape(-1, 3), move).reshape(-1, 2, 3))
        return np.concatenate(found)


def _cut_level(solid: Solid, z: float) -> FloatArray:
    """The segments (n, 2, 3) in which the plane at z cuts a body's triangles."""
    corners = solid.vertices[solid.triangles]
    above = corners[:, :, 2] > z
    crossing = corners[above.any(axis=1) & ~above.all(axis=1)]
    if not len(crossing):
        return np.zeros((0, 2, 3))
    up = crossing[:, :, 2] > z
    # Turn each triangle so that its lone corner comes first; the two sides from there cross the plane.
    lone = np.where(up.sum(axis=1) == 1, up.argmax(axis=1), (~up).argmax(axis=1))
    order = (lone[:, None] + np.arange(3)) % 3
    turned = np.take_along_axis(crossing, order[:, :, None], axis=1)
    rise = turned[:, 1:, 2] - turned[:, :1, 2]
    share = (z - turned[:, :1, 2]) / rise
    return turned[:, :1] + share[:, :, None] * (turned[:, 1:] - turned[:, :1])
