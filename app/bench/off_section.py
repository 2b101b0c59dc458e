"""The section of what goes wrong at the bench: how the seams degrade when blank, blade or taping are a little off."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from app.bench.amount_slider import AmountSlider
from app.bench.facts import Facts
from app.bench.rows import Sentence
from app.bench.section import Section
from geometry.layup import Chevron, Plain
from geometry.lineup import Seam, line_up
from geometry.lineup_errors import LIKELY_ERRORS, BenchErrors
from geometry.project import CutName, DisplayUnits
from geometry.report import Report
from geometry.units import format_length

_REST_MS: Final = 50
_SEAMS: Final[tuple[tuple[CutName, str], ...]] = (("front", "Left and right seams"), ("side", "Front and back seams"))


class OffSection(Section):
    """Sliders for what may be off, and what the seams come to; nothing of it is kept."""

    told = Signal()
    """The sentences are new."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Make the section with all at nothing."""
        super().__init__("If something is off", is_open=False, parent=parent)
        self._units: DisplayUnits = "mm"
        self._report: Report | None = None
        self._rest = QTimer(self, singleShot=True, interval=_REST_MS)
        self._rest.timeout.connect(self._work_out)
        tip = "How far its faces are off a right angle."
        self.square = self._slider("Blank out of square", (0.0, 3.0), _degrees, tip)
        self.front_lean = self._slider("Blade leans, front cut", (-2.0, 2.0), _degrees, "Off square to the table.")
        self.side_lean = self._slider("Blade leans, side cut", (-2.0, 2.0), _degrees, "Off square to the table.")
        tip = "How far one half has slipped lengthways for the second cut."
        self.slip = self._slider("Taped back with a slip", (0.0, 3.0), self._length, tip)
        tip = "How far a chevron's peak is off from where it is drawn."
        self.peak = self._slider("Peak glued off the centre", (-5.0, 5.0), self._length, tip)
        self.likely = QPushButton("What careful work still does")
        self.likely.setToolTip("A tenth of a degree in blank and blade, and tape back to a pencil line.")
        self.none = QPushButton("Nothing is off")
        self.likely.clicked.connect(self._on_likely)
        self.none.clicked.connect(self._on_none)
        self.facts = Facts("What the seams come to")
        self.hint = Sentence("The piece is worked out first.")
        for widget in (*self._sliders, self.likely, self.none, self.hint, self.facts):
            self.contents.addWidget(widget)
        self.header.toggled.connect(self._ask)
        self.header.set_summary("what the seams come to")

    def _slider(self, label: str, span: tuple[float, float], words: Callable[[float], str], tip: str) -> AmountSlider:
        slider = AmountSlider(label, span, words, tip)
        slider.changed.connect(self._ask)
        return slider

    @property
    def _sliders(self) -> tuple[AmountSlider, ...]:
        return self.square, self.front_lean, self.side_lean, self.slip, self.peak

    def _length(self, mm: float) -> str:
        return format_length(mm, self._units, denominator=64)

    @property
    def errors(self) -> BenchErrors:
        """What the sliders stand at."""
        return BenchErrors(
            peak_off_mm=self.peak.amount if self.peak.isVisibleTo(self) else 0.0,
            out_of_square_rad=math.radians(self.square.amount),
            front_lean_rad=math.radians(self.front_lean.amount),
            side_lean_rad=math.radians(self.side_lean.amount),
            slip_mm=self.slip.amount,
        )

    def show_units(self, units: DisplayUnits) -> None:
        """Write lengths in another unit."""
        if units != self._units:
            self._units = units
            for slider in self._sliders:
                slider.say()
            self._ask()

    def show_report(self, report: Report | None) -> None:
        """Work with the newest piece."""
        self._report = report
        self.peak.setVisible(report is not None and isinstance(report.piece.variant.layup, Chevron))
        self._ask()

    def _ask(self) -> None:
        """Work it out in a moment, where there is anyone to see it."""
        if self.is_open:
            self._rest.start()

    def _work_out(self) -> None:
        report = self._report
        self.hint.say("" if report is not None else "The piece is worked out first.")
        if report is None:
            self.facts.say(())
            return
        self.facts.say(off_sentences(report, self.errors, self._units))
        self.told.emit()

    def _on_likely(self) -> None:
        for slider, amount in (
            (self.square, math.degrees(LIKELY_ERRORS.out_of_square_rad)),
            (self.front_lean, math.degrees(LIKELY_ERRORS.front_lean_rad)),
            (self.side_lean, math.degrees(LIKELY_ERRORS.side_lean_rad)),
            (self.slip, LIKELY_ERRORS.slip_mm),
            (self.peak, 0.0),
        ):
            slider.slider.setValue(round(amount * 10.0))

    def _on_none(self) -> None:
        for slider in self._sliders:
            slider.slider.setValue(0)


def off_sentences(report: Report, errors: BenchErrors, units: DisplayUnits) -> tuple[str, ...]:
    """Return what the seams come to with something off, one sentence on the seams of each cut."""

    def size(mm: float) -> str:
        return format_length(mm, units, decimals=2, denominator=64)

    out = []
    is_plain = isinstance(report.piece.variant.layup, Plain)
    seams = line_up(report.piece, errors)
    for cut, label in _SEAMS:
        seam: Seam = next(s for s in seams if s.cut == cut)
        surface = "flush" if seam.flush_step_mm < 5e-3 else f"the surface steps by up to {size(seam.flush_step_mm)}"
        pattern = ""
        if not is_plain and seam.same_species is not None and seam.crossings:
            step = seam.largest_step_mm
            pattern = ", the pattern meets" if step < 5e-3 else f", the pattern by up to {size(step)}"
            if surface == "flush" and step >= 5e-3:
                pattern = f", the pattern steps by up to {size(step)}"
        out.append(f"{label}: {surface}{pattern}.")
    return tuple(out)


def _degrees(amount: float) -> str:
    return f"{amount:.1f}°"
