"""Templates: what they carry, that they are true to size, that nothing printed lies on anything else."""

import datetime
import itertools
import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.drawing.items import Stroke, Text
from geometry.drawing.placing import Box, box_of, text_corners
from geometry.drawing.shapes import line_path
from geometry.errors import NoSolidError
from geometry.files import read_project
from geometry.lines import line_through
from geometry.piece import build
from geometry.project import Blank, Cut, Horn, Trim, Variant
from geometry.sampling import sample
from geometry.tapering import half_depth, half_width
from geometry.templates import layers, words
from geometry.templates.coupon import COUPON_RADII_MM, coupon
from geometry.templates.face import face_lines, face_of
from geometry.templates.faces import Told, faces_together, seat
from geometry.templates.furniture import window_of
from geometry.templates.paper import OVERLAP_MM, PAPER_NAMES, SHEET_SIZES_MM
from geometry.templates.sheets import (
    TemplateFormError,
    one_sheet,
    template_drawings,
    template_file,
    template_form,
    template_pages,
)
from geometry.templates.tiling import count_of, tile
from tests.geometry.test_drawing import T, at
from tests.geometry.test_lines import nodes
from tests.strategies import tapered_variants, trimmed_variants

DATE = datetime.date(2024, 5, 1)
TOLD = Told("Bench", "mm", "2024-05-01")
WAVE, BACK = nodes((0, 0), (10, 120), (-8, 260), (0, 400)), nodes((0, 0), (-9, 150), (8, 300), (0, 400))
FRONT_TRIMS = (Trim(nodes((40, 20), (24, 150), (40, 300))), Trim(nodes((-45, 200), (-30, 270), (-45, 340))))
SIDE_TRIMS = (Trim(nodes((45, 10), (20, 120), (45, 250))),)
SQUARE, TAPER = Blank(64.0, 64.0, 400.0), Blank(70.0, 60.0, 400.0, 44.0, 50.0)
TRIMMED = Variant("Trimmed", SQUARE, front=Cut(nodes=WAVE, trims=FRONT_TRIMS), side=Cut(nodes=BACK, trims=SIDE_TRIMS))
TAPERED = Variant("Tapered", TAPER, front=Cut(nodes=WAVE), side=Cut(nodes=BACK), horn=Horn(12.0, 20.0))
STRAY = nodes((0, 0), (45, 150), (-40, 200), (0, 400))
STOPPED = Variant("Stop", SQUARE, front=Cut(nodes=STRAY), side=Cut(nodes=BACK))
LONG_NAME = "A project with a name that is a good deal longer than any name ought to be"
SAMPLES = [read_project(path) for path in sorted((Path(__file__).parents[2] / "sample_projects").glob("*.json"))]

EVERY = [(project.name, project.display_units, v) for project in SAMPLES for v in project.variants]
EVERY += [(LONG_NAME, "in", v) for v in (TRIMMED, TAPERED, STOPPED)]
IDS = [f"{name[:12]}-{v.name}" for name, _, v in EVERY]


def drawings(name, units, variant, **how):
    return template_drawings(build(variant, 0.05), name, units, DATE, **how)


def pages(name, units, variant, paper, **how):
    found = drawings(name, units, variant, **how)
    return template_pages(found, variant.name, Told(name, units, DATE.isoformat()), paper)


def texts_of(items):
    return [item.text for item in items if isinstance(item, Text)]


def polygons(items):
    return [(i, shapely.Polygon(text_corners(i)).buffer(-0.05)) for i in items if isinstance(i, Text)]


# ---------------------------------------------------------------- words: none on another, none off the paper


@pytest.mark.parametrize("paper", PAPER_NAMES)
@pytest.mark.parametrize(("name", "units", "variant"), EVERY, ids=IDS)
def test_no_words_overlap_or_run_off_the_sheet(name, units, variant, paper):
    for page in pages(name, units, variant, paper):
        sheet = Box(0.0, 0.0, page.width, page.height).grown(-8.0)
        seen = []
        for part in page.parts:
            for item, shape in polygons(part.on_page()):
                if part.window is None:
                    assert sheet.holds(box_of(item)), item.text
                else:
                    w = part.window
                    shape = shape.intersection(shapely.box(w.left, w.bottom, w.right, w.top))
                if not shape.is_empty:
                    seen.append((item.text, shape))
        shapes = shapely.STRtree([s for _, s in seen])
        pairs = shapes.query([s for _, s in seen], predicate="intersects").T
        assert [(seen[a][0], seen[b][0]) for a, b in pairs if a < b] == []


