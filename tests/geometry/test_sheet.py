"""The work sheet: all that it has to say is on it, once, and nothing lies on anything else or off the paper."""

import datetime
import io
import re

import pypdfium2 as pdfium
import pytest
import shapely
from msgspec.structs import replace
from PIL import Image

from geometry.bench_steps import bench_steps
from geometry.blades import STOCK_BLADES
from geometry.drawing.items import Text
from geometry.drawing.placing import Box, box_of, text_corners
from geometry.layup import Checker
from geometry.piece import build
from geometry.project import Variant
from geometry.sheet import words
from geometry.sheet.content import content_of
from geometry.sheet.flow import Column, Flow, NoRoom
from geometry.sheet.pictures import SheetPictures, StepPicture
from geometry.sheet.sheet import SheetFormError, sheet_file, sheet_form, sheet_pages
from geometry.sheet.steps_words import LONG, LONG_TITLE, SHORT
from tests.geometry.test_templates import EVERY, IDS, LONG_NAME, TRIMMED, texts_of

DATE = datetime.date(2024, 5, 1)
MANY_WOODS = Variant(
    "Many",
    TRIMMED.blank,
    Checker(
        (10.0, 12.0, 20.0, 22.0),
        (9.0, 15.0, 18.0, 22.0),
        ("walnut", "maple", "cherry", "ash", "sapele"),
        (100.0, 300.0),
    ),
)


def image(width, height):
    out = io.BytesIO()
    Image.new("RGB", (width, height), (190, 150, 110)).save(out, "PNG")
    return out.getvalue()


def pictures_for(variant: Variant, aspect: float = 0.4) -> SheetPictures:
    """Plain pictures with marks where a step has any: what they show is somebody else's business."""
    plain = image(8, round(8 / aspect))
    steps = []
    for step in bench_steps(variant):
        numbers = tuple((text, (0.4 + 0.05 * k, 0.9)) for k, (text, _) in enumerate(step.numbers))
        lines = tuple(((0.5, 0.1), (0.4, 0.5), (0.5, 0.9)) for _ in step.lines)
        tapes = tuple(((0.3, 0.5), (0.7, 0.5), (0.7, 0.55), (0.3, 0.55)) for _ in step.tapes)
        steps.append(StepPicture(step.name, plain, aspect, lines, tapes, numbers))
    return SheetPictures(plain, aspect, tuple(steps))


def pages(name, units, variant, aspect=0.4, **how):
    return sheet_pages(build(variant, 0.05), name, units, pictures_for(variant, aspect), {}, date=DATE, **how)


def said(found):
    return " ".join(t for page in found for t in texts_of(page.items())).replace("\u00a0", " ")


# ---------------------------------------------------------------- nothing on anything, nothing off


def check(found):
    for page in found:
        sheet = Box(0.0, 0.0, page.width, page.height).grown(-8.0)
        texts = [i for i in page.items() if isinstance(i, Text)]
        shapes = [shapely.Polygon(text_corners(i)).buffer(-0.05) for i in texts]
        assert [i.text for i in texts if not sheet.holds(box_of(i))] == []
        tree = shapely.STRtree(shapes)
        pairs = tree.query(shapes, predicate="intersects").T
        assert [(texts[a].text, texts[b].text) for a, b in pairs if a < b] == []
        boxes = [p.box for p in page.pictures]
        assert all(sheet.holds(b) for b in boxes)
        assert not any(a.meets(b) for k, a in enumerate(boxes) for b in boxes[:k])
        # only a step's own number and those of its quarters lie on pictures
        over = [t.text for t in texts if any(b.grown(-0.2).meets(box_of(t)) for b in boxes)]
        assert all(re.fullmatch(r"\d+", text) for text in over)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    ("name", "units", "variant"), [*EVERY, (LONG_NAME, "in", MANY_WOODS)], ids=[*IDS, "many woods"]
)
def test_words_and_pictures_have_room_of_their_own_on_one_page(name, units, variant, paper):
    found = pages(name, units, variant, paper=paper, count=4, spares=1)
    check(found)
    assert len(found) == 1


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(("name", "units", "variant"), [EVERY[0], EVERY[-3], (LONG_NAME, "in", MANY_WOODS)])
def test_words_and_pictures_have_room_of_their_own_in_the_handout(name, units, variant, paper):
    check(pages(name, units, variant, paper=paper, count=4, spares=1, full=True))


@pytest.mark.parametrize("aspect", [0.3, 0.8, 1.4])
@pytest.mark.parametrize("full", [False, True])
def test_pictures_of_any_shape_have_room(aspect, full):
    check(pages("Bench", "mm", TRIMMED, aspect, full=full))


# ---------------------------------------------------------------- what it says


