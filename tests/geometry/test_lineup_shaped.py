"""Line-up with trims and on tapered blanks, against looking at the wood of the moved quarters place by place."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.layup import Checker, Chevron, Stripes
from geometry.layup_grid import grid_of
from geometry.lineup import CUT_OF, SEAM_NAMES, line_up
from geometry.lineup_errors import BenchErrors, flush_step_mm
from geometry.lineup_paths import sawn_edge, seam_line, sides_of
from geometry.piece import build
from geometry.project import Blank, Cut, Limits, Node, Trim, Variant
from geometry.report import report_on
from geometry.sampling import sample
from geometry.tapering import half_depth, half_width, seam_step, slopes
from tests import strategies

TWO = ("walnut", "maple")
BLANK = Blank(80.0, 60.0, 400.0)
TAPERED = Blank(80.0, 60.0, 400.0, 40.0, 36.0)  # k = 0.05, m = 0.03
QUARTERS = {"+x": (1, 4), "-x": (2, 3), "+y": (1, 2), "-y": (4, 3)}


def dense(line):
    """Many places along a line, from foot to top."""
    count = max(40, 3000 // len(line.pieces))
    piece = np.repeat(np.arange(len(line.pieces)), count)
    return line.at(piece, np.tile((np.arange(count) + 0.5) / count, len(line.pieces)))


def trim(*points, kerf=0.0):
    return Trim(tuple(Node((float(u), float(z)), "corner") for u, z in points), kerf)


def straight(*points):
    return tuple(Node((float(u), float(z)), "corner") for u, z in points)


def seams_of(layup, blank=BLANK, front=(), side=(), trims=(), side_trims=(), kerf=0.0, **more):
    on_wood = more.pop("on_wood", False)
    variant = Variant(
        "A", blank, layup, front=Cut(kerf, nodes=front, trims=tuple(trims)),
        side=Cut(kerf, nodes=side, trims=tuple(side_trims)), **more,
    )  # fmt: skip
    piece = build(variant)
    return piece, {s.face: s for s in line_up(piece, on_wood=on_wood)}


# ---------------------------------------------------------------- trims

LAYERS = Stripes("x", ((10.0, "walnut"), (10.0, "maple")) * 4)
SCOOP = trim((50, 100), (15, 150), (15, 250), (50, 300))


def test_along_a_trim_the_wood_is_the_trims_own_less_half_the_blank():
    """By hand: a straight line up the middle, so untrimmed +x shows u = 0; the scoop brings it to u = 15 - 40 = -25."""
    _, seams = seams_of(LAYERS, trims=[SCOOP])
    # borders at -30, -20, -10, 0 … ; the wood at u = 0 counts as the strip beyond; going in by 35 in 50 of height
    at = sorted(100 + 50 * (50 - (40 + u)) / 35 for u in (0.0, -10.0, -20.0))
    assert [c.at[1] for c in seams["+x"].low] == pytest.approx([*at, *(400 - z for z in reversed(at))], abs=1e-6)
    assert [c.at[0] for c in seams["+x"].low] == pytest.approx([0, -10, -20, -20, -10, 0], abs=1e-6)
    # on the piece that is where the trim is drawn
    for c in seams["+x"].low:
        assert c.on_piece == pytest.approx((40.0 + c.at[0], 0.0, c.at[1]))
        assert c.height_mm == c.at[1]
    # the other face has no trim and shows one strip
    assert seams["-x"].crossings == 0
    assert (seams["+x"].same_species, seams["+x"].largest_step_mm) == (1.0, 0.0)
    # neither have the faces of the side line
    _, bare = seams_of(LAYERS)
    assert [seams[f].low_bands for f in ("+y", "-y")] == [bare[f].low_bands for f in ("+y", "-y")]


def test_a_trim_on_the_other_side_shows_on_the_other_face():
    alike = Stripes("x", ((5.0, "walnut"), *((10.0, TWO[1 - i % 2]) for i in range(7)), (5.0, "walnut")))
    points = [(50, 100), (18, 150), (18, 250), (50, 300)]
    _, right = seams_of(alike, trims=[trim(*points)])
    _, left = seams_of(alike, trims=[trim(*[(-u, z) for u, z in points])])
    assert len(right["+x"].low) == 4
    assert [c.at[1] for c in left["-x"].low] == pytest.approx([c.at[1] for c in right["+x"].low])
    assert [-c.at[0] for c in left["-x"].low] == pytest.approx([c.at[0] for c in right["+x"].low])
    assert left["+x"].crossings == right["-x"].crossings == 0


def test_trims_of_the_side_view_show_on_the_y_faces():
    layers = Stripes("y", ((10.0, "walnut"), (10.0, "maple")) * 3)
    _, seams = seams_of(layers, side_trims=[trim((40, 100), (12, 150), (12, 250), (40, 300))])
    # u = 12 - 30 = -18 in the strip from -20 to -10
    middle = [b for b in seams["+y"].low_bands if b.from_z < 200.0 < b.to_z]
    assert [b.species for b in middle] == ["maple"]
    assert all(abs(c.on_piece[0]) < 1e-9 and c.on_piece[1] == pytest.approx(30.0 + c.at[0]) for c in seams["+y"].low)
    assert seams["-y"].crossings == 0


def test_an_offcut_at_an_end_takes_its_part_of_the_seam():
    """The trim runs out at the foot: the seam starts where it meets the end, not along the end."""
    piece, seams = seams_of(LAYERS, trims=[trim((15, -10), (15, 100), (50, 150))])
    assert seams["+x"].low_bands[0].from_z == 0.0
    assert seams["+x"].low_bands[0].species == "maple"  # u = -25, in the strip from -30 to -20
    assert seam_line(piece, "+x", False).start == pytest.approx((-25.0, 0.0))


@given(strategies.trimmed_variants(least=1, most=2), st.data())
@settings(max_examples=20)
def test_bands_say_what_the_wood_along_the_trimmed_edge_says(variant, data):
    variant = replace(
        variant, layup=data.draw(strategies.layups(variant.blank).filter(
            lambda lay: not isinstance(lay, Chevron) or (abs(lay.angle_deg) < 80.0 and lay.pitch > 1.0)
        )), sanding=0.0,
    )  # fmt: skip
    piece = build(variant)
    grid = grid_of(variant)
    half = {"front": variant.blank.width / 2.0, "side": variant.blank.depth / 2.0}
    for seam in line_up(piece):
        line = seam_line(piece, seam.face, False)
        points = sample(line, 0.01).points
        far = half["side" if seam.cut == "front" else "front"]
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        for bands, where in ((seam.low_bands, -far), (seam.high_bands, far)):
            place = np.full(len(points), where)
            wood = grid.species_at(
                np.stack([points[:, 0], place, points[:, 1]] if seam.cut == "front" else [place, *points.T], axis=1)
            )
            starts = np.array([b.from_mm for b in bands])
            band = np.clip(np.searchsorted(starts, along, side="right") - 1, 0, None)
            unlike = np.array([bands[i].species != grid.species[w] for i, w in zip(band, wood, strict=True)])
            gaps = np.abs(along[unlike, None] - np.append(starts, along[-1])[None]).min(axis=1, initial=np.inf)
            assert (gaps < 0.02 + 1e-3 * along[-1]).all()


@given(strategies.trimmed_variants(least=1, most=2))
@settings(max_examples=20)
def test_the_edge_on_the_wood_is_the_edge_of_the_profile(variant):
    piece = build(variant)
    for face in SEAM_NAMES:
        cut, sign = piece.cut(CUT_OF[face]), 1.0 if face[0] == "+" else -1.0
        if not any(t.side == sign for t in cut.trims):
            continue
        edge = sawn_edge(piece, face)
        on = edge + np.array([sign * cut.face.half, 0.0])
        assert shapely.distance(cut.profile.boundary, shapely.points(on)).max() < 1e-5
        # all of the profile's edge on that side between foot and top: its length is that of the path
        side = shapely.box(1e-6, 1e-6, 999.0, variant.blank.length - 1e-6)
        if sign < 0.0:
            side = shapely.box(-999.0, 1e-6, -1e-6, variant.blank.length - 1e-6)
        outline = shapely.intersection(cut.profile.boundary, side)
        assert np.hypot(*np.diff(edge, axis=0).T).sum() == pytest.approx(outline.length, rel=1e-3, abs=0.1)
        assert edge[0, 1] < edge[-1, 1]


def test_the_report_and_the_findings_follow_the_trims():
    piece, _ = seams_of(Stripes("x", ((20.0, "walnut"), (60.0, "maple"))), trims=[trim((50, -9), (10, 409))])
    report = report_on(piece)
    seam = next(s for s in report.seams if s.face == "+x")
    # the profile's own edge at the foot shows u = 0; the trim takes it in to u = -30 at the top, into the walnut
    assert [b.species for b in seam.low_bands] == ["maple", "walnut"]
    assert report.busy.changes_per_100_mm > 0.0


# ---------------------------------------------------------------- tapered blanks


def corner_height(blank, sx, sy, point):
    """Distance up the corner edge of quarter (sx, sy), from vector algebra."""
    foot = np.array([sx * blank.width / 2, sy * blank.depth / 2, 0.0])
    top = np.array([sx * blank.width_at_top / 2, sy * blank.depth_at_top / 2, blank.length])
    return (point - foot) @ ((top - foot) / np.linalg.norm(top - foot))


def test_levelled_what_is_symmetric_meets():
    layers = Stripes("x", ((10.0, "walnut"), (10.0, "maple")) * 4)
    line = straight((-15, 0), (12, 400))
    for blank in (TAPERED, Blank(80.0, 60.0, 400.0, 40.0), Blank(80.0, 60.0, 400.0, None, 100.0)):
        _, seams = seams_of(layers, blank, line, taper_support="levelled")
        for face in ("+x", "-x"):
            seam = seams[face]
            assert seam.crossings == seam.meeting == 3
            assert seam.largest_step_mm < 1e-9
            assert seam.same_species == 1.0
            # heights are distances up the corner edge
            sx = -1 if face == "+x" else 1
            for crossing in seam.low:
                u, z = crossing.at
                place = np.array([u, -half_depth(blank, z), z])
                assert crossing.height_mm == pytest.approx(corner_height(blank, sx, -1, place), abs=1e-9)
                assert crossing.on_piece[2] == pytest.approx(crossing.height_mm, abs=1e-9)


def test_face_down_upright_strips_step_by_what_the_blade_rises():
    """By hand: where the line leaves a strip at u = c, z = z0 in front, it does so 2 m b / (1 + m²) higher behind."""
    layers = Stripes("x", ((30.0, "walnut"), (50.0, "maple")))
    line = straight((-20, 0), (0, 400))  # crosses the border at -10 at z = 200
    _, seams = seams_of(layers, TAPERED, line, limits=Limits(pattern_step=0.01))
    m = 0.03
    rise = 2 * m * (30.0 - m * 200.0) / (1 + m * m)
    for face, sx in (("+x", -1), ("-x", 1)):
        seam = seams[face]
        (low,), (high,) = seam.low, seam.high
        assert low.at == pytest.approx((-10.0, 200.0))
        assert high.at == pytest.approx((-10.0, 200.0))  # as drawn it is the same place
        front = np.array([-10.0, -half_depth(TAPERED, 200.0), 200.0])
        behind = np.array([-10.0, half_depth(TAPERED, 200.0 + rise), 200.0 + rise])
        wanted = corner_height(TAPERED, sx, 1, behind) - corner_height(TAPERED, sx, -1, front)
        assert seam.largest_step_mm == pytest.approx(abs(wanted), abs=1e-9)
        assert high.height_mm - low.height_mm == pytest.approx(wanted, abs=1e-9)
        assert seam.meeting == 0
    # levelled it meets
    _, seams = seams_of(layers, TAPERED, line, limits=Limits(pattern_step=0.01), taper_support="levelled")
    assert seams["+x"].meeting == 1


def test_face_down_level_layers_meet_all_the_same():
    """A layer square to the axis is at one height of every corner edge, wherever the line crosses it there."""
    layers = Checker((80.0,), (60.0,), ("walnut", "maple"), (100.0,) * 4)
    upright = straight((5, 0), (5, 400))
    _, seams = seams_of(layers, TAPERED, upright)
    assert (seams["+x"].crossings, seams["+x"].meeting) == (3, 3)
    assert seams["+x"].largest_step_mm < 1e-9
    assert seams["+x"].same_species == pytest.approx(1.0, abs=1e-12)


def test_a_flat_that_leans_runs_through_the_strips_beside_it():
    """Strips across y: the front flat starts in the outer one and leans into the next, without any line to follow."""
    layers = Stripes("y", ((10.0, "walnut"), (40.0, "maple"), (10.0, "walnut")))
    _, seams = seams_of(layers, TAPERED, taper_support="levelled")
    # b(z) = 30 - 0.03 z is 20 at z = 1000 / 3
    assert [c.at[1] for c in seams["+x"].low] == pytest.approx([1000.0 / 3.0])
    assert seams["+x"].meeting == 1
    assert [b.species for b in seams["+x"].low_bands] == ["walnut", "maple"]


@given(strategies.tapered_variants(sanding=st.just(0.0)), st.data())
@settings(max_examples=25)
def test_bands_are_what_the_moved_quarters_show_at_each_height(variant, data):
    """Both sides of every seam, height by height, from the drawn curve in space carried along the blade."""
    layup = data.draw(
        strategies.layups(variant.blank).filter(
            lambda lay: not isinstance(lay, Chevron) or (abs(lay.angle_deg) < 75.0 and lay.pitch > 2.0)
        )
    )
    variant = replace(variant, layup=layup)
    blank, piece = variant.blank, build(variant)
    grid, s = grid_of(variant), slopes(blank)
    for seam in line_up(piece):
        if seam.same_species is None:
            continue
        line = piece.cut(seam.cut).line
        points = dense(line)
        slope, half = (s.m, half_depth) if seam.cut == "front" else (s.k, half_width)
        leaned = 0.0 if variant.taper_support == "levelled" else slope
        sides = []
        for sign, number, bands in (
            (-1, QUARTERS[seam.face][0], seam.low_bands), (1, QUARTERS[seam.face][1], seam.high_bands),
        ):  # fmt: skip
            u, z = points.T
            drawn_side = -1 if seam.cut == "front" else 1
            if sign != drawn_side:
                z = z + 2 * leaned * half(blank, z) / (1 + leaned**2)
            flat = sign * half(blank, z)
            place = np.stack([u, flat, z] if seam.cut == "front" else [flat, u, z], axis=1)
            move = piece.glue_moves()[number - 1]
            height = (place @ move[:3, :3].T + move[:3, 3])[:, 2]
            wood = grid.species_at(place)
            on = (z > 0.1) & (z < blank.length - 0.1)
            starts = np.array([b.from_z for b in bands])
            sides.append((height[on], wood[on]))
            if not np.all(np.diff(height) > 0.0):
                continue
            band = np.clip(np.searchsorted(starts, height[on], side="right") - 1, 0, None)
            unlike = np.array([bands[i].species != grid.species[w] for i, w in zip(band, wood[on], strict=True)])
            near = np.append(starts, [b.to_z for b in bands])
            gaps = np.abs(height[on][unlike, None] - near[None]).min(axis=1, initial=np.inf)
            assert (gaps < 1.0).all()
        # the share that is the same, at the same heights
        (h1, w1), (h2, w2) = sides
        if np.all(np.diff(h1) > 0.0) and np.all(np.diff(h2) > 0.0):
            heights = np.linspace(max(h1[0], h2[0]), min(h1[-1], h2[-1]), 4000)
            same = (
                w1[np.searchsorted(h1, heights).clip(0, len(w1) - 1)]
                == w2[np.searchsorted(h2, heights).clip(0, len(w2) - 1)]
            )
            fine = len(seam.low) + len(seam.high) > 60
            assert seam.same_species == pytest.approx(same.mean(), abs=0.2 if fine else 0.06)


def test_the_far_side_of_a_hook_is_compared_pass_by_pass():
    hook = strategies.hooked(25.0, 400.0)
    layers = Stripes("x", ((36.0, "walnut"), (8.0, "maple"), (36.0, "walnut")))
    piece, seams = seams_of(layers, TAPERED, hook, limits=Limits(pattern_step=5.0))
    low, high = sides_of(piece, grid_of(piece.variant), "+x", BenchErrors(), False)
    assert low.line is high.line
    seam = seams["+x"]
    assert len(seam.low) == len(seam.high) > 3
    assert np.array([c.at for c in seam.low]) == pytest.approx(np.array([c.at for c in seam.high]))
    assert all(one.height_mm != two.height_mm for one, two in zip(seam.high, seam.low, strict=True))


def test_straight_stock_says_what_it_always_said():
    variant = Variant("A", BLANK, Chevron("x", 35.0, 30.0, TWO, 4.0), front=Cut(nodes=straight((-9, 0), (9, 400))))
    same_top = replace(variant, blank=Blank(80.0, 60.0, 400.0, 80.0, 60.0))
    assert line_up(build(variant)) == line_up(build(same_top))


# ---------------------------------------------------------------- the surface's step


def test_flush_step_of_a_taper_is_there_without_errors_and_grows_with_them():
    line = straight((-20, 0), (20, 400))
    for support, wanted in (("face down", 0.1 * 2 * 0.03 * 30 / (1 + 0.03**2)), ("levelled", 0.0)):
        piece, seams = seams_of(Stripes("x", ((80.0, "walnut"),)), TAPERED, line, taper_support=support)
        assert seams["+x"].flush_step_mm == pytest.approx(wanted)
        assert seams["+y"].flush_step_mm == 0.0
        assert seam_step(piece.front.line, TAPERED, "front", support)[0] == pytest.approx(wanted)
        leaning = BenchErrors(front_lean_rad=math.radians(0.2))
        assert flush_step_mm(piece, "front", leaning) == pytest.approx(wanted + 60.0 * math.tan(math.radians(0.2)))


def test_a_line_that_passes_the_wood_by_has_no_seam_to_speak_of():
    level = (Node((0.0, 0.0)), Node((0.01, 0.0)))
    for blank in (Blank(5.01, 5.01, 5.0, 5.0, 5.0), TAPERED):
        piece, seams = seams_of(Stripes("x", ((blank.width, "walnut"),)), blank, level, level)
        assert {s.crossings for s in seams.values()} == {0}
        assert report_on(piece).findings
    past = straight((0, 450), (5, 500))
    _, seams = seams_of(LAYERS, TAPERED, past)
    assert seams["+x"].low == ()