@pytest.mark.parametrize(("name", "units", "variant"), EVERY, ids=IDS)
@pytest.mark.parametrize("apart", [False, True])
def test_words_keep_clear_of_every_line_to_be_sawn(name, units, variant, apart):
    for drawing in drawings(name, units, variant, apart=apart):
        sawn = [i for i in drawing.items if isinstance(i, Stroke) and i.layer in {*layers.SAWN_ALONG, layers.COUPON}]
        lines = shapely.union_all([shapely.LineString(at(i.path, T)) for i in sawn])
        assert [i.text for i, shape in polygons(drawing.items) if shape.intersects(lines)] == []


@pytest.mark.parametrize(("name", "units", "variant"), EVERY, ids=IDS)
def test_words_lie_within_the_drawing_they_belong_to(name, units, variant):
    for drawing in drawings(name, units, variant):
        assert all(drawing.frame.holds(box_of(i)) for i in drawing.items if isinstance(i, Text))


# ---------------------------------------------------------------- what a template carries


def test_the_faces_carry_all_that_a_maker_looks_for():
    found = faces_together(build(TRIMMED), TOLD)
    said = texts_of(found.items)
    for face in ("front", "side"):
        assert said.count(words.FACE[face]) == 2
        assert words.LINE[face] in said
        assert words.FOOT[face] in said
        assert words.LEFT_EDGE[face] in said
        assert words.RIGHT_EDGE[face] in said
    assert said.count(words.UP) == 4
    assert said.count(words.GRAIN) == 2
    assert words.TOP_END in said
    for number, times in (("1", 2), ("2", 3), ("3", 2), ("4", 1)):  # on the flap, and beside the lines
        assert said.count(number) >= times
    assert sum("tightest: R" in s for s in said) == 2
    assert sum(s.startswith("blade up to") for s in said) == 2
    assert any("Bench" in s for s in said)
    assert any("Trimmed" in s and "2024-05-01" in s for s in said)
    assert {i.layer for i in found.items} >= {
        layers.OUTLINE, layers.CENTRE, layers.KERF, layers.FOLD, layers.MARKS, *layers.LINE.values(),
    }  # fmt: skip


def place_of(items, text):
    return next(i.at for i in items if isinstance(i, Text) and i.text == text)


def test_the_front_face_lies_to_the_left_of_the_right_face():
    items = faces_together(build(TRIMMED), TOLD).items
    assert place_of(items, words.FACE["front"])[0] < 0.0 < place_of(items, words.FACE["side"])[0]


def test_the_flap_shows_the_quarters_as_they_are_numbered_from_above():
    """Front left 1, front right 2, back right 3, back left 4: the flap's lower edge is the front."""
    items = faces_together(build(TRIMMED), TOLD).items
    flap = {i.text: i.at for i in items if isinstance(i, Text) and i.text in "1234" and i.at[1] > 400.0}
    assert flap["1"][0] == flap["4"][0] < flap["2"][0] == flap["3"][0]
    assert flap["1"][1] == flap["2"][1] < flap["3"][1] == flap["4"][1]


def test_a_flap_on_the_right_face_turns_the_quarters_with_it():
    right = drawings("Bench", "mm", TRIMMED, apart=True)[1]
    flap = {i.text: i.at for i in right.items if isinstance(i, Text) and i.text in "1234" and i.at[1] > 400.0}
    assert flap["2"][0] == flap["1"][0] < flap["3"][0] == flap["4"][0]
    assert flap["2"][1] == flap["3"][1] < flap["1"][1] == flap["4"][1]


