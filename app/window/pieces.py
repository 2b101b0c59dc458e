"""The pieces on screen: asked for from the worker, put in their places, and their numbers and findings with them."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import TYPE_CHECKING

from msgspec.structs import replace
from PySide6.QtCore import QObject

from app.builder import Builder, Built
from app.piece_view.piece_area import SLOTS, Slot
from geometry.findings import Finding
from geometry.project import DisplayUnits, Variant
from geometry.report import Report

if TYPE_CHECKING:
    from app.window.main_window import MainWindow

IMPOSSIBLE = frozenset(
    {"line-leaves-face", "line-touches-itself", "line-not-end-to-end", "quarter-in-pieces", "trim-crosses-axis"}
)
"""Findings with which there is no piece to show; a bend too tight for its blade still has its shape."""


def impossible_reason(findings: tuple[Finding, ...]) -> str | None:
    """Return why there is no piece to show, in words, or None where there is one."""
    for finding in findings:
        if finding.severity == "stop" and finding.code in IMPOSSIBLE:
            return f"{finding.message} {finding.remedy}"
    return None


class Pieces(QObject):
    """What the worker has answered about the variants of the document, and what of it is on screen.

    The last good piece of each variant is kept: it is shown at once when the variant is taken in hand again, and in
    grey while its lines cannot be sawn.
    """

    def __init__(self, window: MainWindow) -> None:
        """Start the worker for the pieces of a window."""
        super().__init__(window)
        self._window = window
        self.builder = Builder(self)
        self.builder.built.connect(self._built)
        self.builder.failed.connect(self._failed)
        self.builder.worker_restarted.connect(window.say)
        self.builder.busy_changed.connect(window.piece.set_building)
        self._units: DisplayUnits = "mm"
        self._shown: dict[Slot, Variant] = {}
        self._latest: dict[str, Built] = {}  # the last answer about each variant, a piece or not
        self._good: dict[str, Built] = {}  # the last answer with a piece
        self._asked: set[str] = set()
        self._is_greyed: dict[Slot, bool] = {"A": False, "B": False}

    # ---------------------------------------------------------------- asking

    def show(self, variants: Sequence[Variant], names: Sequence[str], units: DisplayUnits, coarse: bool) -> None:
        """Show the pieces of these variants as soon as they are there.

        Parameters
        ----------
        variants : one, or two side by side
        names : of all variants of the project; what is known of others is forgotten
        units : the maker's unit, for the sentences of the findings
        coarse : True while dragging
        """
        if units != self._units:
            self._units = units
            self._latest.clear()  # its sentences speak in the other unit
        for known in (self._latest, self._good):
            for name in known.keys() - set(names):
                known.pop(name)
        before, self._shown = self._shown, dict(zip(SLOTS, variants, strict=False))
        wanted: dict[Hashable, Variant] = {}
        for slot, variant in self._shown.items():
            was = before.get(slot)
            if was is None or was.name != variant.name:
                self._put(slot, variant)
            latest = self._latest.get(variant.name)
            if latest is None or not latest.is_fine or latest.variant != variant:
                wanted[variant.name] = variant
            elif was is None or was != variant:
                self._answer(slot, latest)
            self._wear(slot)
        for name in self._asked - {str(key) for key in wanted}:
            self.builder.forget(name)  # another is looked at, or what is known is right again
        self._asked = {str(key) for key in wanted}
        if wanted:
            self._window.findings.show_building()
            self.builder.request(wanted, units, coarse)

    def begin_anew(self) -> None:
        """Forget every piece: another document is to be shown."""
        for name in self._asked:
            self.builder.forget(name)
        self._asked.clear()
        self._shown.clear()
        self._latest.clear()
        self._good.clear()

    @property
    def are_up_to_date(self) -> bool:
        """True once all that is said of the variants on screen is of their lines as they are now, worked out finely."""
        latest = {name: built.variant for name, built in self._latest.items() if built.is_fine}
        return bool(self._shown) and all(latest.get(v.name) == v for v in self._shown.values())

    def report_on(self, variant: Variant) -> Report | None:
        """Return the numbers of a piece exactly as it is drawn now, or None while they are not there."""
        latest = self._good.get(variant.name)
        return latest.report if latest is not None and latest.variant == variant else None

    # ---------------------------------------------------------------- answers

    def _put(self, slot: Slot, variant: Variant) -> None:
        """Give a place to another variant: its last good piece, or an empty view until it has one."""
        self._is_greyed[slot] = False
        self._window.piece.set_impossible(slot, None)
        good = self._good.get(variant.name) or self._alike(variant)
        if good is None:
            self._window.piece.clear(slot, variant.name)
        else:
            self._good[variant.name] = good
            self._window.piece.show_built(slot, good, variant.name)
        self.show_numbers()

    def _alike(self, variant: Variant) -> Built | None:
        """Return the piece of the same design under another name: it was renamed, or duplicated."""
        return next((b for b in self._good.values() if replace(b.variant, name=variant.name) == variant), None)

    def _built(self, built: Built) -> None:
        for slot, variant in self._shown.items():
            if built.key == variant.name:
                self._latest[variant.name] = built
                self._answer(slot, built)

    def _answer(self, slot: Slot, built: Built) -> None:
        window, name, findings = self._window, str(built.key), built.report.findings
        reason = impossible_reason(findings)
        if reason is None:
            self._good[name] = built
            window.piece.show_built(slot, built, name)
            self._wear(slot)
        self._grey(slot, reason)
        if name == window.document.state.variant_name:
            window.findings.show_findings(findings)
            window.faces.show_findings(findings)
            window.bench.show_report(built.report)
            window.faces.set_impossible(reason is not None)

    def _wear(self, slot: Slot) -> None:
        """Show a piece in the wood that was chosen since it was sawn: that changes no shape, so nothing is awaited."""
        variant = self._shown[slot]
        good = self._good.get(variant.name)
        if good is not None and replace(good.variant, layup=variant.layup) == variant:
            self._window.piece.show_wood(slot, variant)

    def _failed(self, key: Hashable, sentence: str) -> None:
        for slot, variant in self._shown.items():
            if key == variant.name:
                self._latest.pop(variant.name, None)
                self._grey(slot, sentence)
                if variant.name == self._window.document.state.variant_name:
                    self._window.findings.show_findings((Finding("not-built", "stop", sentence, ""),))
                    self._window.faces.show_findings(())
                    self._window.faces.set_impossible(True)

    def _grey(self, slot: Slot, reason: str | None) -> None:
        self._window.piece.set_impossible(slot, reason)
        self._is_greyed[slot] = reason is not None
        self.show_numbers()

    # ---------------------------------------------------------------- numbers

    def show_numbers(self) -> None:
        """Show the numbers of the pieces on screen, in grey where they are of lines before."""
        reports = [self._report_in(slot) for slot in SLOTS]
        window = self._window
        if len(self._shown) == 2:
            names = (self._shown["A"].name, self._shown["B"].name)
            window.compare.show_reports(reports[0], reports[1], self._units, names)
            window.compare.set_stale(self._is_greyed["A"], self._is_greyed["B"])
        else:
            window.numbers.show_report(reports[0], self._units)
            window.numbers.set_stale(self._is_greyed["A"])

    def _report_in(self, slot: Slot) -> Report | None:
        variant = self._shown.get(slot)
        good = None if variant is None else self._good.get(variant.name)
        return None if good is None else good.report
