"""Templates as others read them: paper sizes, PDF, SVG and DXF by their own geometry, to a hundredth of a millimetre.

Sources, named beside each check: ISO 216, ISO 32000-1 (PDF), the CSS and SVG units, the DXF reference; read back with
pdfium, the standard library's XML reader and ezdxf.
"""

import ctypes
import datetime
import io
import math
import re
import xml.etree.ElementTree as ET

import ezdxf
import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as raw
import pytest

from geometry.lines import line_of
from geometry.piece import build
from geometry.project import Blank, Cut, Variant
from geometry.templates.paper import SHEET_SIZES_MM
from geometry.templates.sheets import template_file
from geometry.templates.tiling import count_of
from tests.geometry.test_lines import nodes
from tests.geometry.test_templates import TAPERED, TRIMMED
from tests.strategies import hooked

DATE = datetime.date(2024, 5, 1)
WAVE = nodes((0, 0), (9, 110), (-9, 230), (4, 330), (0, 420))
MIXED = nodes((3, 0), (3, 110), (-9, 230), (-4, 330), (0, 420), kinds="ccscc", tangent=(1,))
VARIANTS = {
    "wave": Variant("A", Blank(60.0, 60.0, 420.0), front=Cut(nodes=WAVE), side=Cut(nodes=MIXED)),
    "hook": Variant("A", Blank(80.0, 70.0, 420.0), front=Cut(nodes=hooked(40.0, 420.0)), side=Cut(nodes=WAVE)),
    "trims": TRIMMED,
}
MM_PER_POINT = 25.4 / 72.0
T = np.linspace(0.0, 1.0, 11)


def written(variant, form, paper="a4"):
    return template_file(build(variant), "Stand", "mm", form, paper, DATE)


def cubic(p, t=T):
    s = 1.0 - t
    return np.stack([s**3, 3 * s * s * t, 3 * s * t * t, t**3], axis=1) @ np.asarray(p, float)


def drawn_lines(variant):
    """Points of both lines on the sheet, the shared corner at u = 0, the front face to the left of it."""
    for cut, across in (("front", -variant.blank.width / 2.0), ("side", variant.blank.depth / 2.0)):
        pieces = line_of(variant.cut(cut), variant.blank.length).pieces
        yield cut, [cubic(p) + np.array([across, 0.0]) for p in pieces]


# ---------------------------------------------------------------- paper


