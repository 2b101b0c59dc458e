"""How long a changed line takes to the four turned meshes, beside the plain way and beside the least it could take.

Nothing passes or fails by the clock. ``python3 -m tests.benchmarks.compare`` prints the ratios; pytest measures with
``--benchmark-enable``.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh
from msgspec.structs import replace

from geometry.lines import line_of
from geometry.measures import cavalieri_volume, moments
from geometry.meshes import bodies_for, mesh_file
from geometry.piece import build
from geometry.project import Blank, Cut, Node, Variant
from geometry.sampling import sample
from geometry.sawing import QUARTER_SIGNS
from geometry.solids import Solid
from geometry.tolerances import EXPORT_CHORD_MM, LIVE_CHORD_MM
from geometry.turning import placements
from tests.strategies import hooked

LENGTH = 420.0


def serpentine(swing: float, waves: float, count: int) -> tuple[Node, ...]:
    z = np.linspace(0.0, LENGTH, count)
    u = swing * np.sin(2.0 * np.pi * waves * z / LENGTH)
    return tuple(Node((float(a), float(b))) for a, b in zip(u, z, strict=True))


DESIGNS = {
    "plant stand": Variant(
        "A", Blank(60.0, 60.0, LENGTH), front=Cut(nodes=serpentine(10, 1, 7)), side=Cut(nodes=serpentine(10, 1, 7))
    ),
    "lectern column": Variant(
        "A", Blank(80.0, 80.0, LENGTH), front=Cut(nodes=hooked(40.0, LENGTH)), side=Cut(nodes=serpentine(8, 1, 7))
    ),
    "bench leg": Variant(
        "A", Blank(70.0, 50.0, LENGTH), side=Cut(nodes=serpentine(8, 1.5, 9)),
        front=Cut(nodes=(*serpentine(12, 1, 9)[:7], Node((0.0, 340.0), "corner", True), Node((0.0, LENGTH), "corner"))),
    ),
}  # fmt: skip


def dragged(cut: Cut, step: int) -> Cut:
    """The cut with its middle node moved a little."""
    nodes = list(cut.nodes)
    middle = len(nodes) // 2
    u, z = nodes[middle].at
    nodes[middle] = replace(nodes[middle], at=(u + 1e-4 * (step + 1), z))
    return replace(cut, nodes=tuple(nodes))


def changed(variant: Variant, step: int) -> Variant:
    """The design with its front line dragged: the other face is as it was, and the build may remember it."""
    return replace(variant, front=dragged(variant.front, step))


def new(variant: Variant, step: int) -> Variant:
    """The design with both lines changed, so that nothing can be remembered."""
    return replace(changed(variant, step), side=dragged(variant.side, step))


def our_way(variant: Variant, chord: float = LIVE_CHORD_MM) -> list[Solid]:
    """From the changed line to four meshes where they stand half turned."""
    piece = build(variant, chord)
    moves = placements(variant.blank, piece.quarters, 0.5)
    return [quarter.moved(move) for quarter, move in zip(piece.quarters, moves, strict=True)]


def plain_way(variant: Variant, chord: float = LIVE_CHORD_MM) -> list[trimesh.Trimesh]:
    """What one would write first: buffer the sampled line, extrude what it leaves, intersect two extrusions."""
    a, b, length = variant.blank.width / 2.0, variant.blank.depth / 2.0, variant.blank.length
    bars = {}
    for name, half, reach in (("front", a, b), ("side", b, a)):
        cut = variant.front if name == "front" else variant.side
        gone = cut.kerf + 2.0 * variant.sanding
        points = sample(line_of(cut, length), chord).points
        ends = points[0] - (points[1] - points[0]) * 100.0, points[-1] + (points[-1] - points[-2]) * 100.0
        path = shapely.LineString(np.vstack([ends[0], points, ends[1]]))
        face = shapely.box(-half, 0.0, half, length)
        # round joins to the same tolerance; a buffer of nothing parts nothing
        left, right = _sides(face, path, max(gone, 1e-6), half, chord)
        for sign, region in ((-1, left), (1, right)):
            bar = trimesh.creation.extrude_polygon(region, 2.0 * reach)
            bar.apply_translation((0.0, 0.0, -reach))
            w = [[0, 0, 1], [1, 0, 0], [0, 1, 0]] if name == "side" else [[1, 0, 0], [0, 0, -1], [0, 1, 0]]
            turn = np.eye(4)
            turn[:3, :3] = w
            bar.apply_transform(turn)
            bars[name, sign] = bar
    out = []
    for sx, sy in QUARTER_SIGNS:
        quarter = trimesh.boolean.intersection([bars["front", sx], bars["side", sy]])
        quarter.apply_translation((-sx * a, -sy * b, 0.0))
        out.append(quarter)
    return out


def _sides(face, path, gone, half, chord):
    steps = max(2, int(np.ceil(np.pi / 4.0 / np.sqrt(2.0 * min(chord / (gone / 2.0), 0.5)))))
    parts = shapely.get_parts(shapely.difference(face, path.buffer(gone / 2.0, quad_segs=steps)))
    by_distance = [min(parts, key=lambda p, u=u: p.distance(shapely.Point(u, 0.0))) for u in (-half, half)]
    return by_distance[0], by_distance[1]


def floor_way(variant: Variant, chord: float = LIVE_CHORD_MM) -> list[np.ndarray]:
    """The least there is to do: evaluate both lines and write arrays as large as the result's."""
    out = []
    for cut in (variant.front, variant.side):
        points = sample(line_of(cut, variant.blank.length), chord, cut.kerf / 2.0).points
        for _ in range(4):
            vertices = np.zeros((4 * len(points), 3))
            vertices[: len(points), [0, 2]] = points
            out.append(vertices)
    return out


