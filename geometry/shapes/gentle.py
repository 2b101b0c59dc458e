"""The shapes that any blade follows if their swing is easy enough: straight, arc, cyma, serpentine, post and curve."""

from __future__ import annotations

import math
from dataclasses import dataclass
from dataclasses import replace as with_fields
from typing import ClassVar

from geometry.editing import tidy_place
from geometry.project import Node
from geometry.shapes.room import Room
from geometry.shapes.shape import Parameter, eased_to, rounded

_OFF_CENTRE = "How far it stands off the centre line; less than nothing is to the left."


def _swing(room: Room, hint: str = _OFF_CENTRE) -> Parameter:
    return Parameter("swing_mm", "Swing", hint, "length", -room.swing_mm, room.swing_mm)


@dataclass(frozen=True, slots=True)
class Straight:
    """From one place at the foot to another at the top."""

    label: ClassVar[str] = "Straight"
    hint: ClassVar[str] = "One straight line, upright or leaning."

    foot_mm: float = 0.0
    top_mm: float = 0.0

    @classmethod
    def fitted(cls, room: Room) -> Straight:
        """Return the centre line."""
        return cls()

    def nodes(self, length_mm: float) -> tuple[Node, ...]:
        """Return the two ends."""
        return (
            Node(tidy_place(self.foot_mm, 0.0), "corner"),
            Node(tidy_place(self.top_mm, length_mm), "corner"),
        )

    def parameters(self, room: Room) -> tuple[Parameter, ...]:
        """Return where it begins and ends."""
        most = room.swing_mm
        return (
            Parameter("foot_mm", "At the foot", "How far off the centre line it begins.", "length", -most, most),
            Parameter("top_mm", "At the top", "How far off the centre line it ends.", "length", -most, most),
        )


@dataclass(frozen=True, slots=True)
class Arc:
    """One bow from foot to top."""

    label: ClassVar[str] = "Arc"
    hint: ClassVar[str] = "One bow from foot to top."

    swing_mm: float
    fullest: float = 0.5

    @classmethod
    def fitted(cls, room: Room) -> Arc:
        """Return a bow of a fifth of the face, or what the room holds."""
        wanted = min(0.2 * room.width_mm, 0.1 * room.length_mm)
        return with_fields(found := eased_to(cls(wanted), room), swing_mm=rounded(found.swing_mm))

    def eased(self, share: float) -> Arc:
        """Return the bow drawn in."""
        return with_fields(self, swing_mm=share * self.swing_mm)

    def nodes(self, length_mm: float) -> tuple[Node, ...]:
        """Return both ends and the fullest place."""
        return (
            Node((0.0, 0.0), "corner"),
            Node(tidy_place(self.swing_mm, self.fullest * length_mm)),
            Node(tidy_place(0.0, length_mm), "corner"),
        )

    def parameters(self, room: Room) -> tuple[Parameter, ...]:
        """Return the swing and where it is fullest."""
        return (
            _swing(room),
            Parameter(
                "fullest", "Fullest at", "The share of the height where it swings most.", "share", 0.2, 0.8, 0.05
            ),
        )


@dataclass(frozen=True, slots=True)
class Cyma:
    """One S from one side at the foot to the other side at the top, upright at both ends."""

    label: ClassVar[str] = "Cyma"
    hint: ClassVar[str] = "An ogee: one S from one side at the foot to the other at the top, upright at both ends."

    swing_mm: float
    turn: float = 0.5

    @classmethod
    def fitted(cls, room: Room) -> Cyma:
        """Return an S that crosses a third of the face, or what the room holds."""
        wanted = min(0.17 * room.width_mm, 0.1 * room.length_mm)
        return with_fields(found := eased_to(cls(wanted), room), swing_mm=rounded(found.swing_mm))

    def eased(self, share: float) -> Cyma:
        """Return the S drawn in."""
        return with_fields(self, swing_mm=share * self.swing_mm)

    def nodes(self, length_mm: float) -> tuple[Node, ...]:
        """Return five nodes on u = 2·swing·(s - sin(2πs)/2π) - swing.

        That S has neither slope nor bend at its ends, as the free ends of the spline through it.
        """
        out: list[Node] = []
        for i in range(5):
            s = i / 4.0
            u = self.swing_mm * (2.0 * (s - math.sin(2.0 * math.pi * s) / (2.0 * math.pi)) - 1.0)
            share = 2.0 * s * self.turn if s <= 0.5 else self.turn + (2.0 * s - 1.0) * (1.0 - self.turn)
            out.append(Node(tidy_place(round(u, 3), share * length_mm), "corner" if i in (0, 4) else "smooth"))
        return tuple(out)

    def parameters(self, room: Room) -> tuple[Parameter, ...]:
        """Return the swing and where it crosses the centre line."""
        return (
            _swing(room, "How far off the centre line it stands at either end; less than nothing begins at the right."),
            Parameter("turn", "Turns at", "The share of the height where it crosses over.", "share", 0.25, 0.75, 0.05),
        )