def test_every_sentence_of_the_content_is_on_the_page_in_full():
    for full in (False, True):
        page_words = said(pages("Bench", "mm", TRIMMED, count=4, spares=1, full=full)).split()
        content = content_of(build(TRIMMED, 0.05), "Bench", "mm", "2024-05-01", 4, 1)
        wanted = [
            *content.about,
            *content.set_up,
            *content.wrong,
            *content.cautions,
            content.set_words,
            content.wood_total,
        ]
        wanted += [m.text for m in (*content.boards, *content.findings)] + [s.words for s in content.stages]
        page_text = " ".join(w for w in page_words if w not in "•!" and not re.fullmatch(r"(\d|[A-Z])+\.", w))
        for sentence in wanted:
            assert " ".join(sentence.replace("\u00a0", " ").split()) in page_text


def test_the_cautions_are_there_in_full():
    text = said(pages("Bench", "mm", TRIMMED))
    for word in (
        "plug",
        "50 mm",
        "push stick",
        "gloves",
        "flat face on the table",
        "backing out",
        "Eyes",
        "Dust",
        "wiring",
        "tip",
    ):
        assert word in text


def test_every_step_has_its_picture_and_its_words():
    found = pages("Bench", "mm", TRIMMED)
    steps = bench_steps(TRIMMED)
    assert len(found[0].pictures) == 1 + len(steps)
    assert set(SHORT) == set(LONG) == set(LONG_TITLE) >= {s.name for s in steps}
    text = said(pages("Bench", "mm", TRIMMED, full=True))
    for step in steps:
        assert LONG_TITLE[step.name] in text
        for sentence in LONG[step.name]:
            assert sentence in text


def test_the_guard_stands_just_above_the_work():
    """About 6 mm (1/4 in) above it: school bandsaw safety sheets."""
    variant = EVERY[-3][2]
    thick = max(variant.blank.width, variant.blank.depth)
    assert f"{thick + 6.0:g} mm above the table" in said(pages("Bench", "mm", variant))
    assert '2 3/4" above the table' in said(pages("Bench", "in", replace(variant)))


def test_lengths_are_in_the_maker_s_unit():
    in_inches, in_mm = (said(pages("Bench", units, TRIMMED)) for units in ("in", "mm"))
    assert '2 1/2" × 2 1/2"' in in_inches
    assert "64 mm × 64 mm" in in_mm
    before = in_inches.split(words.CAUTIONS)[0]
    assert not re.search(r"\d mm(?! \()", before)  # blades are in both


def test_the_blade_page_has_every_blade_in_both_units():
    text = said(pages("Bench", "mm", TRIMMED, full=True))
    for blade in STOCK_BLADES:
        assert f"{blade.width_mm:g} mm ({blade.inches})" in text
        assert f"{blade.radius_mm:g} mm (" in text
    assert set(words.BLADE_USES) == {blade.width_mm for blade in STOCK_BLADES}


def test_a_set_of_two_hands_says_so():
    assert "2 left and 2 right" in said(pages("Bench", "mm", TRIMMED, count=4))


def test_the_handout_is_in_large_print():
    sizes = [i.size for page in pages("Bench", "mm", TRIMMED, full=True) for i in page.items() if isinstance(i, Text)]
    assert sorted(sizes)[len(sizes) // 2] >= 4.2  # 12 points


# ---------------------------------------------------------------- the file


def test_the_pdf_is_whole_and_the_same_each_time():
    def written(**how):
        return sheet_file(build(TRIMMED, 0.05), "Bench", "mm", pictures_for(TRIMMED), {}, date=DATE, **how)

    one = written()
    assert one == written()
    document = pdfium.PdfDocument(one)
    assert len(document) == 1
    assert "Set the saw up" in document[0].get_textpage().get_text_bounded()
    assert len(pdfium.PdfDocument(written(full=True))) > 6


@pytest.mark.parametrize("name", ["a.png", "a"])
def test_other_endings_are_refused(name):
    with pytest.raises(SheetFormError, match=r"expected a name that ends in \.pdf"):
        sheet_form(name)


# ---------------------------------------------------------------- words in columns


def test_words_go_on_in_the_next_column():
    columns = [Column(0, Box(0, 0, 50, 20)), Column(0, Box(60, 0, 110, 20)), Column(1, Box(0, 0, 50, 20))]
    flow = Flow(columns, 3.0)
    for n in range(11):
        flow.words(f"line {n}")
    places = [(page, i.at[0], -i.at[1]) for page, items in flow.items.items() for i in items]
    assert places == sorted(places)
    assert {(page, x) for page, x, _ in places} == {(0, 0), (0, 60), (1, 0)}


def test_full_columns_say_so():
    flow = Flow([Column(0, Box(0, 0, 50, 10))], 3.0)
    with pytest.raises(NoRoom):
        for _ in range(9):
            flow.words("line")


def test_a_heading_is_not_left_alone_at_the_foot():
    flow = Flow([Column(0, Box(0, 0, 50, 30)), Column(1, Box(0, 0, 50, 30))], 3.0)
    for _ in range(5):
        flow.words("line")
    flow.heading("Head")
    flow.words("after")
    page_of = {i.text: page for page, items in flow.items.items() for i in items if isinstance(i, Text)}
    assert page_of["Head"] == page_of["after"] == 1
