"""From a piece to the bodies a scene shows, and to a finished picture of it."""

from __future__ import annotations

from app.scene.body import Body
from app.scene.still import picture_of
from app.scene.wood_colours import WOOD_COLOURS
from geometry.piece import Piece, require_wood, species_of
from geometry.turning import GLUED, placements


def bodies_of_piece(piece: Piece, turn: float = GLUED) -> list[Body]:
    """Return the quarters that have wood, in the colour of their species, at a stage of the turning."""
    blank = piece.variant.blank
    colour = WOOD_COLOURS[species_of(piece.variant)]
    moves = placements(blank.width, blank.depth, piece.quarters, turn)
    return [
        Body(quarter, colour, move, f"quarter {number}", number)
        for number, (quarter, move) in enumerate(zip(piece.quarters, moves, strict=True), start=1)
        if not quarter.is_empty
    ]


def portrait(piece: Piece, size: tuple[int, int], turn: float = GLUED) -> bytes:
    """Return a PNG picture of the piece as the window shows it.

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
    return picture_of(bodies, size)
