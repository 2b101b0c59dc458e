"""What a wish may say in a file, and what it may not."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from geometry.cabriole import Cabriole, cabriole_outlines
from geometry.curvature import highs_and_lows
from geometry.errors import ProjectFileError
from geometry.files import project_from_json, project_to_json
from geometry.lines import line_through

OUTLINE: dict[str, Any] = {
    "left": [{"at": [-30, 0]}, {"at": [-20, 400]}],
    "right": [{"at": [30, 0]}, {"at": [20, 400]}],
}


def project(wish: dict[str, Any]) -> dict[str, Any]:
    variant = {"name": "A", "blank": {"width": 60, "depth": 60, "length": 420}, "wish": wish}
    return {"format": "cornerwise project", "version": 1, "variants": [variant]}


def wish_of(raw: dict[str, Any]):
    wish = project_from_json(project(raw)).variants[0].wish
    assert wish is not None
    return wish


def test_a_view_may_follow_the_other():
    wish = wish_of({"front": OUTLINE, "follows": "front"})
    assert wish.view("side") is wish.front
    assert wish.length == 400.0


def test_a_view_left_out_is_no_wish():
    assert wish_of({"side": OUTLINE}).view("front") is None


def test_it_survives_its_file():
    project_ = project_from_json(
        project({"front": {"cabriole": {"ankle": 30}}, "give": {"sizes": [60, 70], "axis": True}})
    )
    assert project_from_json(project_to_json(project_)) == project_


@pytest.mark.parametrize(
    ("change", "key", "words"),
    [
        ({"front": {"left": OUTLINE["left"]}}, "wish.front", "right: expected the nodes of an outline"),
        ({"front": {**OUTLINE, "cabriole": {}}}, "wish.front", "expected either an outline or cabriole"),
        ({"front": {**OUTLINE, "left": [{"at": [0, 5]}, {"at": [0, 400]}]}}, "wish.front", "begins at the foot"),
        ({"front": {**OUTLINE, "left": [{"at": [0, 0]}, {"at": [0, 300]}]}}, "wish.front", "as high as the left"),
        ({"front": {**OUTLINE, "left": [{"at": [0, 0]}]}}, "wish.front", "at least two, found one"),
        ({"side": {"cabriole": {}}}, "wish", "as high as the front's"),
        ({"follows": "side"}, "wish", "which has none"),
        ({"follows": "top"}, "wish.follows", "expected one of front, side"),
        ({"tolerance": 0.01}, "wish", "not below 0.05"),
        ({"give": {"sizes": "any"}}, "wish.give.sizes", "expected one of free"),
        ({"give": {"sizes": []}}, "wish.give", "at least one stock size"),
        ({"give": {"sizes": [3]}}, "wish.give", "sizes[0]: expected a size from 5"),
        ({"give": {"trims": -1}}, "wish.give", "from 0 to 12"),
        ({"front": {"cabriole": {"knee_height": 400}}}, "wish.front.cabriole", "expected to lie below the post"),
        ({"front": {"cabriole": {"ankle_height": 20}}}, "wish.front.cabriole", "expected to lie above foot_height"),
    ],
)  # fmt: skip
def test_what_is_no_wish_is_refused_in_one_sentence(change: dict[str, Any], key: str, words: str):
    with pytest.raises(ProjectFileError) as refused:
        project_from_json(project({"front": copy.deepcopy(OUTLINE), **change}))
    assert f"variants[0].{key}" in str(refused.value)
    assert words in str(refused.value)


def test_a_wish_wants_an_outline():
    with pytest.raises(ProjectFileError, match="at least one view"):
        project_from_json(project({}))


def test_a_cabriole_has_the_sizes_it_is_given():
    sizes = Cabriole()
    left, right = (line_through(nodes) for nodes in cabriole_outlines(sizes))
    places = [node.at for node in cabriole_outlines(sizes)[1]]
    assert (sizes.post / 2 + sizes.knee_overhang, sizes.knee_height) in places
    assert (sizes.ankle / 2, sizes.ankle_height) in places
    assert (sizes.toe, sizes.foot_height / 2) in places
    for line, sign in ((left, -1.0), (right, 1.0)):
        assert len(highs_and_lows(line)) == 2  # it rises all the way
        assert tuple(line.end) == (sign * sizes.post / 2, sizes.length)
        assert line.pieces[-1, 0, 1] == sizes.length - sizes.post_length