def test_numbers_beside_the_lines_are_those_of_the_quarters_there():
    items = faces_together(build(TRIMMED), TOLD).items
    beside = sorted(
        (i.at[0], i.text) for i in items if isinstance(i, Text) and i.text in "1234" and 380 < i.at[1] < 400
    )
    assert [text for _, text in beside] == ["1", "2", "2", "3"]


def test_a_design_that_cannot_be_sawn_says_so_on_its_template():
    assert any(words.CANNOT in s for s in texts_of(faces_together(build(STOPPED), TOLD).items))
    assert not any(words.CANNOT in s for s in texts_of(faces_together(build(TRIMMED), TOLD).items))


def test_trims_have_templates_of_their_own():
    front, side = drawings("Bench", "mm", TRIMMED)[1:3]
    assert {"offcut 1: waste", "offcut 2: waste"} <= set(texts_of(front.items))
    piece = build(TRIMMED, 0.05)
    for drawing, cut in ((front, "front"), (side, "side")):
        drawn = [i.path for i in drawing.items if isinstance(i, Stroke) and i.layer == layers.TRIM[cut]]
        assert drawn == [line_path(line_through(t.nodes)) for t in TRIMMED.cut(cut).trims]
        left, right = words.TRIM_HALVES[cut]
        assert place_of(drawing.items, left)[0] < 0.0 < place_of(drawing.items, right)[0]
        hatch = [i.path for i in drawing.items if isinstance(i, Stroke) and i.layer == layers.WASTE]
        waste = shapely.union_all([t.offcut for t in piece.cut(cut).trims])
        assert all(waste.buffer(1e-6).contains(shapely.LineString([p.start, p.steps[-1][-1]])) for p in hatch)
        assert hatch


