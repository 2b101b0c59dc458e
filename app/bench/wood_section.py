"""The section of the wood: what the blank is built up from, and whether its pattern meets at the seams."""

from __future__ import annotations

from typing import Final, get_args

from msgspec.structs import replace
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.bench.facts import Facts
from app.bench.lineup_words import line_up_sentences
from app.bench.numbers import AngleField, CountField, SizesField
from app.bench.rows import CalmChoice, Labelled, Rows, Sentence
from app.bench.section import Section
from app.bench.strips import StripsEditor
from app.bench.wood_choice import WoodChoice, WoodsInTurn
from app.length_field import LengthField, Span
from geometry.layup import Checker, Chevron, Layup, Plain, Stripes
from geometry.layup_editing import centred, is_centred
from geometry.layup_making import LayupKind, filled, kind_of, size_along, species_in, turned_into
from geometry.project import Blank, DisplayUnits, Variant
from geometry.report import Report
from geometry.species import SPECIES, SpeciesName

KINDS: Final[dict[LayupKind, tuple[str, str]]] = {
    "plain": ("One wood", ""),
    "stripes across the width": ("Strips across the width", ""),
    "stripes across the depth": ("Strips across the depth", ""),
    "level layers": ("Level layers", "Layers one on top of the other, from the foot up."),
    "end checker": ("Checker on the end", "Columns that run all along: a checker on the end, strips on the faces."),
    "checker all through": ("Checker all through", "Blocks that change in all three directions."),
    "chevron across the width": (
        "Chevron on the front", "Bands that climb from the centre; on the piece they come out upside down.",
    ),
    "chevron across the depth": (
        "Chevron on the side", "Bands that climb from the centre; on the piece they come out upside down.",
    ),
}  # fmt: skip
"""What each kind is called in the list, and a sentence on it."""

assert set(KINDS) == set(get_args(LayupKind))

_AXES: Final = (
    ("x", "Blocks across the width", "wide", "width"),
    ("y", "Blocks across the depth", "deep", "depth"),
    ("z", "Layers up the length", "long", "length"),
)
_MOST_BLOCKS: Final = 80
_STEEPEST_DEG: Final = 80.0


