"""A block of words beside or below a drawing: what it is of, and what to do with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from geometry.drawing.items import Item, Text
from geometry.drawing.words import ASCENT, DESCENT, LEADING, broken
from geometry.templates import layers


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Words to be broken into lines; ``mark`` is a number or sign that hangs before the first."""

    text: str
    size: float = 2.8
    bold: bool = False
    mark: str = ""


def numbered(texts: Sequence[str], size: float = 2.8) -> list[Paragraph]:
    """Return steps with their numbers."""
    return [Paragraph(text, size, mark=f"{i}.") for i, text in enumerate(texts, start=1)]


def block(paragraphs: Sequence[Paragraph], left: float, top: float, width: float) -> tuple[list[Item], float]:
    """Return words set below ``top``, no wider than ``width``, and how high they stand together."""
    out: list[Item] = []
    y = top
    for p in paragraphs:
        indent = 1.6 * p.size if p.mark else 0.0
        for i, line in enumerate(broken(p.text, p.size, width - indent, p.bold)):
            base = y - ASCENT * p.size
            if i == 0 and p.mark:
                out.append(Text((left, base), p.mark, p.size, layers.WORDS, bold=p.bold))
            out.append(Text((left + indent, base), line, p.size, layers.WORDS, bold=p.bold))
            y -= LEADING * p.size
        y -= 0.35 * p.size
    return out, top - y + DESCENT * (paragraphs[-1].size if paragraphs else 0.0)
