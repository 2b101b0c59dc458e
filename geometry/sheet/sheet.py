"""The work sheet as a file."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from pathlib import Path
from typing import Final, Literal

from geometry.drawing.items import Ink
from geometry.drawing.page import Page
from geometry.errors import CornerwiseError
from geometry.piece import Piece
from geometry.project import DisplayUnits
from geometry.sheet import words
from geometry.sheet.content import content_of
from geometry.sheet.handout import handout
from geometry.sheet.one_page import one_page
from geometry.sheet.pictures import SheetPictures
from geometry.templates.paper import SHEET_SIZES_MM

SheetPaper = Literal["a4", "letter"]
SHEET_PAPERS: Final[tuple[SheetPaper, ...]] = ("a4", "letter")
SheetForm = Literal["pdf", "csv"]


class SheetFormError(CornerwiseError):
    """A work sheet cannot be written in the form that was asked for."""


def sheet_form(name: str) -> SheetForm:
    """Return the form a file name asks for by its ending: the sheet, or the cut list of the set for a spreadsheet."""
    ending = Path(name).suffix.lower()
    if ending == ".pdf":
        return "pdf"
    if ending == ".csv":
        return "csv"
    raise SheetFormError(f"{name}: expected a name that ends in .pdf, or in .csv for the cut list alone")


def sheet_pages(
    piece: Piece,
    project: str,
    units: DisplayUnits,
    pictures: SheetPictures,
    colours: Mapping[str, Ink],
    *,
    paper: SheetPaper = "a4",
    date: datetime.date | None = None,
    count: int = 1,
    spares: int = 0,
    full: bool = False,
) -> list[Page]:
    """Return the pages of a work sheet.

    Parameters
    ----------
    piece : what it is of
    project : the project's name
    units : the maker's unit
    pictures : of the piece and of the steps
    colours : of the woods by name
    paper, date : today when left out
    count, spares : of the pieces of a set
    full : the handout in large print, not the one page
    """
    content = content_of(piece, project, units, (date or datetime.date.today()).isoformat(), count, spares)
    size = SHEET_SIZES_MM[paper]
    return handout(content, pictures, size, colours) if full else one_page(content, pictures, size)


def sheet_file(
    piece: Piece,
    project: str,
    units: DisplayUnits,
    pictures: SheetPictures,
    colours: Mapping[str, Ink],
    *,
    paper: SheetPaper = "a4",
    date: datetime.date | None = None,
    count: int = 1,
    spares: int = 0,
    full: bool = False,
) -> bytes:
    """Return a work sheet as a PDF; parameters as for `sheet_pages`."""
    from geometry.drawing.pdf import pdf_of

    pages = sheet_pages(
        piece, project, units, pictures, colours, paper=paper, date=date, count=count, spares=spares, full=full
    )
    return pdf_of(pages, f"{project} · {piece.variant.name}", words.TITLE)
