"""From a piece to the bodies a scene shows, and to a finished picture of it in its wood."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from app.scene.body import Body, Colour
from app.scene.camera import CameraPose
from app.scene.still import picture_of
from app.scene.theme import ThemeName
from app.scene.wood.table import ShowThrough
from app.scene.wood_colours import WOOD_COLOURS
from geometry.layup_grid import grid_of
from geometry.piece import Piece, require_wood
from geometry.project import Variant
from geometry.turning import GLUED, placements

if TYPE_CHECKING:
    from app.scene.finish import Finish


def colour_from_afar(variant: Variant) -> Colour:
    """Return the colour that the cells of a lay-up mix to; for one species its own."""
    grid = grid_of(variant)
    share = np.bincount(grid.cells.ravel(), minlength=len(grid.species)) / grid.cells.size
    red, green, blue = share @ np.array([WOOD_COLOURS[name] for name in grid.species])
    return (float(red), float(green), float(blue))


def bodies_of_piece(piece: Piece, turn: float = GLUED) -> list[Body]:
    """Return the quarters that have wood, in one plain colour, at a stage of the turning."""
    colour = colour_from_afar(piece.variant)
    moves = placements(piece.variant.blank, piece.quarters, turn)
    return [
        Body(quarter, colour, move, f"quarter {number}", number)
        for number, (quarter, move) in enumerate(zip(piece.quarters, moves, strict=True), start=1)
        if not quarter.is_empty
    ]


def portrait(
    piece: Piece,
    size: tuple[int, int],
    turn: float = GLUED,
    theme: ThemeName = "light",
    show: ShowThrough = "wood",
    camera: CameraPose | None = None,
) -> bytes:
    """Return a PNG picture of the piece in its wood, as the window shows it; three-quarter without a camera.

    Raises
    ------
    NoSolidError
        no wood is left
    OutputError
        this machine cannot draw
    """
    bodies = bodies_of_piece(piece, turn)
    if not bodies:
        require_wood(piece.quarters[0], "the piece")

    def wood() -> Finish:
        from app.scene.wood.finish import wood_finish  # VTK, once it is certain that it loads

        finish = wood_finish(piece.variant)
        finish.show(show)
        return finish

    return picture_of(bodies, size, theme, finish=wood, camera=camera)
