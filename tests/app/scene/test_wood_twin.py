"""The shader and the numpy twin give the same wood."""

from __future__ import annotations

import numpy as np
import pytest

from app.scene.body import Body
from app.scene.camera import CameraPose
from app.scene.quiet import messages
from app.scene.scene import Scene
from app.scene.still import render_still
from app.scene.wood.bake import Strip, bake
from app.scene.wood.finish import INSET_MM, WoodFinish
from app.scene.wood.table import wood_table
from app.scene.wood.twin import evaluate
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.layup_grid import layup_grid
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.species import SPECIES_NAMES

BLANK = Blank(width=60, depth=60, length=400)
LAYUPS = {
    "plain": Plain(species="walnut"),
    "stripes": Stripes(
        along="x", strips=((10.0, "maple"), (20.0, "red-oak"), (12.0, "ash"), (8.0, "teak"), (10.0, "pine"))
    ),
    "level stripes": Stripes(along="y", strips=((25.0, "sapele"), (35.0, "beech"))),
    "checker": Checker(x=(15.0,) * 4, y=(20.0,) * 3, z=(25.0,) * 16, species=("cherry", "white-oak", "poplar")),
    "chevron": Chevron(across="x", angle_deg=40.0, pitch=12.0, peak=3.0, species=("maple", "mahogany")),
    "leaning bands": Chevron(across="y", angle_deg=-30.0, pitch=9.0, peak=80.0, species=("fir", "birch")),
    "many edges": Checker(x=(0.5,) * 120, y=(60.0,), z=(4.0,) * 100, species=("basswood", "soft-maple")),
}
PLANES = {  # a corner, its right and its upper neighbour: close by, far away, on the end, aslant
    "close": ((-30, 5.3, 180), (60, 0, 0), (0, 0, 60)),
    "far": ((-30, -12.7, 0), (60, 0, 0), (0, 0, 400)),
    "end": ((-30, -30, 399), (60, 0, 0), (0, 60, 0)),
    "aslant": ((-30, -30, 100), (60, 10, 0), (0, 50, 200)),
}
PX = 128


def in_steps(colours) -> np.ndarray:
    return np.clip(np.asarray(colours, float), 0.0, 1.0) * 255.0


def assert_same(drawn, computed) -> None:
    apart = np.abs(drawn.astype(float) - in_steps(computed)).max(axis=-1)
    assert (apart > 2.0).mean() <= 0.005
    assert np.median(apart) <= 0.6  # and as a rule only the rounding to whole steps is between them


@pytest.mark.parametrize("plane", PLANES)
@pytest.mark.parametrize("layup", LAYUPS)
def test_planes_come_out_the_same_on_both(layup, plane):
    table = wood_table(layup_grid(LAYUPS[layup], BLANK), BLANK)
    corner, right, up = (np.array(v, float) for v in PLANES[plane])
    points = np.array([[corner, corner + right], [corner + up, corner + right + up]])
    across = (np.arange(PX) + 0.5) / PX
    grid = corner + across[None, :, None] * right + across[:, None, None] * up
    for mode in ("wood", "pattern"):
        shown = table.shown(mode)
        drawn = bake(shown, [Strip(0, 0, PX, PX, np.array([0.0, 1.0]), points)], PX, PX)
        computed = evaluate(shown, grid.reshape(-1, 3), right / PX, up / PX).reshape(PX, PX, 3)
        assert drawn.std() > 1.0, "nothing was drawn"
        assert_same(drawn, computed)
    assert messages() == ""


def test_every_species_comes_out_the_same_on_both():
    right, up = np.array([0, 40.0, 0]) / PX, np.array([0, 0, 40.0]) / PX
    across = np.arange(PX) + 0.5
    for name in SPECIES_NAMES:
        table = wood_table(layup_grid(Plain(species=name), BLANK), BLANK)
        corner = np.array([4.0, -20.0, 150.0])
        points = np.array([[corner, corner + PX * right], [corner + PX * up, corner + PX * (right + up)]])
        drawn = bake(table, [Strip(0, 0, PX, PX, np.array([0.0, 1.0]), points)], PX, PX)
        grid = corner + across[None, :, None] * right + across[:, None, None] * up
        assert_same(drawn, evaluate(table, grid.reshape(-1, 3), right, up).reshape(PX, PX, 3))


