"""The piece that is wanted: an outline for each view, how closely it is to be kept, and what may give.

Frozen values with the keys of the project file (``"wish"`` of a variant); the constructors check. Lengths are
millimetres. Outlines are drawn in the view of their face as the glued piece shows it: u across from the glue seam,
z up from the foot. Kerf, sanding, blade and limits are the variant's own.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from geometry.cabriole import Cabriole, cabriole_outlines
from geometry.checks import number, size
from geometry.node import Node, check_nodes
from geometry.tolerances import PLACE_MM

View = Literal["front", "side"]

FINEST_TOLERANCE_MM = 0.05
"""No outline is promised closer than this: sampled edges stray by a hundredth, a saw by far more."""

MOST_TRIMS = 12
"""More trims than this in one view are carving, not sawing."""


class ViewWish(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The outline wanted in one view: left and right nodes from foot to top, or the sizes of a cabriole leg."""

    left: tuple[Node, ...] = ()
    right: tuple[Node, ...] = ()
    cabriole: Cabriole | None = None

    def __post_init__(self) -> None:
        """Refuse half an outline, two ways of saying it, and outlines that do not run from the foot to one top."""
        for key, nodes in (("left", self.left), ("right", self.right)):
            check_nodes(key, nodes)
            if not nodes and self.cabriole is None:
                raise ValueError(f"{key}: expected the nodes of an outline, or sizes under cabriole, found none")
            if nodes and self.cabriole is not None:
                raise ValueError(f"{key}: expected either an outline or cabriole, found both")
            if nodes and abs(nodes[0].at[1]) > PLACE_MM:
                raise ValueError(
                    f"{key}[0].at[1]: expected an outline that begins at the foot, 0, found {nodes[0].at[1]:g}"
                )
            if nodes:
                size(f"{key}[{len(nodes) - 1}].at[1]", nodes[-1].at[1])
        if self.left and self.right and abs(self.left[-1].at[1] - self.right[-1].at[1]) > PLACE_MM:
            raise ValueError(
                f"right[{len(self.right) - 1}].at[1]: expected to end as high as the left outline, "
                f"{self.left[-1].at[1]:g}, found {self.right[-1].at[1]:g}"
            )

    @property
    def length(self) -> float:
        """Height of the outline in millimetres."""
        return self.left[-1].at[1] if self.cabriole is None else self.cabriole.length

    def outlines(self) -> tuple[tuple[Node, ...], tuple[Node, ...]]:
        """Return the nodes of the left and the right outline, drawn from the sizes where those were given."""
        return (self.left, self.right) if self.cabriole is None else cabriole_outlines(self.cabriole)


class Give(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What may give to come by the outline.

    ``sizes`` of the blank: free, or one of a list of stock sizes; ``square``: width and depth are to be the same;
    ``trims``: at most so many in each view; ``axis``: the outline may be moved sideways as a whole.
    """

    sizes: Literal["free"] | tuple[float, ...] = "free"
    square: bool = False
    trims: int = 4
    axis: bool = False

    def __post_init__(self) -> None:
        """Refuse an empty list of sizes and numbers of trims that nobody saws."""
        if self.sizes != "free":
            if not self.sizes:
                raise ValueError("sizes: expected free, or at least one stock size, found none")
            for i, value in enumerate(self.sizes):
                size(f"sizes[{i}]", value)
        if not 0 <= self.trims <= MOST_TRIMS:
            raise ValueError(f"trims: expected a whole number from 0 to {MOST_TRIMS}, found {self.trims}")


class Wish(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The piece that is wanted.

    A view left out keeps the variant's own cut and size; ``follows`` names the view whose outline the other takes.
    """

    front: ViewWish | None = None
    side: ViewWish | None = None
    follows: View | None = None
    tolerance: float = 0.1
    give: Give = msgspec.field(default_factory=Give)

    def __post_init__(self) -> None:
        """Refuse a wish without an outline, with two lengths, or one that follows what is not there."""
        number("tolerance", self.tolerance, least=FINEST_TOLERANCE_MM)
        if self.front is None and self.side is None:
            raise ValueError("front: expected an outline in at least one view, found none in either")
        if self.follows is not None and self._own(self.follows) is None:
            raise ValueError(f"follows: expected the view that has an outline, found {self.follows!r}, which has none")
        front, side = self.view("front"), self.view("side")
        if front is not None and side is not None and abs(front.length - side.length) > PLACE_MM:
            raise ValueError(
                f"side: expected an outline as high as the front's, {front.length:g}, found {side.length:g}"
            )

    def _own(self, view: View) -> ViewWish | None:
        return self.front if view == "front" else self.side

    def view(self, view: View) -> ViewWish | None:
        """Return the outline wanted in a view, that of the other where it follows; None where there is no wish."""
        return self._own(view if self.follows is None else self.follows)

    @property
    def length(self) -> float:
        """Height of the wanted piece in millimetres."""
        outline = self.front or self.side
        assert outline is not None
        return outline.length
