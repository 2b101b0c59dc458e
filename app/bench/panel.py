"""The panel beside the piece where everything that is not drawn is set."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import msgspec
from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.bench.changes import (
    horn_of,
    limit_of,
    sawn_alike,
    with_blank,
    with_cut,
    with_horn,
    with_limit,
)
from app.bench.cut_section import CutSection
from app.bench.off_section import OffSection
from app.bench.rows import Rows, UnitButton
from app.bench.section import MARGIN, Section
from app.bench.taper_section import TaperSection
from app.bench.trim_section import TrimSection
from app.bench.wood_section import WoodSection
from app.bench.words import refused, size
from app.length_field import SIZES, THICKNESSES, Fineness, LengthField, Span
from geometry.checks import LARGEST_KERF_MM, LARGEST_SIZE_MM, SMALLEST_SIZE_MM
from geometry.layup import Layup
from geometry.project import CUT_NAMES, Cut, CutName, DisplayUnits, Variant
from geometry.report import Report

_BLANK: Final = Span(SMALLEST_SIZE_MM, LARGEST_SIZE_MM)
_NOT_NEGATIVE: Final = Span(least=0.0)
_ALLOWANCE: Final = Span(0.0, LARGEST_KERF_MM)


class BenchPanel(QWidget):
    """Blank, taper, wood, blades, trims, sanding, saw, limits, horn and unit of one variant.

    Show a variant with `show_variant`; what the maker changes comes out of `edited` as a whole new variant with the
    name of the step. The panel knows no document.
    """

    edited = Signal(str, object)
    """Name of the step for the undo menu ("Set blank width") and the new `geometry.project.Variant`, always valid."""

    units_changed = Signal(str)
    """"mm" or "in"."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make an empty bench; it can be used once a variant is shown."""
        super().__init__(parent)
        self._variant: Variant | None = None
        self._units: DisplayUnits = "mm"
        self._lengths: list[tuple[LengthField, Callable[[Variant], float]]] = []
        self.sections: list[Section] = []

        self._page = QWidget()
        self._column = QVBoxLayout(self._page)
        self._column.setContentsMargins(0, 0, 0, MARGIN)
        self._column.setSpacing(0)
        self._column.addWidget(self._units_row())
        self._make_blank()
        self.taper = TaperSection()
        self.taper.changed.connect(self._take)
        self.wood = WoodSection()
        self.wood.changed.connect(self._on_layup)
        self.off = OffSection()
        for section in (self.taper, self.wood, self.off):
            self._add_section(section)
        self.cuts: dict[CutName, CutSection] = {name: self._make_cut(name) for name in CUT_NAMES}
        self.trims = TrimSection()
        self.trims.changed.connect(self._take)
        self._add_section(self.trims)
        self._make_saw()
        self._make_limits()
        self._make_horn()
        self._column.addStretch(1)
        self._page.setEnabled(False)

        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.viewport().setAutoFillBackground(False)
        self._page.setAutoFillBackground(False)
        scroll.setWidget(self._page)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(scroll)
        self.setMinimumWidth(260)
        self.setAccessibleName("Bench")

    def sizeHint(self) -> QSize:
        """Return the width the panel likes."""
        return QSize(300, 560)

    # -------------------------------------------------------------- showing

    def show_variant(self, variant: Variant, units: DisplayUnits) -> None:
        """Show a variant in the maker's unit; what is being typed stays unless its value has changed."""
        before = self._variant
        is_another = before is None or before.name != variant.name
        self._variant, self._units = variant, units
        self._page.setEnabled(True)
        blank = variant.blank
        if is_another:
            for field, _ in self._lengths:
                field.restore()
            self.lock.setChecked(blank.width == blank.depth)
        elif blank.width != blank.depth:
            self.lock.setChecked(False)
        for field, value_of in self._lengths:
            field.show_value(value_of(variant), units)
        for name, section in self.cuts.items():
            if is_another:
                section.forget_typing()
            section.show_cut(variant.cut(name), units)
        self.cuts["side"].offer_same(sawn_alike(variant.front, variant.side))
        self.taper.show_variant(variant, units)
        self.wood.show_variant(variant, units)
        self.trims.show_variant(variant, units)
        self.off.show_units(units)
        (self.millimetres if units == "mm" else self.inches).setChecked(True)
        self._summarise(variant)

    def choose_trim(self, cut: CutName, number: int | None) -> None:
        """Show the blade and kerf of a trim that is in hand, counted from 0; None leaves the one there is."""
        self.trims.choose(cut, number)

    def show_report(self, report: Report | None) -> None:
        """Say what follows for the taper and the pattern, from the newest report."""
        self.taper.show_report(report)
        self.wood.show_report(report)
        self.off.show_report(report)

    @property
    def units(self) -> DisplayUnits:
        """The unit on show."""
        return self._units

    def folded_sections(self) -> tuple[str, ...]:
        """Return the titles of the sections that are folded away, to be remembered."""
        return tuple(s.title for s in self.sections if not s.is_open)

    def fold_sections(self, titles: tuple[str, ...]) -> None:
        """Fold away the sections of these titles and open the others."""
        for section in self.sections:
            section.set_open(section.title not in titles)

    # -------------------------------------------------------------- making

    def _units_row(self) -> QWidget:
        row = QWidget()
        line = QHBoxLayout(row)
        line.setContentsMargins(MARGIN, 8, MARGIN, 8)
        line.setSpacing(0)
        line.addWidget(QLabel("Lengths in"))
        line.addStretch(1)
        group = QButtonGroup(self)
        self.millimetres, self.inches = UnitButton("mm"), UnitButton("inches")
        for button, word in ((self.millimetres, "millimetres"), (self.inches, "inches")):
            button.setAccessibleName(f"Lengths in {word}")
            group.addButton(button)
            line.addWidget(button)
        group.setExclusive(True)
        group.buttonClicked.connect(self._on_units)
        return row

    def _section(self, title: str, is_open: bool = True) -> Section:
        section = Section(title, is_open)
        self._add_section(section)
        return section

    def _add_section(self, section: Section) -> None:
        self.sections.append(section)
        self._column.addWidget(section)

    def _length(
        self,
        rows: Rows,
        label: str,
        name: str,
        step: str,
        value_of: Callable[[Variant], float],
        changed: Callable[[Variant, float], Variant],
        span: Span,
        fineness: Fineness = SIZES,
        tip: str = "",
    ) -> LengthField:
        field = rows.add(label, LengthField(name, span, fineness))
        field.explain(tip)
        field.committed.connect(lambda mm: self._change(step, lambda v: changed(v, mm), field))
        self._lengths.append((field, value_of))
        return field

    def _make_blank(self) -> None:
        section = self._blank_section = self._section("Blank")
        rows = Rows()
        self.width_field = self._length(
            rows, "Width", "width of the blank", "Set blank width",
            lambda v: v.blank.width, self._with_width, _BLANK, tip="Across the front face.",
        )  # fmt: skip
        self.depth_field = self._length(
            rows, "Depth", "depth of the blank", "Set blank depth",
            lambda v: v.blank.depth, self._with_depth, _BLANK, tip="Across the right face.",
        )  # fmt: skip
        self.lock = QCheckBox("Same depth as width")
        self.lock.clicked.connect(self._on_lock)
        rows.add_wide(self.lock)
        self.length_field = self._length(
            rows, "Length", "length of the blank", "Set blank length",
            lambda v: v.blank.length, lambda v, mm: with_blank(v, length=mm), _BLANK,
            tip="Along the grain, from foot to top.",
        )  # fmt: skip
        section.contents.addWidget(rows)

    def _make_cut(self, name: CutName) -> CutSection:
        section = CutSection(name)
        self._add_section(section)
        section.changed.connect(self._on_cut)
        section.same_asked.connect(self._on_same)
        return section

    def _make_saw(self) -> None:
        section = self._saw_section = self._section("Saw and sanding")
        rows = Rows()
        self.saw_depth = self._length(
            rows, "Depth of cut", "depth of cut", "Set depth of cut",
            lambda v: v.saw.depth_of_cut,
            lambda v, mm: msgspec.structs.replace(v, saw=msgspec.structs.replace(v.saw, depth_of_cut=mm)),
            Span(above=0.0), tip="The tallest block that passes under the guides of your saw.",
        )  # fmt: skip
        self.sanding = self._length(
            rows, "Sanding, each face", "sanding allowance", "Set sanding",
            lambda v: v.sanding, lambda v, mm: msgspec.structs.replace(v, sanding=mm), _ALLOWANCE, THICKNESSES,
            "What plane and sandpaper take off each sawn face.",
        )  # fmt: skip
        section.contents.addWidget(rows)

    def _make_limits(self) -> None:
        section = self._limits_section = self._section("Limits", is_open=False)
        rows = Rows()
        self.limits: dict[str, LengthField] = {}
        for key, label, name, tip in (
            (
                "wall",
                "Thinnest wall",
                "thinnest wall",
                "Between a line and the edge of its face; thinner is pointed out.",
            ),
            ("web", "Thinnest web", "thinnest web", "Between two passes of one line; thinner is pointed out."),
            ("section", "Thinnest section", "thinnest section", "Of the finished piece; thinner is pointed out."),
        ):
            self.limits[key] = self._length(
                rows, label, name, f"Set limit for the {name}", limit_of(key), with_limit(key), _NOT_NEGATIVE, tip=tip
            )
        section.contents.addWidget(rows)

    def _make_horn(self) -> None:
        section = self._horn_section = self._section("Horns", is_open=False)
        rows = Rows()
        self.horns: dict[str, LengthField] = {}
        for key, label in (("foot", "At the foot"), ("top", "At the top")):
            self.horns[key] = self._length(
                rows, label, f"horn at the {key}", f"Set horn at the {key}",
                horn_of(key), with_horn(key), _NOT_NEGATIVE,
                tip="Waste within the length, sawn off after gluing. Sizes and weight still count it.",
            )  # fmt: skip
        section.contents.addWidget(rows)

    # -------------------------------------------------------------- parts of showing

    def _summarise(self, variant: Variant) -> None:
        blank, units = variant.blank, self._units
        self._blank_section.header.set_summary(
            f"{size(blank.width, units)} × {size(blank.depth, units)} × {size(blank.length, units)}"
        )
        self._saw_section.header.set_summary(f"{size(variant.saw.depth_of_cut, units)} deep")
        limits = variant.limits
        self._limits_section.header.set_summary(
            ", ".join(size(mm, units) for mm in (limits.wall, limits.web, limits.section))
        )
        horn = variant.horn
        has_horn = horn.foot > 0.0 or horn.top > 0.0
        self._horn_section.header.set_summary(
            f"{size(horn.foot, units)} foot, {size(horn.top, units)} top" if has_horn else "none"
        )

    # -------------------------------------------------------------- changing

    def _change(self, step: str, changed: Callable[[Variant], Variant], field: LengthField | None = None) -> None:
        """Make a new variant and hand it out, or say at the field why it cannot be."""
        if self._variant is None:
            return
        try:
            variant = changed(self._variant)
        except ValueError as error:
            if field is not None:
                field.refuse(refused(error))
            return
        if variant == self._variant:
            return
        self.show_variant(variant, self._units)
        self.edited.emit(step, variant)

    def _with_width(self, variant: Variant, mm: float) -> Variant:
        return with_blank(variant, width=mm, depth=mm) if self.lock.isChecked() else with_blank(variant, width=mm)

    def _with_depth(self, variant: Variant, mm: float) -> Variant:
        return with_blank(variant, width=mm, depth=mm) if self.lock.isChecked() else with_blank(variant, depth=mm)

    def _on_lock(self, locked: bool) -> None:
        if locked and self._variant is not None:
            self.depth_field.restore()
            self._change("Set blank depth", lambda v: with_blank(v, depth=v.blank.width))
            if self._variant.blank.width != self._variant.blank.depth:
                self.lock.setChecked(False)  # it could not be

    def _take(self, step: str, variant: Variant) -> None:
        """Hand out what a section made of the variant."""
        self._change(step, lambda _: variant)

    def _on_layup(self, step: str, layup: Layup) -> None:
        self._change(step, lambda v: msgspec.structs.replace(v, layup=layup))

    def _on_cut(self, name: CutName, step: str, cut: Cut) -> None:
        self._change(step, lambda v: with_cut(v, name, cut))

    def _on_same(self) -> None:
        def same(v: Variant) -> Variant:
            return with_cut(v, "side", msgspec.structs.replace(v.side, kerf=v.front.kerf, blade=v.front.blade))

        self._change("Take blade and kerf of the front line", same)

    def _on_units(self) -> None:
        units: DisplayUnits = "mm" if self.millimetres.isChecked() else "in"
        if units == self._units or self._variant is None:
            return
        self.show_variant(self._variant, units)
        self.units_changed.emit(units)
