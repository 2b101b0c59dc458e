"""A piece's templates on paper: tiled sheets, one roll sheet, or one drawing for a drawing program."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final, Literal

import numpy as np
import shapely

from geometry.drawing.items import Item, Stroke, Text
from geometry.drawing.page import Page, Part
from geometry.drawing.placing import Box, Move, box_of, placed
from geometry.errors import CornerwiseError, NoSolidError
from geometry.piece import Piece
from geometry.project import CUT_NAMES, DisplayUnits
from geometry.templates import furniture, layers, words
from geometry.templates.coupon import coupon
from geometry.templates.faces import Titled, Told, face_apart, faces_together
from geometry.templates.paper import LONGEST_PAGE_MM, ROLL_WIDTH_MM, SHEET_SIZES_MM, PaperName
from geometry.templates.tiling import Tile, Tiling, tile
from geometry.templates.trims import trims_drawing

TemplateForm = Literal["pdf", "svg", "dxf"]
TEMPLATE_FORMS: Final[tuple[TemplateForm, ...]] = ("pdf", "svg", "dxf")

_GAP_MM: Final = 12.0
_ROUND_MM: Final = 2.0


class TemplateFormError(CornerwiseError):
    """A template cannot be written in the form that was asked for."""


def template_form(name: str) -> TemplateForm:
    """Return the form a file name asks for by its ending."""
    ending = Path(name).suffix.lower().removeprefix(".")
    for form in TEMPLATE_FORMS:
        if ending == form:
            return form
    raise TemplateFormError(f"{name}: expected a name that ends in .pdf, .svg or .dxf")


def template_file(
    piece: Piece,
    project: str,
    units: DisplayUnits,
    form: TemplateForm,
    paper: PaperName = "a4",
    date: datetime.date | None = None,
    *,
    apart: bool = False,
) -> bytes:
    """Return the templates of a piece as a file, at full size.

    Parameters
    ----------
    piece : what they are of
    project : the project's name
    units : the maker's unit, for what is written
    form : "pdf" in sheets; "svg" and "dxf" as one drawing
    paper : of the PDF
    date : printed on every sheet; today when left out
    apart : each face by itself, not side by side

    Raises
    ------
    NoSolidError
        nothing of the blank is left
    """
    drawings = template_drawings(piece, project, units, date, apart=apart)
    name = f"{project} · {piece.variant.name}"
    told = _told(project, units, date)
    if form == "pdf":
        from geometry.drawing.pdf import pdf_of

        return pdf_of(template_pages(drawings, piece.variant.name, told, paper), name, words.PRINT_ADVICE)
    page = one_sheet(drawings, piece.variant.name, told)
    if form == "svg":
        from geometry.drawing.svg import svg_of

        return svg_of(page, name)
    from geometry.drawing.dxf import dxf_of

    return dxf_of(page)


def _told(project: str, units: DisplayUnits, date: datetime.date | None) -> Told:
    return Told(project, units, (date or datetime.date.today()).isoformat())


def template_drawings(
    piece: Piece, project: str, units: DisplayUnits, date: datetime.date | None = None, *, apart: bool = False
) -> list[Titled]:
    """Return the drawings of a piece's templates: the faces, the trims of either direction, the coupon."""
    if all(quarter.is_empty for quarter in piece.quarters):
        raise NoSolidError("the piece: no wood is left to make a template for; move the lines back onto the faces")
    told = _told(project, units, date)
    faces = [face_apart(piece, cut, told) for cut in CUT_NAMES] if apart else [faces_together(piece, told)]
    trims = [trims_drawing(piece, cut, told) for cut in CUT_NAMES if piece.cut(cut).trims]
    return [*faces, *trims, coupon(told)]


# ---------------------------------------------------------------- sheets


def template_pages(drawings: Sequence[Titled], variant: str, told: Told, paper: PaperName) -> list[Page]:
    """Return the pages of templates on a paper, numbered through."""
    if paper == "roll":
        whole = _beside_one_another(
            drawings, furniture.window_of(ROLL_WIDTH_MM, LONGEST_PAGE_MM).width - 2.0 * _ROUND_MM
        )
        size = whole.frame.grown(_ROUND_MM)
        width, height = furniture.page_size_for(size.width, size.height)
        plans = [_Plan(whole, min(width, LONGEST_PAGE_MM), min(height, LONGEST_PAGE_MM))]
    else:
        plans = [_least_sheets(drawing, paper) for drawing in drawings]
    count = sum(len(plan.shown) for plan in plans)
    names = furniture.cross_names()
    pages: list[Page] = []
    for plan in plans:
        pages += plan.pages(variant, told, len(pages) + 1, count, names)
    return pages