class _Blocks(QWidget):
    """How many blocks there are along one axis, and their sizes."""

    changed = Signal(object)
    """Sizes in millimetres."""

    def __init__(self, label: str, word: str, across: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._total = 0.0
        self.count = CountField(label, 1, _MOST_BLOCKS)
        self.sizes = SizesField(f"Sizes of the {label[0].lower()}{label[1:]}", word)
        words = QLabel(label)
        words.setBuddy(self.count)
        words.setWordWrap(True)
        line = QHBoxLayout()
        line.addWidget(words, 1)
        line.addWidget(self.count)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(line)
        column.addWidget(self.sizes)
        self.count.setToolTip(f"So many of equal size along the blank's {across}.")
        self.count.committed.connect(self._on_count)
        self.sizes.committed.connect(self.changed)

    def show_sizes(self, sizes: tuple[float, ...], total_mm: float, units: DisplayUnits) -> None:
        """Show the sizes along the axis."""
        self._total = total_mm
        self.count.show_value(len(sizes))
        self.sizes.show_sizes(sizes, total_mm, units)

    def _on_count(self, count: int) -> None:
        self.changed.emit(filled((1.0,) * count, self._total))


class WoodSection(Section):
    """Kind of lay-up, its woods and its sizes."""

    changed = Signal(str, object)
    """Name of the step and the new `geometry.layup.Layup`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make the section of a plain blank."""
        super().__init__("Wood", parent=parent)
        self._variant = Variant("A", Blank(60.0, 60.0, 420.0))
        self._units: DisplayUnits = "mm"
        self._report: Report | None = None
        self.kind = CalmChoice("How the blank is built up")
        for key, (label, _) in KINDS.items():
            self.kind.addItem(label, key)
        self.kind.activated.connect(self._on_kind)
        self.words = Sentence()
        self.wood = WoodChoice("Wood of the blank")
        self.wood.activated.connect(self._on_wood)
        self.strips = StripsEditor()
        self.strips.changed.connect(self.changed)
        self.blocks: dict[str, _Blocks] = {}
        for axis, label, word, across in _AXES:
            self.blocks[axis] = _Blocks(label, word, across)
            self.blocks[axis].changed.connect(lambda sizes, a=axis: self._on_sizes(a, sizes))
        self._chevron = self._make_chevron()
        self.turns = WoodsInTurn()
        self.turns.committed.connect(self._on_turns)
        self.centre = QPushButton("Centre the pattern")
        self.centre.setToolTip("Alike about the blank's centre, so that the pattern meets at the seams.")
        self.centre.clicked.connect(self._on_centre)
        self.line_up = Facts("Whether the pattern meets at the seams")
        for widget in (
            Labelled("Built up as", self.kind), self.words, self.wood, self.strips, *self.blocks.values(),
            self._chevron, self.turns, self.centre, self.line_up,
        ):  # fmt: skip
            self.contents.addWidget(widget)
        self.show_variant(self._variant, "mm")

    def _make_chevron(self) -> Rows:
        rows = Rows()
        self.pitch = rows.add("Height of a band", LengthField("height of a band", Span(least=1.0)))
        self.pitch.explain("Up the length, from one band to the next.")
        self.pitch.committed.connect(self._on_pitch)
        self.angle = AngleField("Slope of the bands", _STEEPEST_DEG)
        self.angle.setToolTip("How steeply the bands climb away from the peak.")
        self.angle.committed.connect(self._on_angle)
        rows.add_field("Slope", self.angle)
        self.peak = rows.add("Peak off the centre", LengthField("place of the peak"))
        self.peak.explain("Where the bands turn, from the centre line. Off the centre, the pattern steps at the seams.")
        self.peak.committed.connect(self._on_peak)
        return rows

    # -------------------------------------------------------------- showing

    def show_variant(self, variant: Variant, units: DisplayUnits) -> None:
        """Show what a variant's blank is built up from."""
        is_another = variant.name != self._variant.name
        self._variant, self._units = variant, units
        layup, blank = variant.layup, variant.blank
        kind = kind_of(layup)
        self.kind.setCurrentIndex(self.kind.findData(kind))
        self.words.say(KINDS[kind][1])
        self.wood.setVisible(isinstance(layup, Plain))
        self.strips.setVisible(isinstance(layup, Stripes))
        self._chevron.setVisible(isinstance(layup, Chevron))
        self.turns.setVisible(isinstance(layup, Checker | Chevron))
        self.centre.setVisible(isinstance(layup, Chevron) or kind in ("end checker", "checker all through"))
        self.centre.setEnabled(not is_centred(layup))
        if is_another:
            self.forget_typing()
        for axis, blocks in self.blocks.items():
            sizes = getattr(layup, axis) if isinstance(layup, Checker) else None
            is_shown = sizes is not None and (axis == "z" or kind != "level layers")
            blocks.setVisible(is_shown)
            if sizes is not None:
                blocks.show_sizes(sizes, size_along(blank, axis), units)  # type: ignore[arg-type]
        match layup:
            case Plain():
                self.wood.show_species(layup.species)
            case Stripes():
                kerf = (variant.front if layup.along == "x" else variant.side).kerf
                self.strips.show_stripes(layup, units, kerf + 2.0 * variant.sanding)
            case Checker():
                self.turns.show_species(layup.species)
            case Chevron():
                self.turns.show_species(layup.species)
                self.pitch.show_value(layup.pitch, units)
                self.peak.show_value(layup.peak, units)
                self.angle.show_value(layup.angle_deg)
        self.header.set_summary(self._summary(kind))
        self._show_line_up()

    def forget_typing(self) -> None:
        """Drop text that could not be read."""
        self.strips.forget_typing()
        for field in (self.pitch, self.peak):
            field.restore()
        for blocks in self.blocks.values():
            blocks.sizes.restore()

    def show_report(self, report: Report | None) -> None:
        """Say whether the pattern meets, from the newest report."""
        self._report = report
        self._show_line_up()

    def _show_line_up(self) -> None:
        report, variant = self._report, self._variant
        known = report is not None and report.piece.variant.layup == variant.layup
        if isinstance(variant.layup, Plain) or report is None or not known:
            self.line_up.say(())
            return
        self.line_up.say(line_up_sentences(report, self._units))

    def _summary(self, kind: LayupKind) -> str:
        layup = self._variant.layup
        if isinstance(layup, Plain):
            return SPECIES[layup.species].label
        return f"{KINDS[kind][0].lower()}, {', '.join(SPECIES[s].label.lower() for s in species_in(layup))}"

    # -------------------------------------------------------------- changing

    def _tell(self, step: str, layup: Layup) -> None:
        if layup != self._variant.layup:
            self.changed.emit(step, layup)

    def _on_kind(self) -> None:
        kind: LayupKind = self.kind.currentData()
        self._tell("Choose lay-up", turned_into(self._variant.layup, kind, self._variant.blank))

    def _on_wood(self) -> None:
        self._tell("Choose wood", Plain(self.wood.currentData()))

    def _on_sizes(self, axis: str, sizes: tuple[float, ...]) -> None:
        layup = self._variant.layup
        if isinstance(layup, Checker):
            self._tell("Set layers" if axis == "z" else "Set blocks", replace(layup, **{axis: tuple(sizes)}))

    def _on_turns(self, species: tuple[SpeciesName, ...]) -> None:
        layup = self._variant.layup
        if isinstance(layup, Checker | Chevron):
            self._tell("Choose woods", replace(layup, species=species))

    def _on_pitch(self, mm: float) -> None:
        if isinstance(self._variant.layup, Chevron):
            self._tell("Set height of bands", replace(self._variant.layup, pitch=mm))

    def _on_angle(self, degrees: float) -> None:
        if isinstance(self._variant.layup, Chevron):
            self._tell("Set slope of bands", replace(self._variant.layup, angle_deg=degrees))

    def _on_peak(self, mm: float) -> None:
        if isinstance(self._variant.layup, Chevron):
            self._tell("Move peak", replace(self._variant.layup, peak=mm))

    def _on_centre(self) -> None:
        self._tell("Centre the pattern", centred(self._variant.layup))