def test_both_ways_saw_the_same_quarters():
    """The comparison is fair: the same wood, to within what the tolerance leaves open."""
    for variant in DESIGNS.values():
        for mine, other in zip(our_way(variant), plain_way(variant), strict=True):
            assert moments(mine).volume_mm3 == pytest.approx(other.volume, rel=2e-3)


@pytest.mark.parametrize("design", DESIGNS)
@pytest.mark.parametrize("way", [our_way, plain_way, floor_way], ids=["ours", "plain", "floor"])
def test_changed_line_to_four_turned_meshes(benchmark, design, way):
    step = iter(range(10**9))
    benchmark.group = f"changed line, {design}"
    meshes = benchmark(lambda: way(changed(DESIGNS[design], next(step))))
    benchmark.extra_info["points"] = sum(len(getattr(m, "vertices", m)) for m in meshes)


@pytest.mark.parametrize("count", [50, 200, 500, 2000])
def test_growth_with_the_nodes_of_a_line(benchmark, count):
    variant = Variant(
        "A", Blank(60.0, 60.0, LENGTH), front=Cut(nodes=serpentine(10, 1, count)), side=Cut(nodes=serpentine(10, 1, 7))
    )
    benchmark.group = "growth"
    step = iter(range(10**9))
    piece = benchmark(lambda: build(changed(variant, next(step)), LIVE_CHORD_MM))
    whole = sum(moments(q).volume_mm3 for q in piece.quarters)
    assert whole == pytest.approx(cavalieri_volume(piece.front.widths, piece.side.widths), rel=1e-9)


@pytest.mark.parametrize("form", ["stl", "3mf", "glb", "obj"])
@pytest.mark.parametrize("design", ["plant stand", "lectern column"])
def test_export_at_a_hundredth(benchmark, form, design):
    benchmark.group = f"export, {design}"
    step = iter(range(10**9))

    def export():
        return mesh_file(bodies_for(build(new(DESIGNS[design], next(step)), EXPORT_CHORD_MM), "piece"), form)

    data = benchmark(export)
    benchmark.extra_info["bytes"] = len(data)
    assert len(data) > 1000
