"""The blank's faces as flat pictures: right way up, right strip in the right place."""

from __future__ import annotations

import numpy as np
import pytest

from app.scene.wood.faces import face_texture
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.project import Blank, Variant

BLANK = Blank(width=60, depth=40, length=300)


def textured(layup, face, size=(60, 150), **kwargs):
    return face_texture(Variant(name="A", blank=BLANK, layup=layup), face, *size, **kwargs).astype(float)


def is_dark(picture):
    return picture.mean(axis=-1) < 140.0


@pytest.mark.parametrize("quick", [False, True])
def test_strips_stand_where_the_blank_has_them(quick):
    layup = Stripes(along="x", strips=((15.0, "walnut"), (45.0, "maple")))
    front = is_dark(textured(layup, "front", quick=quick))
    assert front[:, :14].all() and not front[:, 16:].any()
    assert not is_dark(textured(layup, "side", quick=quick)).any()  # the right face is the last strip
    top = is_dark(textured(layup, "top", (60, 40), quick=quick))
    assert top[:, :14].all() and not top[:, 16:].any()


@pytest.mark.parametrize("quick", [False, True])
def test_the_top_of_the_blank_is_the_top_of_the_picture(quick):
    layup = Checker(x=(60.0,), y=(10.0, 30.0), z=(200.0, 100.0), species=("walnut", "maple"))
    front = is_dark(textured(layup, "front", quick=quick))  # the front row of blocks: walnut below, maple above
    assert front[52:].all() and not front[:48].any()
    side = is_dark(textured(layup, "side", (40, 150), quick=quick))
    assert side[52:, :9].all() and not side[52:, 11:].any()
    assert side[:48, 11:].all() and not side[:48, :9].any()
    top = is_dark(textured(layup, "top", (60, 40), quick=quick))  # y up: the front is the lower side
    assert not top[31:].any() and top[:29].all()


@pytest.mark.parametrize("quick", [False, True])
def test_bands_climb_to_the_peak_and_fall_beyond(quick):
    layup = Chevron(across="x", angle_deg=45.0, pitch=50.0, species=("walnut", "maple"))
    front = is_dark(textured(layup, "front", (60, 300), quick=quick))
    u = np.arange(60) - 29.5
    z = 299.5 - np.arange(300)
    rise = z[:, None] + np.abs(u)[None, :]
    wanted = (rise // 50.0).astype(int) % 2 == 0
    clear = np.abs((rise % 50.0) - 25.0) < 23.0
    assert np.array_equal(front[clear], wanted[clear])


def test_a_quick_picture_is_the_same_wood():
    for layup in (Plain(species="white-oak"), Stripes(along="x", strips=((30.0, "cherry"), (30.0, "ash")))):
        fine, quick = (textured(layup, "front", (240, 300), quick=q) for q in (False, True))
        near = np.abs(fine - quick).mean()
        other = np.abs(fine - quick[::-1, ::-1]).mean()
        assert near < 10.0 and near < 0.7 * other


def test_a_tapered_face_is_seen_in_the_rectangle_about_it():
    layup = Stripes(along="x", strips=((15.0, "walnut"), (45.0, "maple")))
    blank = Blank(width=60, depth=40, length=300, top_width=30, top_depth=80)
    whole = Variant(name="A", blank=blank, layup=layup)
    front = is_dark(face_texture(whole, "front", 60, 150).astype(float))
    assert front[:, :14].all() and not front[:, 16:].any()  # strips keep their width up the blank
    top = is_dark(face_texture(whole, "top", 60, 80).astype(float))
    assert not top.any()  # from -15 to 15 there is maple alone


def test_the_face_of_a_tapered_blank_leans_into_the_wood():
    layup = Stripes(along="y", strips=((10.0, "walnut"), (30.0, "maple")))
    blank = Blank(width=60, depth=40, length=300, top_depth=10)
    front = is_dark(face_texture(Variant(name="A", blank=blank, layup=layup), "front", 40, 150).astype(float))
    # the face is 10 mm in, where the maple begins, two thirds of the way up
    assert front[52:].all() and not front[:48].any()
