"""The outline of a cabriole leg from a few sizes: post, knee, ankle, foot and toe.

The leg stands with the glue seam upright in its middle; it swings out to the right at the knee and the toe.
"""

from __future__ import annotations

import msgspec

from geometry.checks import number, size
from geometry.node import Node


class Cabriole(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The sizes of a cabriole leg in millimetres; the defaults make a leg for a low table.

    ``post`` is the width of the upright post at the top, ``post_length`` how far it comes down. The knee stands out
    by ``knee_overhang`` past the post at ``knee_height``, ``knee`` thick there, or a sixteenth less than the post. The
    ankle is ``ankle`` thick at ``ankle_height``. The toe reaches ``toe`` from the middle at half the ``foot_height``.
    """

    length: float = 420.0
    post: float = 70.0
    post_length: float = 75.0
    knee_overhang: float = 9.0
    knee_height: float = 290.0
    knee: float | None = None
    ankle: float = 28.0
    ankle_height: float = 85.0
    foot_height: float = 30.0
    toe: float = 26.0

    def __post_init__(self) -> None:
        """Refuse sizes that are none, and places that are not in order from foot to top."""
        for key in ("length", "post", "ankle"):
            size(key, getattr(self, key))
        if self.knee is not None:
            size("knee", self.knee)
        for key in ("post_length", "knee_overhang"):
            number(key, getattr(self, key), least=0.0)
        for key in ("foot_height", "toe"):
            number(key, getattr(self, key), above=0.0)
        for low, high in (("foot_height", "ankle_height"), ("ankle_height", "knee_height")):
            if not getattr(self, low) < getattr(self, high):
                raise ValueError(
                    f"{high}: expected to lie above {low}, {getattr(self, low):g}, found {getattr(self, high):g}"
                )
        post_foot = self.length - self.post_length
        if not self.knee_height < post_foot:
            raise ValueError(
                f"knee_height: expected to lie below the post, {post_foot:g} up, found {self.knee_height:g}"
            )


def cabriole_outlines(sizes: Cabriole) -> tuple[tuple[Node, ...], tuple[Node, ...]]:
    """Return the nodes of the left (inner) and the right (outer) outline, from foot to top.

    Smooth nodes at the toe, the ankle and the knee; a run of them leaves the post along it. Between knee and ankle
    each outline passes half-way, a quarter past which the curve turns from swelling to hollow (our own proportion).
    """
    half, post_foot = sizes.post / 2.0, sizes.length - sizes.post_length
    knee = sizes.post * 15.0 / 16.0 if sizes.knee is None else sizes.knee
    ankle_right, ankle_left = sizes.ankle / 2.0, -sizes.ankle / 2.0
    knee_right = half + sizes.knee_overhang
    knee_left = knee_right - knee
    middle = (sizes.knee_height + sizes.ankle_height) / 2.0

    def outline(foot: float, toe: float, ankle: float, at_knee: float, post: float) -> tuple[Node, ...]:
        nodes = [Node((foot, 0.0)), Node((toe, sizes.foot_height / 2.0)), Node((ankle, sizes.ankle_height))]
        nodes += [Node((ankle + 0.5 * (at_knee - ankle), middle)), Node((at_knee, sizes.knee_height))]
        if sizes.post_length > 0.0:
            return (*nodes, Node((post, post_foot), "corner", True), Node((post, sizes.length), "corner"))
        return (*nodes, Node((post, sizes.length)))

    heel = ankle_left - 0.15 * (sizes.toe - ankle_right)  # the heel hardly stands out: the foot points forward
    right = outline(0.92 * sizes.toe, sizes.toe, ankle_right, knee_right, half)
    left = outline(0.97 * heel, heel, ankle_left, knee_left, -half)
    return left, right