class Unlit(WoodFinish):
    """The wood as it is, without light and without edge lines."""

    def shade(self, dressed, body):
        super().shade(dressed, body)
        look = dressed.surface.GetProperty()
        look.SetAmbient(1.0)
        look.SetDiffuse(0.0)
        look.SetSpecular(0.0)
        dressed.lines.VisibilityOff()


def faces_seen_from_the_front(solid, x, z):
    """For each point (x, z) the triangle in front, as its plane: point (n, 3) and unit normal (n, 3)."""
    corners = solid.vertices[solid.triangles]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    front = normal[:, 1] < -1e-9
    corners, normal = corners[front], normal[front]
    depth = np.full(len(x), np.inf)
    chosen = np.full(len(x), -1)
    for index, (three, out) in enumerate(zip(corners, normal, strict=True)):
        inside = np.ones(len(x), dtype=bool)
        for one, two in ((0, 1), (1, 2), (2, 0)):
            (x0, _, z0), (x1, _, z1) = three[one], three[two]
            inside &= (x1 - x0) * (z - z0) - (z1 - z0) * (x - x0) >= 0.0
        y = three[0, 1] - (out[0] * (x - three[0, 0]) + out[2] * (z - three[0, 2])) / out[1]
        nearer = inside & (y < depth)
        depth[nearer], chosen[nearer] = y[nearer], index
    unit = normal / np.linalg.norm(normal, axis=1, keepdims=True)
    return np.where(chosen >= 0, depth, np.nan), unit[chosen], chosen


def test_the_sawn_face_of_a_real_piece_comes_out_the_same_on_both():
    nodes = tuple(Node(at=at) for at in ((0.0, 0.0), (8.0, 60.0), (-6.0, 140.0), (0.0, 200.0)))
    blank = Blank(width=50, depth=50, length=200)
    piece = build(Variant(name="A", blank=blank, front=Cut(nodes=nodes), side=Cut(nodes=nodes)))
    quarter = piece.quarters[2]  # back right: its sawn face towards the front is the side line's
    table = wood_table(layup_grid(Stripes(along="x", strips=((20.0, "walnut"), (30.0, "maple"))), blank), blank)
    width, height, mm = 120, 220, 0.9
    scene = Scene(finish=Unlit(table))
    # where a body stands makes no difference: it is drawn 300 mm away from its own coordinates
    away = np.eye(4)
    away[:3, 3] = 300.0, 40.0, -90.0
    scene.set_bodies([Body(quarter, (0.5, 0.5, 0.5), away)])
    scene.stand(CameraPose((310.0, -900.0, 10.0), (310.0, 40.0, 10.0), (0.0, 0.0, 1.0), True, 20.0, height * mm / 2.0))
    drawn = render_still(scene, (width, height), supersampling=1)[::-1]
    assert messages() == ""

    column, row = np.meshgrid(np.arange(width), np.arange(height))
    x = (10.0 + (column + 0.5 - width / 2.0) * mm).ravel()
    z = (100.0 + (row + 0.5 - height / 2.0) * mm).ravel()
    y, out, face = faces_seen_from_the_front(quarter, x, z)
    hit = np.flatnonzero(~np.isnan(y))
    picture = face.reshape(height, width)
    alone = np.ones((height, width), dtype=bool)  # the steps of a pixel are only known inside one triangle
    for shift in (-1, 1):
        alone &= (np.roll(picture, shift, 0) == picture) & (np.roll(picture, shift, 1) == picture)
    keep = hit[alone.ravel()[hit]]
    assert len(keep) > 1500
    x, y, z, out = x[keep], y[keep], z[keep], out[keep]
    dx = np.stack([np.full(len(x), mm), -out[:, 0] / out[:, 1] * mm, 0 * x], axis=1)
    dy = np.stack([0 * x, -out[:, 2] / out[:, 1] * mm, np.full(len(x), mm)], axis=1)
    computed = evaluate(table, np.stack([x, y, z], axis=1) - INSET_MM * out, dx, dy)
    assert np.ptp(computed) > 0.3  # both species are in the picture
    assert_same(drawn.reshape(-1, 3)[keep], computed)
