"""One piece on its ground at a stage of the turning: the scene, and where things are in it. No Qt."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from app.piece_view.turntable import Extent
from app.portrait import colour_from_afar
from app.scene.body import Body, placed
from app.scene.still import new_scene
from app.scene.theme import ThemeName
from app.scene.wood.table import ShowThrough
from geometry.project import Blank, Variant
from geometry.solids import FloatArray, Solid
from geometry.tapering import frustum
from geometry.turning import GLUED, placements

_NO_PIECE = Variant("A", Blank(10.0, 10.0, 10.0))
"""What the stage is for until it is told."""

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
        self._variant = _NO_PIECE
        from app.scene.wood.finish import wood_finish  # VTK, which has loaded by now

        self._finish = wood_finish(self._variant)
        self.scene.set_finish(self._finish)
        self._turn = GLUED
        self._moves: tuple[FloatArray, ...] = ()
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
    def variant(self) -> Variant:
        """The design whose wood is shown."""
        return self._variant

    @property
    def mode(self) -> ShowThrough:
        """What the surfaces show."""
        return self._finish.mode

    @property
    def turn(self) -> float:
        """The stage of the turning."""
        return self._turn

    @property
    def moves(self) -> tuple[FloatArray, ...]:
        """Where each quarter stands now, (4, 4) each."""
        return self._moves

    # ---- what is shown

    def show(self, variant: Variant, quarters: Sequence[Solid]) -> None:
        """Show the quarters of a piece in their wood, at the stage of the turning it is in, from ``prepare`` on."""
        self._quarters = tuple(quarters)
        self.show_wood(variant)
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

    def show_wood(self, variant: Variant) -> bool:
        """Show the quarters there are in the wood of a variant's blank, from the next picture on.

        Returns
        -------
        bool
            False where it is the same wood.
        """
        before, self._variant = self._variant, variant
        is_another = (before.layup, before.blank) != (variant.layup, variant.blank)
        if is_another:
            self._finish.update(variant)
        return is_another

    def set_mode(self, mode: ShowThrough) -> None:
        """Show the wood, the quarters apart by colour, or the pattern alone, from the next picture on."""
        self._finish.show(mode)

    def set_moving(self, moving: bool) -> None:
        """Leave out what is finest of the wood while something moves."""
        self._finish.set_moving(moving)

    def bodies(self) -> list[Body]:
        """The quarters as bodies of a scene, where they stand now."""
        colour = colour_from_afar(self._variant)
        return [
            Body(quarter, colour, move, f"quarter {n}", n)
            for n, (quarter, move) in enumerate(zip(self._quarters, self._moves, strict=True), start=1)
        ]

    def warm_up(self, render: Callable[[], None]) -> None:
        """Have a small blank rendered once, out of sight, so that everything the wood needs is ready."""
        if self._quarters:
            return
        self.scene.set_bodies([Body(frustum(_NO_PIECE.blank), (0.5, 0.5, 0.5))])
        self.scene.rest()
        self.scene.look("three-quarter", 1.0)
        render()
        self.scene.set_bodies([])
        self.scene.rest()

    def _place(self) -> None:
        self._moves = placements(self._variant.blank, self._quarters, self._turn)

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