def test_a_sizes_are_those_of_iso_216():
    # ISO 216, from memory: A0 is a square metre with sides as 1 to the root of 2, each next size half of the one
    # before, rounded down to whole millimetres: A3 297 by 420, A4 210 by 297.
    long, short = int(1000.0 * 2.0**0.25 + 0.5), int(1000.0 / 2.0**0.25 + 0.5)
    sizes = [(short, long)]
    for _ in range(4):
        short, long = sizes[-1]
        sizes.append((long // 2, short))
    assert sizes[3] == SHEET_SIZES_MM["a3"] == (297, 420)
    assert sizes[4] == SHEET_SIZES_MM["a4"] == (210, 297)


def test_letter_is_eight_and_a_half_by_eleven_inches():
    # ANSI/ASME Y14.1 size A, from memory.
    assert SHEET_SIZES_MM["letter"] == pytest.approx((8.5 * 25.4, 11.0 * 25.4), abs=1e-9)


IN_POINTS = {"a4": (595.276, 841.890), "a3": (841.890, 1190.551), "letter": (612.0, 792.0)}


@pytest.mark.parametrize("paper", IN_POINTS)
def test_pages_have_their_paper_s_size_in_points(paper):
    # ISO 32000-1, 8.3.2.3: the unit of user space is 1/72 inch; the sizes follow from ISO 216 and the inch.
    for page in pdfium.PdfDocument(written(VARIANTS["wave"], "pdf", paper)):
        assert sorted(page.get_size()) == pytest.approx(IN_POINTS[paper], abs=0.001)


@pytest.mark.parametrize(("height", "count"), [(277.0, 3), (400.0, 2), (259.4, 4)])
def test_a_strip_of_760_mm_takes_as_many_sheets_as_reckoned_by_hand(height, count):
    # Reckoned by hand for A4, A3 and Letter with margins of 10 mm and an overlap of 10 mm.
    assert count_of(760.0, height, 10.0) == count


# ---------------------------------------------------------------- PDF


def test_the_viewer_is_asked_not_to_scale():
    # ISO 32000-1, table 150: ViewerPreferences, PrintScaling None.
    document = pdfium.PdfDocument(written(VARIANTS["wave"], "pdf"))
    assert not raw.FPDF_VIEWERREF_GetPrintScaling(document)
    assert raw.FPDF_VIEWERREF_GetPrintScaling(pdfium.PdfDocument.new())  # what it is where nothing is said


def paths_of(page):
    """Every path of a page as (matrix-free) lists of ('m' | 'l' | 'c', points in mm from the page's lower left)."""
    out = []
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        m = item.get_matrix()
        steps, waiting = [], []
        for k in range(raw.FPDFPath_CountSegments(item)):
            segment = raw.FPDFPath_GetPathSegment(item, k)
            x, y = ctypes.c_float(), ctypes.c_float()
            assert raw.FPDFPathSegment_GetPoint(segment, x, y)
            at = (np.array(m.on_point(x.value, y.value)) - 0.0) * MM_PER_POINT
            kind = raw.FPDFPathSegment_GetType(segment)
            if kind == raw.FPDF_SEGMENT_BEZIERTO:
                waiting.append(at)
                if len(waiting) == 3:
                    steps.append(("c", waiting))
                    waiting = []
            else:
                steps.append(("m" if kind == raw.FPDF_SEGMENT_MOVETO else "l", [at]))
        out.append(steps)
    return out


def straight_lengths(paths, axis):
    """Lengths of all strokes of one straight step along an axis."""
    for steps in paths:
        if [kind for kind, _ in steps] == ["m", "l"]:
            along = steps[1][1][0] - steps[0][1][0]
            if abs(along[1 - axis]) < 1e-6:
                yield abs(along[axis])


@pytest.mark.parametrize("paper", ["a4", "letter", "a3", "roll"])
def test_bars_measure_what_they_say_by_the_page_s_own_geometry(paper):
    for page in pdfium.PdfDocument(written(VARIANTS["wave"], "pdf", paper)):
        paths = paths_of(page)
        for axis in (0, 1):
            lengths = list(straight_lengths(paths, axis))
            for bar in (100.0, 4.0 * 25.4):
                assert min(abs(length - bar) for length in lengths) < 0.001


def longest_dark_run(pixels):
    """Longest run of dark pixels in a row."""
    dark = np.concatenate([[False], pixels < 128, [False]]).astype(int)
    starts, stops = np.flatnonzero(np.diff(dark) == 1), np.flatnonzero(np.diff(dark) == -1)
    return int((stops - starts).max()) if len(starts) else 0


def test_bars_measure_what_they_say_on_the_rendered_page():
    """Rendered as a printer would, and measured in pixels beside the words of the bars."""
    dpi = 300.0
    page = pdfium.PdfDocument(written(VARIANTS["wave"], "pdf"))[0]
    picture = page.render(scale=dpi / 72.0, grayscale=True).to_numpy()
    picture = np.atleast_3d(picture)[..., 0]
    height = page.get_height()
    text = page.get_textpage()
    for word, length in (("100 mm", 100.0), ("4 in", 4.0 * 25.4)):
        finder = text.search(word, match_case=True)
        spots = []
        while (found := finder.get_next()) is not None:
            boxes = [text.get_charbox(found[0] + k) for k in range(found[1])]
            lefts, bottoms, rights, tops = zip(*boxes, strict=True)
            spots.append((min(lefts), min(bottoms), max(rights), max(tops)))
        across = next(s for s in spots if s[2] - s[0] > s[3] - s[1])
        up = next(s for s in spots if s[2] - s[0] < s[3] - s[1])
        rows = picture[int((height - across[3]) * dpi / 72.0) : int((height - across[1]) * dpi / 72.0) + 1]
        columns = picture[:, int(up[0] * dpi / 72.0) : int(up[2] * dpi / 72.0) + 1].T
        for lines in (rows, columns):
            run = max(longest_dark_run(line) for line in lines)
            assert run * 25.4 / dpi == pytest.approx(length, abs=0.26)  # the stroke's ends: a pixel and a tick's width


@pytest.mark.parametrize("name", VARIANTS)
def test_the_lines_stand_in_the_pdf_as_their_own_cubics(name):
    page = pdfium.PdfDocument(written(VARIANTS[name], "pdf", "roll"))[0]
    pieces = []
    for steps in paths_of(page):
        at = None
        for kind, points in steps:
            if kind == "c":
                pieces.append(cubic([at, *points]))
            elif kind == "l":
                pieces.append(at + T[:, None] * (points[0] - at))
            at = points[-1]
    pieces = np.array(pieces)
    # where the sheet's origin lies is read off the first piece of the front line, all others must agree with it
    for_all = [p for _, line in drawn_lines(VARIANTS[name]) for p in line]
    shapes = pieces - pieces[:, :1]
    like_first = np.flatnonzero(np.abs(shapes - (for_all[0] - for_all[0][:1])).max(axis=(1, 2)) < 0.002)
    best = min(worst_miss(pieces, for_all, pieces[k, 0] - for_all[0][0]) for k in like_first)
    assert best < 0.002


def worst_miss(pieces, wanted, shift):
    return max(float(np.abs(pieces - (w + shift)).max(axis=(1, 2)).min()) for w in wanted)


# ---------------------------------------------------------------- SVG

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def svg_paths(root, layer):
    """Points of every piece of every path of a layer, y upwards from the page's foot, in mm."""
    height = float(root.get("viewBox").split()[3])
    for path in root.findall(f"./{{*}}g[@id='{layer}']/{{*}}path"):
        words = re.findall(r"[MLCZ][^MLCZ]*", path.get("d"))
        at, out = None, []
        for word in words:
            p = np.array([float(n) for n in NUMBER.findall(word)]).reshape(-1, 2)
            p = np.stack([p[:, 0], height - p[:, 1]], axis=1)
            if word[0] == "C":
                out.append(cubic([at, *p]))
            elif word[0] == "L":
                out.append(at + T[:, None] * (p[0] - at))
            at = p[-1] if len(p) else at
        yield out


@pytest.mark.parametrize("name", VARIANTS)
def test_the_svg_is_in_millimetres_and_holds_the_exact_lines(name):
    # CSS Values 3: 1in = 2.54cm, and mm is a length of its own; SVG: width, height and viewBox set the user unit.
    variant = VARIANTS[name]
    root = ET.fromstring(written(variant, "svg"))
    width, height = (float(root.get(k).removesuffix("mm")) for k in ("width", "height"))
    assert [float(v) for v in root.get("viewBox").split()] == [0.0, 0.0, width, height]
    blank = next(iter(svg_paths(root, "blank")))  # the front face: top left, foot left, foot right
    corner = blank[-1][-1]
    assert blank[0][0] - blank[0][-1] == pytest.approx((0.0, variant.blank.length), abs=1e-5)
    for cut, pieces in drawn_lines(variant):
        (drawn,) = svg_paths(root, {"front": "front-line", "side": "side-line"}[cut])
        assert np.abs(np.array(drawn) - corner - np.array(pieces)).max() < 0.01


# ---------------------------------------------------------------- DXF


def dxf_document(variant):
    return ezdxf.read(io.StringIO(written(variant, "dxf").decode("utf-8")))


def test_the_dxf_says_millimetres_and_is_sound():
    # DXF reference: $INSUNITS 4 is millimetres, $MEASUREMENT 1 is metric.
    document = dxf_document(VARIANTS["trims"])
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    assert not document.audit().errors
    names = {layer.dxf.name for layer in document.layers}
    assert names >= {"FRONT LINE", "SIDE LINE", "FRONT TRIMS", "SIDE TRIMS", "BLANK", "KERF"}


def dxf_points(entities):
    """Points of every entity, each piece at the same parameters as `cubic` takes."""
    for entity in entities:
        if entity.dxftype() == "SPLINE":
            curve = entity.construction_tool()
            assert curve.degree == 3
            for k in range((len(entity.control_points) - 1) // 3):
                yield np.array([(p.x, p.y) for p in curve.points(k + T)])
        else:
            ends = np.array([p[:2] for p in entity.get_points()])
            for a, b in zip(ends, ends[1:], strict=False):
                yield a + T[:, None] * (b - a)


@pytest.mark.parametrize("name", VARIANTS)
def test_the_dxf_holds_the_exact_lines_as_splines(name):
    variant = VARIANTS[name]
    space = dxf_document(variant).modelspace()
    outline = space.query('LWPOLYLINE[layer=="BLANK"]').first.get_points()
    corner = np.array(outline[2][:2])
    for cut, pieces in drawn_lines(variant):
        drawn = dxf_points(space.query(f'*[layer=="{cut.upper()} LINE"]'))
        for mine, theirs in zip(drawn, pieces, strict=True):
            assert np.abs(mine - corner - theirs).max() < 0.01


@pytest.mark.parametrize("form", ["svg", "dxf"])
def test_a_tapered_face_is_drawn_at_true_size(form):
    """Its foot, its top and its slanting edge as Pythagoras gives them for the blank."""
    blank = TAPERED.blank
    if form == "svg":
        root = ET.fromstring(written(TAPERED, "svg"))
        pieces = next(iter(svg_paths(root, "blank")))
        top_left, foot_left, foot_right = pieces[0][0], pieces[0][-1], pieces[1][-1]
    else:
        points = dxf_document(TAPERED).modelspace().query('LWPOLYLINE[layer=="BLANK"]').first.get_points()
        top_left, foot_left, foot_right = (np.array(p[:2]) for p in points[:3])
    dx, dy = (blank.width - blank.top_width) / 2.0, (blank.depth - blank.top_depth) / 2.0
    assert math.dist(foot_left, foot_right) == pytest.approx(blank.width, abs=1e-4)
    assert math.dist(foot_left, top_left) == pytest.approx(math.sqrt(blank.length**2 + dx**2 + dy**2), abs=1e-4)
