"""What the hand does over a stretch of time: dragging nodes, nudging them, banding, drawing with the pen.

Each gesture knows the design it began with, so that it can be called off; none of them touches the screen.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from msgspec.structs import replace
from PySide6.QtCore import QPointF, QRectF

from app.faces.arrangement import FaceMap
from app.faces.selection import Selection
from geometry.copying import with_cut
from geometry.editing import Place, nodes_of, through_places, with_node_added, with_node_at, with_nodes_moved
from geometry.project import CutName, Variant
from geometry.snapping import Snapped, Snapping, heights_of_other_face, snapped

CATCH_PX = 6.0
"""How near on screen a dragged place must come to be caught."""


@dataclass(slots=True)
class NodeDrag:
    """Nodes of one face on the move.

    Attributes
    ----------
    name : what the step is called
    origin : the design before anything happened
    base : the design with the nodes where they were taken up; another than the origin where one was added
    selection : the nodes that move; the one at ``selection.at`` is in the hand
    press : where the hand took hold, in pixels
    is_under_way : it has moved, or added something
    caught : what the node in the hand is caught by
    """

    name: str
    origin: Variant
    base: Variant
    selection: Selection
    press: QPointF
    is_under_way: bool = False
    caught: Snapped | None = None

    def moved_to(self, point: QPointF, face: FaceMap, snapping: Snapping | None) -> Variant:
        """Return the design with the hand at a point."""
        cut, length = self.base.cut(self.selection.cut), self.base.blank.length
        assert self.selection.at is not None  # a drag has a node in the hand
        start = cut.nodes[self.selection.at].at
        here, there = face.to_mm(self.press), face.to_mm(point)
        wanted = (start[0] + there[0] - here[0], start[1] + there[1] - here[1])
        self.caught = snapped(wanted, length, snapping) if snapping else Snapped(wanted)
        u, z = self.caught.at
        moved = with_nodes_moved(cut, length, self.selection.nodes, u - start[0], z - start[1])
        return with_cut(self.base, self.selection.cut, moved)


@dataclass(slots=True)
class Nudge:
    """Nodes moved by the arrow keys, from the first press to the last release: one step."""

    name: str
    origin: Variant
    keys: set[int] = field(default_factory=set)


@dataclass(slots=True)
class Band:
    """A rubber band, and what was selected before it."""

    cut: CutName
    start: QPointF
    end: QPointF
    before: Selection
    adds: bool

    @property
    def box(self) -> QRectF:
        """The band as a rectangle."""
        return QRectF(self.start, self.end).normalized()

    @property
    def is_drawn(self) -> bool:
        """False for a mere click."""
        return self.box.width() > 3.0 or self.box.height() > 3.0


@dataclass(slots=True)
class Pen:
    """A line drawn place by place."""

    cut: CutName
    places: list[Place] = field(default_factory=list)
    pointer: Place | None = None

    def drawn(self, variant: Variant) -> Variant:
        """Return the design with the line as drawn; unchanged with fewer than two places."""
        return with_cut(variant, self.cut, through_places(variant.cut(self.cut), self.places))

    def is_at_other_end(self, length_mm: float) -> bool:
        """True when the last place reaches the end of the face away from the first."""
        if len(self.places) < 2:
            return False
        first, last = self.places[0][1], self.places[-1][1]
        return last in (0.0, length_mm) and abs(last - first) > length_mm / 2.0


def snapping_for(variant: Variant, cut: CutName, face: FaceMap, grid_mm: float | None) -> Snapping:
    """Return what catches a place on a face: the same reach of the hand on screen in both directions."""
    return Snapping(
        grid_mm=grid_mm,
        heights_mm=heights_of_other_face(variant, cut),
        reach_across_mm=CATCH_PX / face.across,
        reach_up_mm=CATCH_PX / face.up,
    )


def with_node_put(
    variant: Variant, cut: CutName, place: Place, stretch: float, on_line: bool, snapping: Snapping | None
) -> tuple[Variant, int]:
    """Return the design with a node where the hand points, and its number: on the line, or off it where it grows."""
    length, before = variant.blank.length, variant.cut(cut)
    if on_line:
        after, number = with_node_added(before, length, place, across_stretch=stretch)
    else:
        wanted = snapped(place, length, snapping).at if snapping else place
        after, number = with_node_added(before, length, wanted, across_stretch=stretch)
        if not before.nodes:
            after = with_node_at(after, length, number, wanted)
    if not after.nodes:  # close to an end of the straight centre line: the end itself is taken in the hand
        after = replace(after, nodes=nodes_of(after, length))
    return with_cut(variant, cut, after), number
