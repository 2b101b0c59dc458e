"""What a work sheet says of one design, in sentences, before anything is laid out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from geometry.blades import STOCK_BLADES, StockBlade, widest_stock_blade
from geometry.findings import findings_of
from geometry.glue_up_parts import Board, Stage, Trade
from geometry.layup import Plain
from geometry.layup_words import wood_in_words
from geometry.measures import bounds, smallest_section
from geometry.piece import Piece
from geometry.project import CUT_NAMES, CutName, DisplayUnits
from geometry.report import report_on
from geometry.set_list import in_words, set_list
from geometry.sheet import words
from geometry.species import SPECIES
from geometry.templates.faces import blank_sizes
from geometry.templates.words import blade_words, thin
from geometry.units import MM_PER_INCH, format_length
from geometry.wood_list import wood_list

GUARD_GAP_MM = 6.0
"""How far the guard stands above the work: about 1/4 in (school bandsaw safety sheets)."""

_LEANING = math.radians(0.25)
_TEETH_IN_WORK = (6.0, 12.0)
_WORST_FINDINGS = 4


@dataclass(frozen=True, slots=True)
class Marked:
    """A sentence with the mark that hangs before it."""

    text: str
    mark: str = "•"


@dataclass(frozen=True, slots=True)
class Content:
    """All sentences of a sheet.

    Attributes
    ----------
    project, variant, date : what it belongs to
    about : sizes, weight, thinnest place
    boards : one line a kind, lettered; wood_total : how much that is
    stages : the glue-up, step by step, with drawings
    set_up, wrong, findings, cautions : sentences
    set_words : the cut list of the set in words
    blades : the rows of the blade table in both units
    """

    project: str
    variant: str
    date: str
    about: tuple[str, ...]
    boards: tuple[Marked, ...]
    wood_total: str
    stages: tuple[Stage, ...]
    set_up: tuple[str, ...]
    wrong: tuple[str, ...]
    findings: tuple[Marked, ...]
    cautions: tuple[str, ...]
    set_words: str
    blades: tuple[tuple[str, ...], ...]


def content_of(
    piece: Piece, project: str, units: DisplayUnits, date: str, count: int, spares: int, trade: Trade | None = None
) -> Content:
    """Return what the sheet of a piece says."""
    trade = trade or Trade()
    listed = wood_list(piece.variant, units, trade)
    boards = tuple(_board(board, trade, units) for board in listed.boards)
    total = words.wood_total(
        f"{listed.board_feet:.2f}",
        _mass(listed.rough_mass_kg),
        f"{100.0 * listed.waste_share:.0f}{words.NBSP}%",
    )
    return Content(
        project=project,
        variant=piece.variant.name,
        date=date,
        about=tuple(_about(piece, units)),
        boards=boards,
        wood_total=total,
        stages=listed.stages,
        set_up=tuple(_set_up(piece, units)),
        wrong=tuple(_wrong(piece)),
        findings=tuple(_findings(piece, units)),
        cautions=words.CAUTIONS_TEXT,
        set_words=in_words(set_list(piece, count, spares)),
        blades=tuple(_blade_row(blade, piece) for blade in STOCK_BLADES),
    )


def _board(board: Board, trade: Trade, units: DisplayUnits) -> Marked:
    milled, rough = _three(board.milled, units), _three(board.rough(trade), units)
    wood = SPECIES[board.species].label.lower()
    return Marked(words.board_line(board.count, wood, milled, rough, board.note), f"{board.label}.")


def _size(mm: float, units: DisplayUnits) -> str:
    return format_length(mm, units).replace(" ", words.NBSP)


def _mass(kg: float) -> str:
    return f"{kg:.1f}{words.NBSP}kg" if kg >= 0.1 else f"{1000.0 * kg:.0f}{words.NBSP}g"


def _three(sizes: tuple[float, float, float], units: DisplayUnits) -> str:
    return " × ".join(_size(v, units) for v in sizes)


def _about(piece: Piece, units: DisplayUnits) -> list[str]:
    out = [words.blank_line(blank_sizes(piece, units), wood_in_words(piece.variant.layup, units))]
    box = bounds(piece.glued())
    if box is not None:
        mass = report_on(piece, units).mass_kg
        room = _three(tuple(box[1] - box[0]), units)
        out.append(words.piece_line(room, _mass(mass)))
    thin = smallest_section(piece.front.widths, piece.side.widths)
    if thin is not None:
        out.append(words.thinnest_line(*(_size(v, units) for v in (thin.width, thin.depth, thin.z))))
    return out


def _thickest(piece: Piece) -> float:
    b = piece.variant.blank
    return max(b.width, b.depth, b.width_at_top, b.depth_at_top)


def _set_up(piece: Piece, units: DisplayUnits) -> list[str]:
    variant = piece.variant
    thick = _thickest(piece)
    out = []
    for cut in CUT_NAMES:
        bend = piece.cut(cut).bend
        blade = blade_words(variant.cut(cut).blade, bend.radius_mm if bend else None, units)
        tight = words.BEND_STRAIGHT
        if bend is not None:
            tight = words.bend_at(_size(bend.radius_mm, units), _size(bend.at[1], units))
        out.append(words.blade_for(words.LINE[cut], blade, tight))
    fewest, most = (round(n / (thick / MM_PER_INCH)) for n in _TEETH_IN_WORK)
    fewest = max(2, fewest)  # no narrow blade is coarser
    out.append(words.teeth(str(fewest), str(max(most, fewest + 2)), _size(thick, units)))
    out.append(words.guard(_size(GUARD_GAP_MM, units), _size(thick + GUARD_GAP_MM, units)))
    out.append(words.depth(_size(thick, units), _size(variant.saw.depth_of_cut, units)))
    out.append(words.square(thin(thick * math.tan(_LEANING), units)))
    if variant.blank.is_tapered:
        out.append(words.FACE_DOWN if variant.taper_support == "face down" else words.LEVELLED)
    kerfs: dict[CutName, str] = {c: thin(variant.cut(c).kerf, units) for c in CUT_NAMES}
    out += [words.shims(kerfs["front"], kerfs["side"]), words.MARKS, words.TEST_CUT]
    if variant.sanding > 0.0:
        out.append(words.sanding(thin(variant.sanding, units)))
    return out


def _wrong(piece: Piece) -> list[str]:
    variant = piece.variant
    found = list(words.WRONG_ALWAYS)
    if not isinstance(variant.layup, Plain):
        found.append(words.WRONG_PATTERN)
    if variant.blank.is_tapered:
        found.append(words.WRONG_TAPER)
    if variant.front.trims or variant.side.trims:
        found.append(words.WRONG_TRIM)
    return [words.goes_wrong(seen, why) for seen, why in found]


def _findings(piece: Piece, units: DisplayUnits) -> list[Marked]:
    found = findings_of(piece, units)[:_WORST_FINDINGS]
    out = []
    for f in found:
        stops = words.CANNOT if f.severity == "stop" else ""
        out.append(Marked(f"{stops}{f.message} {f.remedy}", "•" if f.severity == "advice" else "!"))
    return out


def _blade_row(blade: StockBlade, piece: Piece) -> tuple[str, ...]:
    """Return a row of the blade table in both units; the blade a line of this design asks for says so."""
    teeth, use = words.BLADE_USES[blade.width_mm]
    lines = [
        words.BLADE_CHOSEN[cut]
        for cut in CUT_NAMES
        if (bend := piece.cut(cut).bend) is not None and widest_stock_blade(bend.radius_mm) == blade
    ]
    if lines:
        use = f"{use} {words.widest_for(lines)}"
    width = f"{blade.width_mm:g}{words.NBSP}mm ({blade.inches})"
    radius = f"{blade.radius_mm:g}{words.NBSP}mm ({format_length(blade.radius_mm, 'in')})"
    return (width, radius, teeth, use)
