"""What every starting shape can do, and how one becomes the line of a face."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar, Literal, Protocol, TypeVar

from msgspec.structs import replace

from geometry.blades import reach, widest_stock_blade
from geometry.copying import with_cut
from geometry.curvature import tightest_bend
from geometry.editing import with_nodes
from geometry.lines import line_through
from geometry.project import Blade, CutName, Node, Variant
from geometry.shapes.room import Room, largest_share

ParameterKind = Literal["length", "count", "share", "angle", "switch"]


@dataclass(frozen=True, slots=True)
class Parameter:
    """One thing a dialog asks for.

    Attributes
    ----------
    field : name of the shape's field
    label, hint : a few words, and a sentence
    kind : a length in millimetres, a count, a share 0..1, an angle in degrees, or yes and no
    least, most, step : for numbers
    """

    field: str
    label: str
    hint: str
    kind: ParameterKind
    least: float = 0.0
    most: float = 1.0
    step: float = 1.0


class Shape(Protocol):
    """What every starting shape can do."""

    label: ClassVar[str]
    hint: ClassVar[str]

    @classmethod
    def fitted(cls, room: Room) -> Shape:
        """Return the shape with parameters that suit the room."""

    def nodes(self, length_mm: float) -> tuple[Node, ...]:
        """Return the nodes of its line, from the foot to the top."""

    def parameters(self, room: Room) -> tuple[Parameter, ...]:
        """Return what a dialog asks for."""


class SwingingShape(Shape, Protocol):
    """A shape whose swings can be drawn in without changing its kind."""

    def eased(self, share: float) -> SwingingShape:
        """Return the shape with its swings drawn in to a share 0..1 of what they are; at 0 it is straight."""


Swinging = TypeVar("Swinging", bound="SwingingShape")


def eased_to(shape: Swinging, room: Room) -> Swinging:
    """Return the shape with its swings drawn in as far as the room asks for: walls kept, the blade at ease."""
    share = largest_share(lambda s: shape.eased(s).nodes(room.length_mm), room)
    return shape.eased(share)  # type: ignore[return-value]


def with_shape(variant: Variant, face: CutName, shape: Shape) -> Variant:
    """Return the variant with a starting shape as the line of one face.

    A chosen blade that does not follow it gives way to the widest stock blade that does, if there is one.
    """
    cut = with_nodes(variant.cut(face), shape.nodes(variant.blank.length))
    if cut.blade is not None and cut.nodes:
        bend = tightest_bend(line_through(cut.nodes))
        follows = reach(cut.blade).radius_mm
        if bend is not None and (follows is None or bend.radius_mm < follows):
            widest = widest_stock_blade(bend.radius_mm)
            cut = cut if widest is None else replace(cut, blade=Blade(widest.width_mm))
    return with_cut(variant, face, cut)


def rounded(value: float) -> float:
    """Return a size a person would choose: whole millimetres, or tenths where it is small; never larger."""
    step = 1.0 if abs(value) >= 8.0 else 0.1
    if abs(value) < step:
        return value
    return math.copysign(round(math.floor(abs(value) / step + 1e-9) * step, 1), value)
