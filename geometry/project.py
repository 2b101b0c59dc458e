"""What the maker decides: projects, variants, blanks, cuts and nodes. Frozen values; the constructors check.

The classes carry the keys of the project file one to one, so that what is written is what is meant.
Lengths are millimetres. See ``geometry`` for the frame.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from geometry.checks import chosen, kerf, number, size, text
from geometry.errors import UnknownVariant
from geometry.layup import Layup, Plain, check_fills
from geometry.node import Node as Node
from geometry.node import NodeKind as NodeKind
from geometry.node import check_nodes
from geometry.use import Use
from geometry.wish import Wish

CutName = Literal["front", "side"]
TaperSupport = Literal["face down", "levelled"]
DisplayUnits = Literal["mm", "in"]

CUT_NAMES: tuple[CutName, CutName] = ("front", "side")


class Blade(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A bandsaw blade: a stock width, or one the maker measured (width, body behind the teeth, kerf it saws).

    Its teeth per inch may be told of either.
    """

    width: float
    body: float | None = None
    kerf: float | None = None
    teeth_per_inch: float | None = None

    def __post_init__(self) -> None:
        """Refuse a blade of no width, and half a measurement."""
        number("width", self.width, above=0.0)
        if (self.body is None) != (self.kerf is None):
            raise ValueError(
                f"{'kerf' if self.kerf is None else 'body'}: expected both body and kerf for a measured blade, "
                "found one without the other"
            )
        if self.teeth_per_inch is not None:
            number("teeth_per_inch", self.teeth_per_inch, above=0.0)
        if self.body is not None and self.kerf is not None:
            number("body", self.body, above=0.0)
            number("kerf", self.kerf, above=0.0)

    @property
    def is_measured(self) -> bool:
        """True when the maker measured body and kerf."""
        return self.body is not None


class Trim(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A cut made flats together, with its nodes in that view of the face."""

    nodes: tuple[Node, ...]
    kerf: float = 0.9
    blade: Blade | None = None

    def __post_init__(self) -> None:
        """Refuse a trim that is no line."""
        kerf("kerf", self.kerf)
        chosen("nodes", self.nodes, "at least two nodes")
        check_nodes("nodes", self.nodes)


class Cut(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What is sawn through one face: its line, its kerf, its blade and the trims that follow.

    No nodes mean the straight centre line.
    """

    kerf: float = 0.9
    blade: Blade | None = None
    nodes: tuple[Node, ...] = ()
    trims: tuple[Trim, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a kerf no saw makes and nodes that are no line."""
        kerf("kerf", self.kerf)
        check_nodes("nodes", self.nodes)


class Blank(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The squared block: width along x and depth along y at the foot, length along z, and its sizes at the top."""

    width: float
    depth: float
    length: float
    top_width: float | None = None
    top_depth: float | None = None

    def __post_init__(self) -> None:
        """Refuse sizes outside 5 to 5000 mm."""
        for key in ("width", "depth", "length"):
            size(key, getattr(self, key))
        for key in ("top_width", "top_depth"):
            if getattr(self, key) is not None:
                size(key, getattr(self, key))

    @property
    def is_tapered(self) -> bool:
        """True when the top differs from the foot."""
        return self.top_width not in (None, self.width) or self.top_depth not in (None, self.depth)

    @property
    def width_at_top(self) -> float:
        """Width at the top, that of the foot when it was left out."""
        return self.width if self.top_width is None else self.top_width

    @property
    def depth_at_top(self) -> float:
        """Depth at the top, that of the foot when it was left out."""
        return self.depth if self.top_depth is None else self.top_depth

    @property
    def volume_mm3(self) -> float:
        """Volume of the blank; a tapered one is a prismatoid with linear width and depth."""
        w0, d0, w1, d1 = self.width, self.depth, self.width_at_top, self.depth_at_top
        # Simpson's rule is exact for the quadratic section area
        return self.length / 6.0 * (w0 * d0 + (w0 + w1) * (d0 + d1) + w1 * d1)


class Saw(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The bandsaw: how thick a block passes under its guides."""

    depth_of_cut: float = 150.0

    def __post_init__(self) -> None:
        """Refuse a saw that cuts nothing."""
        number("depth_of_cut", self.depth_of_cut, above=0.0)


class Limits(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Below or above which sizes the checks speak up; walls and webs are measured from the slot's edges."""

    wall: float = 6.0
    web: float = 6.0
    section: float = 18.0
    pattern_step: float = 0.5
    taper_gap: float = 0.1
    end_trim: float = 0.5

    def __post_init__(self) -> None:
        """Refuse limits that are no sizes."""
        for key in self.__struct_fields__:
            number(key, getattr(self, key), least=0.0)


class Horn(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Waste within the length at either end, sawn off after gluing; measures stay untrimmed."""

    foot: float = 0.0
    top: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a horn that is no size."""
        number("foot", self.foot, least=0.0)
        number("top", self.top, least=0.0)


class Variant(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One design: a blank, what it is made of, and the two cuts."""

    name: str
    blank: Blank
    layup: Layup = msgspec.field(default_factory=Plain)
    saw: Saw = msgspec.field(default_factory=Saw)
    front: Cut = msgspec.field(default_factory=Cut)
    side: Cut = msgspec.field(default_factory=Cut)
    sanding: float = 0.0
    taper_support: TaperSupport = "face down"
    limits: Limits = msgspec.field(default_factory=Limits)
    horn: Horn = msgspec.field(default_factory=Horn)
    wish: Wish | None = None
    use: Use | None = None

    def __post_init__(self) -> None:
        """Refuse a nameless variant and strips that miss the blank."""
        if not self.name.strip():
            raise ValueError("name: expected a name, found an empty one")
        text("name", self.name)
        kerf("sanding", self.sanding)
        check_fills(self.layup, self.blank.width, self.blank.depth, self.blank.length)

    def cut(self, name: CutName) -> Cut:
        """Return the cut through the front face or the right face."""
        return self.front if name == "front" else self.side


class Project(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Everything in one file: variants to be compared, and the unit they are shown in."""

    variants: tuple[Variant, ...]
    name: str = "Untitled"
    display_units: DisplayUnits = "mm"

    def __post_init__(self) -> None:
        """Refuse a project without variants or with two of the same name."""
        text("name", self.name)
        chosen("variants", self.variants, "at least one variant")
        names = [v.name for v in self.variants]
        for i, name in enumerate(names):
            if name in names[:i]:
                raise ValueError(f"variants[{i}].name: expected a name of its own, found {name!r} a second time")

    def variant(self, name: str | None = None) -> Variant:
        """Return the variant of that name, or the first; raise `UnknownVariant` naming those there are."""
        if name is None:
            return self.variants[0]
        for v in self.variants:
            if v.name == name:
                return v
        there = ", ".join(repr(v.name) for v in self.variants)
        raise UnknownVariant(f"--variant: expected one of {there}, found {name!r}")

    def with_variant(self, variant: Variant, name: str | None = None) -> Project:
        """Return the project with the variant of that name (or of the same name) replaced."""
        old = variant.name if name is None else name
        self.variant(old)
        return msgspec.structs.replace(self, variants=tuple(variant if v.name == old else v for v in self.variants))
