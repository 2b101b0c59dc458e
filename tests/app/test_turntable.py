"""Pictures once round: every one the piece, the last nearly the first, a GIF that plays for ever."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from app.layup_row import row_of_layups, usual_layups
from app.turntable import gif, numbered, turntable
from geometry.errors import NoSolidError
from geometry.layup import Plain, Stripes, check_fills
from geometry.piece import Piece, build
from geometry.project import Blank, Cut, Node, Variant

BLANK = Blank(width=40, depth=40, length=120)
NODES = tuple(Node(at=at) for at in ((0.0, 0.0), (5.0, 40.0), (-4.0, 80.0), (0.0, 120.0)))
SIZE = (60, 90)


def variant(layup) -> Variant:
    return Variant(name="A", blank=BLANK, layup=layup, front=Cut(nodes=NODES), side=Cut(nodes=NODES))


@pytest.fixture(scope="module")
def round_once() -> list[np.ndarray]:
    layup = Stripes(along="x", strips=((20.0, "walnut"), (20.0, "maple")))
    return list(turntable(build(variant(layup)), SIZE, 6))


def test_every_picture_holds_the_piece_inside_its_frame(round_once):
    for picture in round_once:
        assert picture.shape == (90, 60, 3)
        ground = picture[:, [0, 1]].astype(float).mean(axis=1, keepdims=True)
        piece = np.abs(picture - ground).max(axis=2) > 45
        rows = np.flatnonzero(piece[:, 20:40].any(axis=1))
        assert 2 < rows[0] < 15 and 75 < rows[-1] < 88


def test_the_piece_turns_from_picture_to_picture(round_once):
    for one, two in zip(round_once, round_once[1:], strict=False):
        assert np.abs(one.astype(float) - two).max() > 60


def test_a_gif_has_every_picture_and_plays_for_ever(round_once):
    read = Image.open(io.BytesIO(gif(round_once, round_ms=1200)))
    assert (read.n_frames, read.info["loop"], read.info["duration"]) == (6, 0, 200)
    for index, picture in enumerate(round_once):
        read.seek(index)
        assert np.abs(np.asarray(read.convert("RGB")).astype(float) - picture).mean() < 6.0


def test_numbered_pictures_stand_beside_the_name(round_once):
    files = dict(numbered("leg.png", iter(round_once[:2])))
    assert list(files) == ["leg_001.png", "leg_002.png"]
    assert np.array_equal(np.asarray(Image.open(io.BytesIO(files["leg_002.png"]))), round_once[1])


def test_no_wood_is_said_so():
    nothing = build(variant(Plain()))
    empty = type(nothing.quarters[0])(np.zeros((0, 3)), np.zeros((0, 3), np.int64))
    piece = Piece(**{
        **{name: getattr(nothing, name) for name in nothing.__slots__}, "quarters": (empty,) * 4,
    })  # fmt: skip
    with pytest.raises(NoSolidError):
        list(turntable(piece, SIZE, 2))


def test_a_row_shows_each_layup_once_from_left_to_right():
    layups = [Plain(species=name) for name in ("walnut", "basswood", "sapele")]
    picture = np.asarray(Image.open(io.BytesIO(row_of_layups(variant(Plain()), layups, (240, 100))))).astype(float)
    assert picture.shape == (100, 240, 3)
    band = picture[40:60]
    redness = np.median(band[..., 0] / band[..., 2], axis=0)  # the backdrop's is near 1
    wood = np.flatnonzero(redness > 1.15)
    starts = [wood[0], *wood[1:][np.diff(wood) > 6]]
    assert len(starts) == 3  # three pieces, apart from one another
    walnut, basswood, sapele = (band[:, start + 3 : start + 14].reshape(-1, 3).mean(axis=0) for start in starts)
    assert basswood.mean() > walnut.mean() + 60 and basswood.mean() > sapele.mean() + 60
    assert sapele[0] / sapele[2] > walnut[0] / walnut[2] + 0.2


def test_the_usual_layups_fill_any_blank():
    for blank in (BLANK, Blank(width=130, depth=90, length=900), Blank(width=33.3, depth=71.7, length=255.1)):
        layups = usual_layups(blank)
        assert len({str(layup) for layup in layups}) == len(layups)
        for layup in layups:
            check_fills(layup, blank.width, blank.depth, blank.length)
