"""What the hand does over a stretch of time: dragging nodes, nudging them, banding, drawing with the pen.

Each gesture knows the design it began with, so that it can be called off; none of them touches the screen.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from msgspec.structs import replace
from PySide6.QtCore import QPointF, QRectF

from app.faces.arrangement import FaceMap
from app.faces.flats import flats_profile
from app.faces.selection import Selection, View, cut_of, with_cut_of
from geometry.copying import with_cut
from geometry.editing import (
    Place,
    nodes_of,
    through_places,
    tidy_place,
    with_node_added,
    with_node_at,
    with_nodes,
    with_nodes_moved,
)
from geometry.project import CUT_NAMES, Cut, CutName, Node, Variant
from geometry.snapping import Snapped, Snapping, heights_of_other_face, snapped
from geometry.trim_editing import as_trim, is_outside, passes_through, with_trim_added

CATCH_PX = 6.0
"""How near on screen a dragged place must come to be caught."""


@dataclass(slots=True)
class NodeDrag:
    """Nodes of one line or trim on the move.

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
        cut, length = cut_of(self.base, self.selection), self.base.blank.length
        assert self.selection.at is not None  # a drag has a node in the hand
        start = cut.nodes[self.selection.at].at
        here, there = face.to_mm(self.press), face.to_mm(point)
        wanted = (start[0] + there[0] - here[0], start[1] + there[1] - here[1])
        self.caught = snapped(wanted, length, snapping) if snapping else Snapped(wanted)
        u, z = self.caught.at
        # a trim ends beside the wood, wherever that is; only a line's ends are held at those of the face
        held = self.selection.trim is None
        moved = with_nodes_moved(cut, length, self.selection.nodes, u - start[0], z - start[1], hold_ends=held)
        return with_cut_of(self.base, self.selection, moved)


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
    """A line or a trim drawn place by place."""

    cut: CutName
    view: View = "faces"
    places: list[Place] = field(default_factory=list)
    pointer: Place | None = None

    def drawn(self, variant: Variant) -> Variant:
        """Return the design with the line as drawn, or with one more trim; unchanged with fewer than two places."""
        before = variant.cut(self.cut)
        if self.view == "faces":
            return with_cut(variant, self.cut, through_places(before, self.places))
        trim = as_trim(with_nodes(as_cut_like(before), (Node(tidy_place(*p)) for p in self.places)))
        return variant if trim is None else with_cut(variant, self.cut, with_trim_added(before, trim))

    def is_done(self, variant: Variant) -> bool:
        """True when the line reaches the other end of its face, or the trim has come out of the wood again."""
        if len(self.places) < 2:
            return False
        if self.view == "flats":
            wood = flats_profile(variant, self.cut)
            return is_outside(wood, self.places[-1]) and passes_through(wood, self.places)
        length_mm = variant.blank.length
        first, last = self.places[0][1], self.places[-1][1]
        return last in (0.0, length_mm) and abs(last - first) > length_mm / 2.0


def as_cut_like(cut: Cut) -> Cut:
    """Return a cut without nodes and trims, of the same blade and kerf."""
    return replace(cut, nodes=(), trims=())


def snapping_for(variant: Variant, selection: Selection, view: View, face: FaceMap, grid_mm: float | None) -> Snapping:
    """Return what catches a place on a face: the same reach of the hand on screen in both directions.

    A trim is caught at the heights of other trims only: it keeps clear of the seam, and ends beside the wood.
    """
    is_line = view == "faces"
    return Snapping(
        grid_mm=grid_mm,
        heights_mm=heights_of_other_face(variant, selection.cut) if is_line else _other_heights(variant, selection),
        to_centre=is_line,
        to_ends=is_line,
        reach_across_mm=CATCH_PX / face.across,
        reach_up_mm=CATCH_PX / face.up,
    )


def _other_heights(variant: Variant, selection: Selection) -> tuple[float, ...]:
    own = (selection.cut, selection.trim)
    trims = [(cut, i, t) for cut in CUT_NAMES for i, t in enumerate(variant.cut(cut).trims)]
    return tuple(sorted({n.at[1] for cut, i, t in trims if (cut, i) != own for n in t.nodes}))


def with_node_put(
    variant: Variant, selection: Selection, place: Place, stretch: float, on_line: bool, snapping: Snapping | None
) -> tuple[Variant, int]:
    """Return the design with a node where the hand points, and its number: on the line, or off it where it grows."""
    length, before = variant.blank.length, cut_of(variant, selection)
    if on_line:
        after, number = with_node_added(before, length, place, across_stretch=stretch)
    else:
        wanted = snapped(place, length, snapping).at if snapping else place
        after, number = with_node_added(before, length, wanted, across_stretch=stretch)
        if not before.nodes:
            after = with_node_at(after, length, number, wanted)
    if not after.nodes:  # close to an end of the straight centre line: the end itself is taken in the hand
        after = replace(after, nodes=nodes_of(after, length))
    return with_cut_of(variant, selection, after), number