def test_the_coupon_has_an_arc_of_each_radius():
    arcs = [i.path for i in coupon(TOLD).items if isinstance(i, Stroke) and i.layer == layers.COUPON]
    for path, radius in zip(arcs, COUPON_RADII_MM, strict=True):
        bend = at(path, T)[len(T) : -len(T)]
        a, b, c = bend[0], bend[len(bend) // 2], bend[-1]
        area = abs(np.linalg.det([b - a, c - a])) / 2.0
        sides = math.dist(a, b), math.dist(b, c), math.dist(c, a)
        assert math.prod(sides) / (4.0 * area) == pytest.approx(radius, rel=1e-5)


# ---------------------------------------------------------------- true to size


def on_blank(blank, cut, u, z):
    """The place of the face's drawing in space."""
    u, z = np.broadcast_arrays(np.asarray(u, float), np.asarray(z, float))
    if cut == "front":
        return np.stack([u, -half_depth(blank, z), z], axis=-1)
    return np.stack([half_width(blank, z), u, z], axis=-1)


@given(tapered_variants())
@settings(max_examples=15)
def test_a_tapered_face_is_as_large_on_paper_as_on_the_blank(variant):
    """Distances between places on the sheet are those between the same places in space."""
    piece = build(variant, 0.05)
    for cut in ("front", "side"):
        face, line = face_of(piece, cut), piece.cut(cut).line
        count = len(line.pieces)
        index, t = np.arange(count), np.full(count, 0.3)
        drawn = face.line.at(index, t)
        u, z = line.at(index, t).T
        length = variant.blank.length
        corners = on_blank(variant.blank, cut, [c[0] for c in face.corners], [0.0, 0.0, length, length])
        space = np.concatenate([on_blank(variant.blank, cut, u, z), corners])
        paper = np.array([seat(face).point(tuple(p)) for p in [*drawn, *face.corners]])
        for i, j in itertools.combinations(range(len(space)), 2):
            assert math.dist(paper[i], paper[j]) == pytest.approx(math.dist(space[i], space[j]), rel=1e-9, abs=1e-7)


@given(tapered_variants())
@settings(max_examples=15)
def test_the_shared_corner_is_one_upright_line(variant):
    piece = build(variant, 0.05)
    front, side = face_of(piece, "front"), face_of(piece, "side")
    (_, foot, top, _), (foot_too, _, _, top_too) = (
        [seat(face).point(c) for c in face.corners] for face in (front, side)
    )
    assert foot == pytest.approx((0.0, 0.0), abs=1e-9)
    assert foot_too == pytest.approx((0.0, 0.0), abs=1e-9)
    assert top == pytest.approx((0.0, front.edge_length), abs=1e-9)
    assert top_too == pytest.approx(top, abs=1e-9)


@pytest.mark.parametrize("kerf", [0.9, 3.0])
def test_kerf_edges_lie_half_a_kerf_from_the_line(kerf):
    face = face_of(build(replace(TRIMMED, front=Cut(kerf, nodes=WAVE))), "front")
    edges = [i for i in face_lines(face, Horn(), apart=False) if i.layer == layers.KERF]
    line = shapely.LineString(sample(face.line, 1e-4).points)
    inside = [p for i in edges for p in i.path.points if 5.0 < p[1] < 395.0]
    assert len(inside) > 20
    assert {round(shapely.Point(p).distance(line), 2) for p in inside} == {kerf / 2.0}
    assert {np.sign(shapely.Point(p).x - np.interp(p[1], *np.array(line.coords).T[::-1])) for p in inside} == {
        -1.0,
        1.0,
    }


def test_an_ideal_cut_has_no_kerf_to_show():
    face = face_of(build(replace(TRIMMED, front=Cut(0.0, nodes=WAVE))), "front")
    assert not [i for i in face_lines(face, Horn(), apart=False) if i.layer == layers.KERF]


# ---------------------------------------------------------------- sheets

sizes = st.floats(1.0, 3000.0)


@given(sizes, sizes, st.floats(60.0, 400.0), st.floats(60.0, 400.0), st.floats(2.0, 30.0))
def test_tiles_cover_the_drawing_and_overlap_by_as_much_as_they_say(width, height, w, h, overlap):
    box = Box(-17.0, 5.0, -17.0 + width, 5.0 + height)
    tiling = tile(box, w, h, overlap)
    by_place = {(t.row, t.column): t.window for t in tiling.tiles}
    assert len(by_place) == tiling.rows * tiling.columns
    assert all(v.width == pytest.approx(w) and v.height == pytest.approx(h) for v in by_place.values())
    for (r, c), window in by_place.items():
        if c + 1 < tiling.columns:
            assert window.right - by_place[r, c + 1].left == pytest.approx(overlap)
        if r + 1 < tiling.rows:
            assert window.top - by_place[r + 1, c].bottom == pytest.approx(overlap)
    whole = Box(by_place[0, 0].left, by_place[0, 0].bottom, by_place[tiling.rows - 1, tiling.columns - 1].right,
                by_place[tiling.rows - 1, tiling.columns - 1].top)  # fmt: skip
    assert whole.holds(box, 1e-6)
    # no sheet too many
    assert (tiling.columns - 1) * (w - overlap) + overlap < width or tiling.columns == 1
    assert (tiling.rows - 1) * (h - overlap) + overlap < height or tiling.rows == 1


@given(trimmed_variants(most=1), st.sampled_from(["a4", "letter", "a3"]))
@settings(max_examples=10)
def test_sheets_laid_over_one_another_give_the_drawing_again(variant, paper):
    """Every item is on every sheet whose window it meets, at the same place once the sheets lie where they belong."""
    piece = build(variant, 0.05)
    told = Told("Bench", "mm", "2024-05-01")
    for drawing in template_drawings(piece, "Bench", "mm", DATE):
        sheets = template_pages([drawing], variant.name, told, paper)
        size = SHEET_SIZES_MM[paper]
        assert all((p.width, p.height) in (size, size[::-1]) for p in sheets)
        windows, found = [], set()
        for page in sheets:
            part = page.parts[0]
            window = window_of(page.width, page.height)
            assert part.window == window
            moved = Box(window.left - part.dx, window.bottom - part.dy, window.right - part.dx, window.top - part.dy)
            windows.append(shapely.box(moved.left, moved.bottom, moved.right, moved.top))
            here = set(part.items)
            assert here >= {i for i in drawing.items if moved.meets(box_of(i))}
            found |= here
        whole = shapely.union_all(windows)
        for item in drawing.items:
            if item.layer not in layers.SAWN_ALONG:
                assert item in found
                assert whole.buffer(1e-6).contains(shapely.box(*_sides(box_of(item))))


def _sides(box):
    return box.left, box.bottom, box.right, box.top


def test_crosses_stand_at_the_same_place_of_the_drawing_on_both_sheets():
    marks = {}
    wide = replace(TRIMMED, blank=Blank(110.0, 110.0, 400.0), front=replace(TRIMMED.front, nodes=WAVE))
    sheets = pages("Bench", "mm", wide, "a4")
    assert len({(page.parts[0].dx, page.parts[0].dy) for page in sheets}) > 4  # two columns of some rows
    for page in sheets:
        part = page.parts[0]
        w = part.window
        for item in part.items:
            if isinstance(item, Text) and item.layer == layers.SHEET:
                x, y = item.at[0] + part.dx, item.at[1] + part.dy
                assert w.left < x < w.right
                assert w.bottom < y < w.top
                marks.setdefault(item.text, []).append((part, item))
    assert marks
    for found in marks.values():
        assert len(found) >= 2  # two sheets show it, or four where their corners meet
        assert len({item for _, item in found}) == 1
        assert len({(part.dx, part.dy) for part, _ in found}) == len(found)


def test_sheets_are_numbered_through():
    sheets = pages("Bench", "mm", TRIMMED, "a4")
    said = [next(t for t in texts_of(page.items()) if t.startswith("Sheet ")) for page in sheets]
    assert said == [words.sheet_of(i + 1, len(sheets)) for i in range(len(sheets))]


def test_a_roll_is_one_page_and_a_very_long_one_is_parted():
    assert len(pages("Bench", "mm", TRIMMED, "roll")) == 1
    long = Variant("A", Blank(60.0, 60.0, 5000.0))
    found = pages("Bench", "mm", long, "roll")
    assert len(found) == 2
    assert all(page.height <= 5080.0 for page in found)


def test_a_sheet_says_that_its_bars_must_be_checked():
    for page in [*pages("Bench", "mm", TRIMMED, "a4"), one_sheet(drawings("Bench", "mm", TRIMMED), "A", TOLD)]:
        said = texts_of(page.items())
        assert words.PRINT_ADVICE in said
        assert said.count(words.BAR_MM) == said.count(words.BAR_IN) == 2


def test_a_wide_blank_lies_across_the_sheet_where_that_takes_fewer():
    found = pages("Bench", "mm", Variant("A", Blank(120.0, 120.0, 150.0)), "a4")
    assert (found[0].width, found[0].height) == (297.0, 210.0)


@pytest.mark.parametrize(("size", "count"), [(10.0, 1), (50.0, 1), (50.1, 2), (90.0, 2), (90.1, 3)])
def test_how_many_sheets(size, count):
    assert count_of(size, 50.0, OVERLAP_MM) == count


# ---------------------------------------------------------------- files


@pytest.mark.parametrize("form", ["pdf", "svg"])
def test_the_same_design_on_the_same_day_gives_the_same_file(form):
    one, two = (template_file(build(TRIMMED, 0.05), "Bench", "mm", form, "a4", DATE) for _ in range(2))
    assert one == two
    assert one != template_file(build(TRIMMED, 0.05), "Bench", "mm", form, "a4", datetime.date(2024, 5, 2))


@pytest.mark.parametrize("name", ["leg.png", "leg", "pdf"])
def test_other_endings_are_refused_in_one_sentence(name):
    with pytest.raises(TemplateFormError, match=r"expected a name that ends in \.pdf, \.svg or \.dxf$"):
        template_form(name)


def test_a_blank_of_which_nothing_is_left_has_no_template():
    off = nodes((0, 0), (0, 10), kinds="cc")
    gone = Variant("A", Blank(5.0, 5.0, 10.0), front=Cut(10.0, nodes=off), sanding=2.0)
    with pytest.raises(NoSolidError, match="no wood is left"):
        template_file(build(gone), "Bench", "mm", "pdf", "a4", DATE)
