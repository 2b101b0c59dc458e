"""One thing the checks have to say, with what to do about it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from geometry.project import CutName, DisplayUnits
from geometry.units import format_length

Severity = Literal["stop", "caution", "advice"]
SEVERITIES: Final[tuple[Severity, ...]] = ("stop", "caution", "advice")
"""Worst first."""


@dataclass(frozen=True, slots=True)
class Finding:
    """What is so, why it matters, and what to do.

    Attributes
    ----------
    code : stable name for programs; never shown to the maker
    severity : "stop" (cannot be built so), "caution" or "advice"
    message : what is so and why it matters, whole sentences
    remedy : what to do, a whole sentence
    cut : the cut it is about, or None for the blank or the piece
    trim : number of the trim of that cut it is about, from 1, or None
    at : its place (u, z) on that cut's face; for the piece (0, z); None where there is none
    """

    code: str
    severity: Severity
    message: str
    remedy: str
    cut: CutName | None = None
    at: tuple[float, float] | None = None
    trim: int | None = None


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings by severity, in the order they were found within each."""
    return tuple(sorted(findings, key=lambda f: SEVERITIES.index(f.severity)))


@dataclass(frozen=True, slots=True)
class Words:
    """The words findings share: lengths in the maker's unit, names of the lines and faces."""

    units: DisplayUnits = "mm"

    def length(self, mm: float) -> str:
        """Return a length the way the maker reads it."""
        return format_length(mm, self.units, denominator=32) if self.units == "in" else format_length(mm, "mm")

    def up(self, z: float) -> str:
        """Return a height as a place."""
        return f"{self.length(z)} up"


LINE: Final[dict[CutName, str]] = {"front": "the front line", "side": "the side line"}
FACE: Final[dict[CutName, str]] = {"front": "the front face", "side": "the right face"}


def capital(sentence: str) -> str:
    """Return the sentence with its first letter large."""
    return sentence[:1].upper() + sentence[1:]
