"""Starting shapes: lines to begin with, each with a few parameters in the maker's terms.

A shape is a value. ``fitted(room)`` gives one that its room holds, ``nodes(length_mm)`` its line from the foot to the
top, ``parameters(room)`` what a dialog asks for. Swings are positive to the right and negative to the left.
"""

from __future__ import annotations

from typing import Final

from geometry.shapes.gentle import Arc, Cyma, PostAndCurve, Serpentine, Straight
from geometry.shapes.hook import Hook
from geometry.shapes.room import Room, room_of
from geometry.shapes.shape import Parameter, Shape, eased_to, with_shape

__all__ = [
    "SHAPES", "Arc", "Cyma", "Hook", "Parameter", "PostAndCurve", "Room", "Serpentine", "Shape", "Straight", "eased_to",
    "room_of", "with_shape",
]  # fmt: skip

SHAPES: Final[tuple[type[Shape], ...]] = (Straight, Arc, Cyma, Serpentine, PostAndCurve, Hook)
"""All starting shapes, in the order they are offered."""