@dataclass(frozen=True, slots=True)
class Serpentine:
    """Swings to one side and the other, as many as wanted."""

    label: ClassVar[str] = "Serpentine"
    hint: ClassVar[str] = "Waves from foot to top, as many as wanted; half ones too."

    swing_mm: float
    waves: float = 1.0

    @classmethod
    def fitted(cls, room: Room, waves: float | None = None) -> Serpentine:
        """Return waves about five widths long (or as many as asked for) that swing an eighth of the face."""
        if waves is None:
            waves = max(1.0, round(room.length_mm / (5.0 * room.width_mm)))
        wanted = min(0.13 * room.width_mm, 0.1 * room.length_mm / waves)
        return with_fields(found := eased_to(cls(wanted, waves), room), swing_mm=rounded(found.swing_mm))

    def eased(self, share: float) -> Serpentine:
        """Return the waves made lower."""
        return with_fields(self, swing_mm=share * self.swing_mm)

    def nodes(self, length_mm: float) -> tuple[Node, ...]:
        """Return both ends and a node at each crest, to the right first."""
        halves = max(1, round(2.0 * self.waves))
        crests = [Node(tidy_place(self.swing_mm * (-1.0) ** k, (k + 0.5) / halves * length_mm)) for k in range(halves)]
        return (Node((0.0, 0.0), "corner"), *crests, Node(tidy_place(0.0, length_mm), "corner"))

    def parameters(self, room: Room) -> tuple[Parameter, ...]:
        """Return the number of waves and their swing."""
        most = max(1.0, math.floor(room.length_mm / 10.0))
        return (
            Parameter("waves", "Waves", "How many waves from foot to top; half ones too.", "count", 0.5, most, 0.5),
            _swing(room, "How far each wave stands off the centre line; less than nothing swings left first."),
        )


@dataclass(frozen=True, slots=True)
class PostAndCurve:
    """A post at the top for an apron or a mortise, and a curve below it that ends where the foot stands."""

    label: ClassVar[str] = "Post with a curve below"
    hint: ClassVar[str] = "A straight post at the top, for an apron or a mortise, and a curve from it to the foot."

    post_mm: float
    swing_mm: float
    foot_mm: float = 0.0

    @classmethod
    def fitted(cls, room: Room) -> PostAndCurve:
        """Return a post of a fifth of the length, at least 60 mm, and a curve that the room holds."""
        post = rounded(min(max(60.0, 0.2 * room.length_mm), 0.4 * room.length_mm))
        below = room.length_mm - post
        wanted = min(0.16 * room.width_mm, 0.08 * below)
        found = eased_to(cls(post, wanted, -0.75 * wanted), room)
        return with_fields(found, swing_mm=rounded(found.swing_mm), foot_mm=rounded(found.foot_mm))

    def eased(self, share: float) -> PostAndCurve:
        """Return the curve drawn in; the post stays."""
        return with_fields(self, swing_mm=share * self.swing_mm, foot_mm=share * self.foot_mm)

    def nodes(self, length_mm: float) -> tuple[Node, ...]:
        """Return the foot, the fullest place, and the two ends of the post, which the curve leaves tangent."""
        below = length_mm - self.post_mm
        return (
            Node(tidy_place(self.foot_mm, 0.0), "smooth"),
            Node(tidy_place(self.swing_mm, 0.5 * below)),
            Node(tidy_place(0.0, below), "corner", tangent=True),
            Node(tidy_place(0.0, length_mm), "corner"),
        )

    def parameters(self, room: Room) -> tuple[Parameter, ...]:
        """Return the length of the post, the swing of the curve and where the foot stands."""
        most = room.swing_mm
        return (
            Parameter(
                "post_mm", "Post", "How long the straight part at the top is.", "length", 5.0, 0.8 * room.length_mm
            ),
            _swing(room, "How far the curve stands off the centre line half-way down."),
            Parameter("foot_mm", "Foot", "How far off the centre line the foot stands.", "length", -most, most),
        )