def one_sheet(drawings: Sequence[Titled], variant: str, told: Told) -> Page:
    """Return all drawings on one page as large as need be."""
    whole = _beside_one_another(drawings, float("inf"))
    size = whole.frame.grown(_ROUND_MM)
    plan = _Plan(whole, *furniture.page_size_for(size.width, size.height))
    return next(plan.pages(variant, told, 1, 1, furniture.cross_names()))


class _Plan:
    """One drawing on as many sheets of one size as it needs; sheets on which nothing is drawn are left out."""

    def __init__(self, drawing: Titled, width: float, height: float) -> None:
        self.drawing, self.width, self.height = drawing, width, height
        self.tree = _tree([box_of(item) for item in drawing.items])
        box = drawing.frame.grown(_ROUND_MM)
        self.window = furniture.window_of(width, height)
        self.tiling: Tiling = tile(box, self.window.width, self.window.height)
        self.shown = [t for t in self.tiling.tiles if self._has_more_than_lines(t)]

    def _seen(self, t: Tile) -> list[Item]:
        return [self.drawing.items[k] for k in _within(self.tree, t.window)]

    def _has_more_than_lines(self, t: Tile) -> bool:
        return any(item.layer not in layers.SAWN_ALONG for item in self._seen(t))

    def pages(self, variant: str, told: Told, first: int, count: int, names: Iterator[str]) -> Iterator[Page]:
        """Yield the sheets from the foot up and from the left, the first of them numbered ``first``."""
        heading = words.heading(told.project, variant, self.drawing.title, told.date)
        outline = [i for i in self.drawing.items if isinstance(i, Stroke) and i.layer == layers.OUTLINE]
        joined = len(self.shown) > 1
        texts = [box_of(i) for i in self.drawing.items if isinstance(i, Text)]
        crosses = furniture.registration(self.tiling, texts, names) if joined else []
        cross_tree = _tree([box_of(item) for item in crosses])
        for number, t in enumerate(self.shown, start=first):
            dx, dy = self.window.left - t.window.left, self.window.bottom - t.window.bottom
            seen = [*self._seen(t), *(crosses[k] for k in _within(cross_tree, t.window))]
            around: list[Item] = [
                *furniture.bars(self.window),
                *furniture.sheet_words(self.width, self.window, number, count, heading, joined=joined),
                *furniture.key_plan(self.width, self.window, self.tiling, self.shown, t, outline),
                *furniture.joins(t, self.tiling, dx, dy),
            ]
            yield Page(self.width, self.height, (Part(tuple(seen), dx, dy, self.window), Part(tuple(around))))


def _tree(boxes: Sequence[Box]) -> shapely.STRtree:
    return shapely.STRtree([shapely.box(b.left, b.bottom, b.right, b.top) for b in boxes])


def _within(tree: shapely.STRtree, window: Box) -> list[int]:
    """Return the numbers of the boxes that meet a window, in order."""
    found = tree.query(shapely.box(window.left, window.bottom, window.right, window.top))
    return [int(k) for k in np.sort(found)]


def _least_sheets(drawing: Titled, paper: PaperName) -> _Plan:
    """Return the drawing on upright sheets, or on sheets that lie where those are fewer."""
    short, long = SHEET_SIZES_MM[paper]
    upright, lying = _Plan(drawing, short, long), _Plan(drawing, long, short)
    return lying if len(lying.shown) < len(upright.shown) else upright


def _beside_one_another(drawings: Sequence[Titled], most: float) -> Titled:
    """Return several drawings as one, side by side from the left; a new row begins below where they get too wide."""
    out: list[Item] = []
    x = row_bottom = 0.0
    row_top = 0.0
    for drawing in drawings:
        box = drawing.frame
        if x > 0.0 and x + box.width > most:
            x, row_top = 0.0, row_bottom - _GAP_MM
        out += placed(drawing.items, Move(dx=x - box.left, dy=row_top - box.top))
        row_bottom = min(row_bottom, row_top - box.height)
        x += box.width + _GAP_MM
    titles = list(dict.fromkeys(d.title for d in drawings))
    return Titled(", ".join(titles), tuple(out))
