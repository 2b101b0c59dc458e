"""The numbers and findings of a variant: as one object for programs and as text for the maker."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from geometry.bench_report import bench_numbers, bench_objects
from geometry.bench_words import bench_rows
from geometry.blades import StockBlade, widest_stock_blade
from geometry.busyness import Busyness, busyness
from geometry.curvature import TightestBend
from geometry.findings import Finding, findings_of, has_stop
from geometry.layup import Plain
from geometry.layup_words import wood_in_words
from geometry.lineup import Seam, SeamName, line_up
from geometry.measures import Moments, Section, bounds, moments, smallest_section
from geometry.piece import Piece
from geometry.project import CUT_NAMES, CutName, DisplayUnits
from geometry.solids import FloatArray
from geometry.species import MOISTURE_PERCENT
from geometry.tapering import TaperCost, bevel, taper_cost
from geometry.trim_report import bevel_words, trim_objects, trim_rows
from geometry.units import format_length
from geometry.wood_volumes import WoodInPiece, wood_in


@dataclass(frozen=True, slots=True, eq=False)
class CutNumbers:
    """Numbers of one line: length in millimetres, tightest bend, widest stock blade that follows it."""

    length_mm: float
    bend: TightestBend | None
    widest: StockBlade | None


@dataclass(frozen=True, slots=True, eq=False)
class Report:
    """All that is known of a piece.

    Attributes
    ----------
    piece : the piece the numbers are of
    volume : volume and middle of the glued piece in its own place, whatever its wood (see ``geometry`` for the frame)
    quarter_volumes_mm3 : volumes of quarters 1 to 4, loose bodies included
    kerf_loss_mm3 : what saw and sandpaper take of the blank, the offcuts of trims included
    wood : what it holds of each species, its mass and balance
    bounds_mm : (2, 3) lowest and highest corner, or None where there is no wood
    is_watertight : True when the glued piece is one closed surface
    smallest : the thinnest section, or None
    cuts : numbers of the front and the side line
    seams : whether what crosses a seam meets, on the +x, -x, +y and -y face
    taper : what gluing tapered quarters costs; all zero for straight stock
    busy : how busy the pattern looks, or None of a plain blank
    findings : worst first
    """

    piece: Piece
    volume: Moments
    quarter_volumes_mm3: tuple[float, ...]
    kerf_loss_mm3: float
    wood: WoodInPiece
    bounds_mm: FloatArray | None
    is_watertight: bool
    smallest: Section | None
    cuts: dict[CutName, CutNumbers]
    seams: tuple[Seam, ...]
    taper: TaperCost
    busy: Busyness | None
    findings: tuple[Finding, ...]

    @property
    def mass_kg(self) -> float:
        """Mass at 12 % moisture content."""
        return self.wood.mass_kg

    @property
    def has_stop(self) -> bool:
        """True when the piece cannot be built as drawn."""
        return has_stop(self.findings)


def report_on(piece: Piece, units: DisplayUnits = "mm") -> Report:
    """Measure a piece and judge it; lengths in the findings' sentences are in the maker's unit."""
    glued = piece.glued()
    volume = moments(glued)
    quarters = tuple(moments(q).volume_mm3 for q in piece.quarters)
    cuts: dict[CutName, CutNumbers] = {}
    for name in CUT_NAMES:
        sawn = piece.cut(name)
        widest = widest_stock_blade(sawn.bend.radius_mm if sawn.bend else None)
        cuts[name] = CutNumbers(sawn.length_mm, sawn.bend, widest)
    seams = line_up(piece)
    is_plain = isinstance(piece.variant.layup, Plain)
    wood = wood_in(piece, volume, quarters)
    return Report(
        piece=piece,
        volume=volume,
        quarter_volumes_mm3=quarters,
        kerf_loss_mm3=piece.variant.blank.volume_mm3 - math.fsum(quarters),
        wood=wood,
        bounds_mm=bounds(glued),
        is_watertight=glued.is_closed,
        smallest=smallest_section(piece.front.widths, piece.side.widths),
        cuts=cuts,
        seams=seams,
        taper=taper_cost(piece.variant.blank, piece.quarters),
        busy=None if is_plain else busyness(piece, seams),
        findings=findings_of(piece, units, seams, wood),
    )


# ---------------------------------------------------------------- for programs


def report_object(report: Report) -> dict[str, Any]:
    """Return the report as an object for JSON: unrounded, null where a number cannot be computed, never infinite."""
    has_wood = report.bounds_mm is not None
    wood = report.wood
    out: dict[str, Any] = {
        "variant": report.piece.variant.name,
        "volume_mm3": report.volume.volume_mm3,
        "blank_volume_mm3": report.piece.variant.blank.volume_mm3,
        "quarter_volumes_mm3": list(report.quarter_volumes_mm3),
        "kerf_loss_mm3": report.kerf_loss_mm3,
        "species_volumes_mm3": dict(zip(wood.species, wood.volumes_mm3.tolist(), strict=True)),
        "mass_kg": wood.mass_kg,
        "center_of_mass_mm": wood.centre_mm.tolist() if has_wood else None,
        "inertia_kg_mm2": wood.inertia_kg_mm2.tolist() if has_wood else None,
        "bounds_mm": report.bounds_mm.tolist() if report.bounds_mm is not None else None,
        "watertight": report.is_watertight,
        "smallest_section_mm": _section(report.smallest),
    }
    for name, numbers in report.cuts.items():
        out[name] = {
            "length_mm": numbers.length_mm,
            "tightest_radius_mm": numbers.bend.radius_mm if numbers.bend else None,
            "tightest_at": list(numbers.bend.at) if numbers.bend else None,
            "widest_blade_mm": numbers.widest.width_mm if numbers.widest else None,
            "trims": trim_objects(report.piece, name),
        }
    planing = bevel(report.piece.variant.blank)
    out["seams"] = [_seam_object(seam) for seam in report.seams]
    out["taper"] = {
        "dihedral_error_deg": report.taper.dihedral_error_deg,
        "gap_mm": report.taper.gap_mm,
        "end_trim_mm": report.taper.end_trim_mm,
        "bevel_deg": planing.angle_deg if planing else 0.0,
        "bevel_mm": planing.most_mm if planing else 0.0,
        "bevel_edge": planing.edge if planing else None,
    }
    if report.busy is not None:
        out["busyness"] = {
            "smallest_patch_mm2": report.busy.smallest_patch_mm2,
            "changes_per_100_mm": report.busy.changes_per_100_mm,
        }
    out |= bench_objects(bench_numbers(report.piece, report.wood))
    out["findings"] = [
        {
            "code": f.code,
            "severity": f.severity,
            "message": f.message,
            "remedy": f.remedy,
            "cut": f.cut,
            "at": list(f.at) if f.at else None,
        }
        for f in report.findings
    ]
    return out


def _seam_object(seam: Seam) -> dict[str, Any]:
    is_followed = seam.same_species is not None
    return {
        "face": seam.face,
        "same_species": seam.same_species,
        "crossings": seam.crossings if is_followed else None,
        "meeting": seam.meeting if is_followed else None,
        "largest_step_mm": seam.largest_step_mm if is_followed else None,
        "flush_step_mm": seam.flush_step_mm,
    }


def _section(section: Section | None) -> dict[str, float] | None:
    return None if section is None else {"width": section.width, "depth": section.depth, "z": section.z}


# ---------------------------------------------------------------- for the maker


def report_text(report: Report, units: DisplayUnits = "mm") -> str:
    """Return the report as text to read at the bench."""

    def size(mm: float) -> str:
        return format_length(mm, units)

    variant = report.piece.variant
    blank = variant.blank
    rows = [
        ("Blank", f"{size(blank.width)} × {size(blank.depth)} × {size(blank.length)}, "
                  f"{wood_in_words(variant.layup, units)}"),
        ("Volume", f"{_litres(report.volume.volume_mm3)} of {_litres(blank.volume_mm3)}; {_takers(report)} "
                   f"{_litres(report.kerf_loss_mm3)}"),
        ("Mass", f"{report.mass_kg:.2f} kg at {MOISTURE_PERCENT:.0f} % moisture"),
    ]  # fmt: skip
    if report.bounds_mm is not None:
        x, y, z = report.bounds_mm[1] - report.bounds_mm[0]
        rows.append(("Room it needs", f"{size(x)} × {size(y)} × {size(z)}"))
        cx, cy, cz = report.wood.centre_mm
        rows.append(("Balance point", f"{size(cz)} up, {size(cx)} right, {size(cy)} back of the axis"))
    if report.smallest is not None:
        s = report.smallest
        rows.append(("Thinnest section", f"{size(s.width)} × {size(s.depth)} at {size(s.z)} up"))
    for name, label in (("front", "Front line"), ("side", "Side line")):
        rows.append((label, _cut_text(report.cuts[name], size)))  # type: ignore[index]
    if blank.is_tapered:
        rows.append(("Top", f"{size(blank.width_at_top)} × {size(blank.depth_at_top)}, sawn {variant.taper_support}"))
        gap = format_length(report.taper.gap_mm, units, decimals=2, denominator=64)
        rows.append(("Taper", f"corners off square by {report.taper.dihedral_error_deg:.2f}°, joints open by {gap}, "
                              f"ends out of square by {size(report.taper.end_trim_mm)}"))  # fmt: skip
        planing = bevel(blank)
        if planing is not None:
            rows.append(("Bevel", bevel_words(planing, units)))
    rows += trim_rows(report.piece, units)
    rows.append(("Quarters", ", ".join(f"{i}: {_litres(v)}" for i, v in enumerate(report.quarter_volumes_mm3, 1))))
    if not isinstance(variant.layup, Plain):
        seams = {seam.face: seam for seam in report.seams}
        rows += _seam_rows({face: _seam_text(seam, size) for face, seam in seams.items()})
    if report.busy is not None and report.busy.changes_per_100_mm is not None:
        patch = report.busy.smallest_patch_mm2
        often = f"{report.busy.changes_per_100_mm:.1f} changes of wood per 100 mm"
        rows.append(("Pattern", often if patch is None else f"{often}, smallest patch about {patch:.0f} mm²"))
    rows += bench_rows(bench_numbers(report.piece, report.wood, units), units)
    width = max(len(label) for label, _ in rows)
    lines = [f"{label:<{width}}  {text}" for label, text in rows]
    lines.append("")
    if all(f.severity == "advice" for f in report.findings):
        lines.append("Nothing stands in the way of sawing it.")
    lines += [f"{_MARKS[f.severity]}  {f.message} {f.remedy}" for f in report.findings]
    return "\n".join(lines) + "\n"


_SEAM_LABELS: tuple[tuple[SeamName, str, SeamName, str, str], ...] = (
    ("-x", "Left", "+x", "Right", "Left and right seam"),
    ("-y", "Front", "+y", "Back", "Front and back seam"),
)


def _seam_rows(texts: dict[SeamName, str]) -> list[tuple[str, str]]:
    """Return a row for each pair of seams; for each of the two where trims or a taper make them differ."""
    rows: list[tuple[str, str]] = []
    for one, label, other, other_label, both in _SEAM_LABELS:
        if texts[one] == texts[other]:
            rows.append((both, texts[one]))
        else:
            rows += [(f"{label} seam", texts[one]), (f"{other_label} seam", texts[other])]
    return rows


def _seam_text(seam: Seam, size: Any) -> str:
    if seam.same_species is None:
        return "the pattern is too fine to be followed"
    if not seam.crossings:
        text = "no strip ends at it"
    elif seam.meeting == seam.crossings:
        text = f"all {seam.crossings} borders meet" if seam.crossings > 1 else "its one border meets"
    else:
        text = f"{seam.meeting} of {seam.crossings} borders meet, largest step {size(seam.largest_step_mm)}"
    return f"{text}; {100.0 * seam.same_species:.0f} % the same wood on both sides"


_MARKS = {"stop": "■ STOP   ", "caution": "▲ CAUTION", "advice": "● ADVICE "}


def _takers(report: Report) -> str:
    has_offcuts = any(not t.offcut.is_empty for name in CUT_NAMES for t in report.piece.cut(name).trims)
    return "saw and offcuts take" if has_offcuts else "the saw takes"


def _litres(mm3: float) -> str:
    return f"{mm3 / 1e6:.3f} l"


def _cut_text(numbers: CutNumbers, size: Any) -> str:
    text = f"{size(numbers.length_mm)} long"
    if numbers.bend is None:
        return f"{text}, straight"
    u, z = numbers.bend.at
    text += f", tightest radius {size(numbers.bend.radius_mm)} at {size(u)} across, {size(z)} up"
    if numbers.widest is None:
        return f"{text}; no stock blade follows it"
    return f"{text}; widest blade {numbers.widest.width_mm:g} mm ({numbers.widest.inches})"
