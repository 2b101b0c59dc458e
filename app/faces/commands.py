"""What can be done to the lines with one command: its words, its key, when it can be done, and what comes of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from msgspec.structs import replace

from app.faces.flats import flats_profile
from app.faces.selection import Selection, View, chosen_nodes, cut_of, everything, with_cut_of
from geometry.copying import (
    copied_to_other_face,
    mirrored,
    other_face,
    stood_on_other_end,
    with_cut,
    with_order_reversed,
)
from geometry.curvature import piece_lengths
from geometry.editing import nodes_of, with_kind, with_node_added, with_tangent, without_nodes
from geometry.lines import line_of
from geometry.posts import with_post
from geometry.project import CutName, NodeKind, Trim, Variant
from geometry.trim_editing import copied_trim, mirrored_trim, new_trim, with_trim, with_trim_added

Outcome = tuple[Variant, Selection]


@dataclass(frozen=True, slots=True)
class Command:
    """One thing that can be done.

    Attributes
    ----------
    key : by which programs know it
    text, tip : what it is called, and a sentence on what it does
    shortcut : while the faces have the keyboard
    step : what undo calls it
    can : whether it can be done now
    run : what comes of it
    views : where it can be done at all
    """

    key: str
    text: str
    shortcut: str
    tip: str
    step: str
    can: Callable[[Variant, Selection], bool]
    run: Callable[[Variant, Selection], Outcome]
    views: tuple[View, ...] = ("faces",)


_BOTH: Final[tuple[View, View]] = ("faces", "flats")


# ---------------------------------------------------------------- chosen nodes


def _has_other_kind(kind: NodeKind) -> Callable[[Variant, Selection], bool]:
    return lambda variant, selection: any(n.kind != kind for n in chosen_nodes(variant, selection))


def _make(kind: NodeKind) -> Callable[[Variant, Selection], Outcome]:
    def run(variant: Variant, selection: Selection) -> Outcome:
        cut = with_kind(cut_of(variant, selection), variant.blank.length, selection.nodes, kind)
        return with_cut_of(variant, selection, cut), selection

    return run


def _can_leave_along(variant: Variant, selection: Selection) -> bool:
    """Return True where a chosen corner lies between a straight stretch and a curve."""
    nodes = cut_of(variant, selection).nodes
    for i in selection.nodes:
        if 0 < i < len(nodes) - 1 and nodes[i].kind == "corner" and nodes[i - 1].kind != nodes[i + 1].kind:
            return True
    return any(n.tangent for n in chosen_nodes(variant, selection))


def _toggle_tangent(variant: Variant, selection: Selection) -> Outcome:
    """Let the curve leave along the straight, or freely again where all of the chosen corners do so already."""
    before = cut_of(variant, selection)
    corners = [i for i in selection.nodes if before.nodes[i].kind == "corner"]
    tangent = not all(before.nodes[i].tangent for i in corners)
    cut = with_tangent(before, variant.blank.length, corners, tangent)
    return with_cut_of(variant, selection, cut), selection


def _any_chosen(variant: Variant, selection: Selection) -> bool:
    return bool(selection.nodes)


def _delete(variant: Variant, selection: Selection) -> Outcome:
    cut = without_nodes(cut_of(variant, selection), variant.blank.length, selection.nodes)
    left, changed = len(cut.nodes), with_cut_of(variant, selection, cut)
    if not left and selection.trim is not None:
        return changed, Selection(selection.cut)
    # the one before is taken in hand, so that the keyboard goes on from there
    at = min(max(min(selection.nodes) - 1, 0), left - 1)
    return changed, Selection.of(selection.cut, (at,) if left else (), trim=selection.trim)


def _add_midway(variant: Variant, selection: Selection) -> Outcome:
    """Add a node half-way to the next one, or with none chosen in the middle of the longest stretch."""
    cut, length = cut_of(variant, selection), variant.blank.length
    line = line_of(cut, length)
    longest = int(piece_lengths(line).argmax())
    piece = longest if selection.at is None else min(selection.at, len(line.pieces) - 1)
    u, z = line.at(np.array([piece]), np.array([0.5]))[0]
    added, number = with_node_added(cut, length, (float(u), float(z)))
    return with_cut_of(variant, selection, added), Selection.of(selection.cut, (number,), trim=selection.trim)


def _two_chosen(variant: Variant, selection: Selection) -> bool:
    heights = [n.at[1] for n in chosen_nodes(variant, selection)]
    return len(heights) > 1 and max(heights) - min(heights) >= 1.0


def _straighten(variant: Variant, selection: Selection) -> Outcome:
    heights = [n.at[1] for n in chosen_nodes(variant, selection)]
    cut = with_post(variant.cut(selection.cut), variant.blank.length, min(heights), max(heights))
    post = [i for i, n in enumerate(cut.nodes) if n.at in ((0.0, min(heights)), (0.0, max(heights)))]
    return with_cut(variant, selection.cut, cut), Selection.of(selection.cut, tuple(post))


# ---------------------------------------------------------------- whole lines


def _has_nodes(variant: Variant, selection: Selection) -> bool:
    return bool(cut_of(variant, selection).nodes)


def _always(variant: Variant, selection: Selection) -> bool:
    return True


def _mirror(variant: Variant, selection: Selection) -> Outcome:
    return with_cut(variant, selection.cut, mirrored(variant.cut(selection.cut))), selection


def _stand(variant: Variant, selection: Selection) -> Outcome:
    cut = stood_on_other_end(variant.cut(selection.cut), variant.blank.length)
    return with_cut(variant, selection.cut, cut), _from_behind(variant, selection)


def _runs_down(variant: Variant, selection: Selection) -> bool:
    nodes = variant.cut(selection.cut).nodes
    return bool(nodes) and nodes[0].at[1] > nodes[-1].at[1]


def _reverse(variant: Variant, selection: Selection) -> Outcome:
    cut = with_order_reversed(variant.cut(selection.cut))
    return with_cut(variant, selection.cut, cut), _from_behind(variant, selection)


def _from_behind(variant: Variant, selection: Selection) -> Selection:
    """Return the same nodes, counted from the other end."""
    last = len(variant.cut(selection.cut).nodes) - 1
    at = None if selection.at is None else last - selection.at
    return Selection.of(selection.cut, tuple(last - i for i in selection.nodes), at)


def _copy_together(variant: Variant, selection: Selection) -> Outcome:
    return copied_to_other_face(variant, selection.cut, "together"), selection


def _copy_apart(variant: Variant, selection: Selection) -> Outcome:
    return copied_to_other_face(variant, selection.cut, "apart"), selection


def _straight_again(variant: Variant, selection: Selection) -> Outcome:
    cut = replace(variant.cut(selection.cut), nodes=())
    return with_cut(variant, selection.cut, cut), Selection(selection.cut)


# ---------------------------------------------------------------- selecting


def _select_all(variant: Variant, selection: Selection) -> Outcome:
    return variant, everything(variant, selection.cut, selection.trim)


def _to_other_face(variant: Variant, selection: Selection) -> Outcome:
    to = other_face(selection.cut)
    if selection.trim is not None:
        there = variant.cut(to).trims
        return variant, Selection(to, trim=min(selection.trim, len(there) - 1) if there else None)
    # the node nearest in height is taken in hand, so that one can go to and fro
    here = [n.at[1] for n in chosen_nodes(variant, selection)]
    heights = nodes_of(variant.cut(to), 0.0 if not variant.cut(to).nodes else variant.blank.length)
    if not here or not variant.cut(to).nodes:
        return variant, Selection(to)
    nearest = min(range(len(heights)), key=lambda i: abs(heights[i].at[1] - here[-1]))
    return variant, Selection.of(to, (nearest,))


# ---------------------------------------------------------------- trims


def _is_straight(variant: Variant, selection: Selection) -> bool:
    return not variant.blank.is_tapered


def _has_trim(variant: Variant, selection: Selection) -> bool:
    return selection.trim is not None


def _add_trim(side: int) -> Callable[[Variant, Selection], Outcome]:
    def run(variant: Variant, selection: Selection) -> Outcome:
        wood, cut = flats_profile(variant, selection.cut), variant.cut(selection.cut)
        return _with_one_more(variant, selection.cut, new_trim(wood, variant.blank.length, side, cut))

    return run


def _with_one_more(variant: Variant, cut: CutName, trim: Trim) -> Outcome:
    added = with_trim_added(variant.cut(cut), trim)
    return with_cut(variant, cut, added), Selection(cut, trim=len(added.trims) - 1)


def _trim_of(variant: Variant, selection: Selection) -> Trim:
    assert selection.trim is not None  # only run where a trim is chosen
    return variant.cut(selection.cut).trims[selection.trim]


def _mirror_trim(variant: Variant, selection: Selection) -> Outcome:
    wood = flats_profile(variant, selection.cut)
    return _with_one_more(variant, selection.cut, mirrored_trim(_trim_of(variant, selection), wood))


def _copy_trim(variant: Variant, selection: Selection) -> Outcome:
    to = other_face(selection.cut)
    assert selection.trim is not None
    wood, there = flats_profile(variant, selection.cut), flats_profile(variant, to)
    copied = copied_trim(variant, selection.cut, selection.trim, wood, there)
    return _with_one_more(variant, to, copied)


def _delete_trim(variant: Variant, selection: Selection) -> Outcome:
    assert selection.trim is not None
    cut = with_trim(variant.cut(selection.cut), selection.trim, None)
    return with_cut(variant, selection.cut, cut), Selection(selection.cut)


COMMANDS: Final[tuple[tuple[Command, ...], ...]] = (
    (
        Command("smooth", "Smooth", "S", "The line passes the selected nodes in one curve.",
                "Make smooth", _has_other_kind("smooth"), _make("smooth"), _BOTH),
        Command("corner", "Corner", "C", "The line may turn at the selected nodes; between two corners it is straight.",
                "Make a corner", _has_other_kind("corner"), _make("corner"), _BOTH),
        Command("along", "Leave along the straight", "A",
                "Where a straight stretch meets a curve, the curve leaves in the direction of the straight; "
                "again to let it leave freely.", "Leave along the straight", _can_leave_along, _toggle_tangent,
                _BOTH),
        Command("add", "Add a node", "Ins", "A node half-way to the next one.", "Add a node", _always, _add_midway,
                _BOTH),
        Command("delete", "Delete", "Del", "Take the selected nodes out of the line.",
                "Delete nodes", _any_chosen, _delete, _BOTH),
        Command("post", "Straighten into a post", "P",
                "Between the lowest and the highest selected node the line becomes straight and upright on the centre "
                "line, for an apron or a mortise. Select two nodes or more.",
                "Straighten into a post", _two_chosen, _straighten),
    ),
    (
        Command("mirror", "Mirror across the centre line", "M", "What swings right swings left.",
                "Mirror line", _has_nodes, _mirror),
        Command("stand", "Stand on the other end", "E", "Turn the line upside down, without a change of sides.",
                "Stand line on the other end", _has_nodes, _stand),
        Command("reverse", "Run from foot to top", "R",
                "For a line that was drawn from the top down: the same line, in the order in which it is sawn.",
                "Reverse line", _runs_down, _reverse),
        Command("together", "Copy to the other face, swinging together", "K",
                "Both lines swing toward the corner the two faces share, and away from it, together.",
                "Copy line, swinging together", _always, _copy_together),
        Command("apart", "Copy to the other face, swinging apart", "Shift+K",
                "Where this line swings toward the corner the two faces share, the other swings away from it.",
                "Copy line, swinging apart", _always, _copy_apart),
        Command("straight", "Straight again", "Ctrl+Del", "Take all nodes out: the line is the centre line.",
                "Straighten line", _has_nodes, _straight_again),
    ),
    (
        Command("trim right", "Add a trim on the right", "Shift+R",
                "A gentle hollow to begin with, sawn flats together out of the half on the right.",
                "Add a trim", _is_straight, _add_trim(1), ("flats",)),
        Command("trim left", "Add a trim on the left", "Shift+L",
                "A gentle hollow to begin with, sawn flats together out of the half on the left.",
                "Add a trim", _is_straight, _add_trim(-1), ("flats",)),
        Command("mirror trim", "Mirror to the other side", "Shift+M",
                "The same trim on the other side of the glue seam.",
                "Mirror trim", _has_trim, _mirror_trim, ("flats",)),
        Command("copy trim", "Copy to the other direction", "Shift+O", "The same trim seen from the other face.",
                "Copy trim", _has_trim, _copy_trim, ("flats",)),
        Command("delete trim", "Take the trim out", "Shift+Del", "The wood that it took stays.",
                "Delete trim", _has_trim, _delete_trim, ("flats",)),
    ),
    (
        Command("all", "Select all nodes", "Ctrl+A", "All nodes of this line.", "", _has_nodes, _select_all, _BOTH),
        Command("other", "Go to the other face", "O", "Work on the line beside.", "", _always, _to_other_face, _BOTH),
    ),
)  # fmt: skip
"""All commands, in groups as they stand in menus. One without a step only selects."""
