"""The section of the taper: the blank's sizes at the top, how it lies while it is sawn, and what the taper costs."""

from __future__ import annotations

from typing import Final

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QWidget

from app.bench.changes import Across, is_straight, with_top
from app.bench.facts import Facts
from app.bench.rows import CalmChoice, Labelled, Rows, Sentence
from app.bench.section import Section
from app.bench.words import size
from app.length_field import LengthField, Span
from geometry.checks import LARGEST_SIZE_MM, SMALLEST_SIZE_MM
from geometry.project import CUT_NAMES, Blank, DisplayUnits, TaperSupport, Variant
from geometry.report import Report
from geometry.tapering import seam_step
from geometry.units import format_length

_SPAN: Final = Span(SMALLEST_SIZE_MM, LARGEST_SIZE_MM)
_ACROSS: Final[tuple[Across, Across]] = ("width", "depth")

_SUPPORTS: Final[dict[TaperSupport, tuple[str, str]]] = {
    "face down": (
        "Face down on the table",
        "The blank lies on the tapered face opposite the drawn one. Nothing to prepare; but the blade meets the far "
        "face higher than drawn, so the seams step where the line slants.",
    ),
    "levelled": (
        "Levelled on its offcut wedge",
        "The wedge that the taper left lies below it, so that the axis is level. Both faces are sawn at the same "
        "height, and the seams stay flush.",
    ),
}


class TaperSection(Section):
    """Top width and top depth, how the tapered blank is sawn, and what it costs."""

    changed = Signal(str, object)
    """Name of the step and the new `geometry.project.Variant`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make the section of a straight blank."""
        super().__init__("Taper", is_open=False, parent=parent)
        self._variant = Variant("A", Blank(60.0, 60.0, 420.0))
        self._units: DisplayUnits = "mm"
        self._report: Report | None = None
        rows = Rows()
        self.fields: dict[Across, LengthField] = {}
        self.locks: dict[Across, QCheckBox] = {}
        for key in _ACROSS:
            field = rows.add(f"Top {key}", LengthField(f"{key} at the top", _SPAN))
            field.explain(f"The blank's {key} at its top end. It changes evenly from foot to top.")
            lock = QCheckBox("Same as at the foot")
            lock.setAccessibleName(f"Top {key} the same as at the foot")
            rows.add_wide(lock)
            self.fields[key], self.locks[key] = field, lock
        self.fields["width"].committed.connect(lambda mm: self._set_top("width", mm))
        self.fields["depth"].committed.connect(lambda mm: self._set_top("depth", mm))
        self.locks["width"].clicked.connect(lambda on: self._lock("width", on))
        self.locks["depth"].clicked.connect(lambda on: self._lock("depth", on))
        self.support = CalmChoice("How the tapered blank lies while it is sawn")
        for support, (label, _) in _SUPPORTS.items():
            self.support.addItem(label, support)
        self.support.activated.connect(self._on_support)
        self._lies = Labelled("While it is sawn", self.support)
        self.support_words = Sentence()
        self.costs = Facts("What the taper costs")
        for widget in (rows, self._lies, self.support_words, self.costs):
            self.contents.addWidget(widget)
        self.show_variant(self._variant, "mm")

    # -------------------------------------------------------------- showing

    def show_variant(self, variant: Variant, units: DisplayUnits) -> None:
        """Show the taper of a variant."""
        is_another = variant.name != self._variant.name
        self._variant, self._units = variant, units
        blank = variant.blank
        for key in _ACROSS:
            if is_another:
                self.fields[key].restore()
            self.fields[key].show_value(getattr(blank, f"{key}_at_top"), units)
            self.locks[key].setChecked(is_straight(variant, key))
        self._lies.setVisible(blank.is_tapered)
        self.support.setCurrentIndex(self.support.findData(variant.taper_support))
        self.support_words.say(_SUPPORTS[variant.taper_support][1] if blank.is_tapered else "")
        self.header.set_summary(
            f"top {size(blank.width_at_top, units)} × {size(blank.depth_at_top, units)}"
            if blank.is_tapered
            else "straight"
        )
        self._show_costs()

    def show_report(self, report: Report | None) -> None:
        """Say what the taper costs, from the newest report."""
        self._report = report
        self._show_costs()

    def _show_costs(self) -> None:
        report = self._report
        known = report is not None and report.piece.variant.blank == self._variant.blank
        if not self._variant.blank.is_tapered or report is None or not known:
            self.costs.say(())
            return
        self.costs.say(cost_sentences(report, self._units))

    # -------------------------------------------------------------- changing

    def _set_top(self, key: Across, mm: float) -> None:
        self._tell(f"Set top {key}", with_top(self._variant, key, mm))

    def _lock(self, key: Across, locked: bool) -> None:
        if locked:
            self.fields[key].restore()
            self._tell(f"Set top {key}", with_top(self._variant, key, None))
        else:
            self.fields[key].setFocus()
            self.fields[key].selectAll()

    def _on_support(self) -> None:
        support: TaperSupport = self.support.currentData()
        self._tell("Choose how the blank lies", msgspec.structs.replace(self._variant, taper_support=support))

    def _tell(self, step: str, variant: Variant) -> None:
        if variant != self._variant:
            self.changed.emit(step, variant)


def cost_sentences(report: Report, units: DisplayUnits) -> tuple[str, ...]:
    """Return what gluing the quarters of a tapered blank costs, and what to do about each, one sentence after another.

    Parameters
    ----------
    report : of a tapered blank
    units : the maker's unit
    """
    cost, variant = report.taper, report.piece.variant
    error = cost.dihedral_error_deg
    out: list[str] = []
    if abs(error) < 5e-4:
        out.append("Corners: square, so the glue joints close.")
    else:
        gap = format_length(cost.gap_mm, units, decimals=2, denominator=64)
        where = "inside, at the axis" if error > 0.0 else "outside, where it shows"
        out.append(f"Corners: {abs(error):.2f}° {'more' if error > 0.0 else 'less'} than square.")
        out.append(
            f"Glue joints: open by {gap} {where}. A bevel of {abs(error) / 2.0:.2f}° planed off each closes them."
        )
    trim = format_length(cost.end_trim_mm, units)
    out.append(f"Ends: out of square by {trim} once glued; leave that much more and saw both ends square.")
    worst = max(seam_step(report.piece.cut(c).line, variant.blank, c, variant.taper_support)[0] for c in CUT_NAMES)
    if worst > 0.0:
        step = format_length(worst, units, decimals=2, denominator=64)
        out.append(f"Seams: step by up to {step}; levelled, they would stay flush.")
    else:
        out.append("Seams: flush.")
    return tuple(out)
