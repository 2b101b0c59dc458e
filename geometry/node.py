"""A point of a drawn line or outline. A frozen value; the constructor checks."""

from __future__ import annotations

from typing import Literal

import msgspec

from geometry.checks import coordinate

NodeKind = Literal["smooth", "corner"]


class Node(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A point of a line: across from the centre line and up from the foot.

    ``tangent`` matters at a corner between a straight stretch and a curve: the curve leaves along the straight.
    """

    at: tuple[float, float]
    kind: NodeKind = "smooth"
    tangent: bool = False

    def __post_init__(self) -> None:
        """Refuse places that are not finite or further than ten metres away."""
        for i, value in enumerate(self.at):
            coordinate(f"at[{i}]", value)


def check_nodes(key: str, nodes: tuple[Node, ...]) -> None:
    """Raise ValueError for a single node and for two in a row at the same place: neither gives a line."""
    if len(nodes) == 1:
        raise ValueError(f"{key}: expected no node (a straight centre line) or at least two, found one")
    for i, (before, after) in enumerate(zip(nodes, nodes[1:], strict=False)):
        if before.at == after.at:
            raise ValueError(f"{key}[{i + 1}].at: expected a place other than the node before it, found the same")
