"""How much room words take, and how they are broken and cut to fit. Helvetica's own widths."""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import Final

from reportlab.pdfbase.pdfmetrics import stringWidth

REGULAR: Final = "Helvetica"
BOLD: Final = "Helvetica-Bold"

CAP_HEIGHT: Final = 0.718
"""Height of a capital by the size of the type (Helvetica's font metrics)."""

ASCENT: Final = 0.76
"""How far the tallest letters and marks rise above the base line, by the size of the type, with a little to spare."""

DESCENT: Final = 0.22
"""How far the deepest letters hang below the base line, by the size of the type."""

LEADING: Final = 1.25
"""From base line to base line, by the size of the type."""

_PLAINER = {"″": '"', "′": "'", "−": "-", "→": ">", "←": "<", "≤": "<=", "≥": ">=", "Ł": "L", "ł": "l", "√": "root "}


@lru_cache(maxsize=4096)
def printable(text: str) -> str:
    """Return the words in letters the standard printing fonts have (those of Western Europe); others are simplified.

    An accent that is not there is left off, and a letter of another script becomes a question mark, rather than a
    gap where nobody sees that something is missing.
    """
    out = []
    for character in " ".join(text.split()):
        for plain in (character, _PLAINER.get(character, ""), unicodedata.normalize("NFKD", character)[:1], "?"):
            if plain and _has(plain):
                out.append(plain)
                break
    return "".join(out)


def _has(text: str) -> bool:
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


@lru_cache(maxsize=8192)
def width_of(text: str, size: float, bold: bool = False) -> float:
    """Return how wide words are at a size, in the size's own unit."""
    return float(stringWidth(printable(text), BOLD if bold else REGULAR, 1000.0)) * size / 1000.0


def fitted(text: str, size: float, width: float, bold: bool = False) -> str:
    """Return the words, cut short with three dots where they are wider than the room."""
    if width_of(text, size, bold) <= width:
        return text
    kept = text
    while kept and width_of(kept.rstrip() + "…", size, bold) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…" if kept else ""


def broken(text: str, size: float, width: float, bold: bool = False) -> list[str]:
    """Return the words in lines that are no wider than the room; a word that is wider by itself is broken."""
    lines: list[str] = []
    line = ""
    for word in text.split(" "):  # a space that holds its neighbours together stays
        tried = f"{line} {word}" if line else word
        if width_of(tried, size, bold) <= width:
            line = tried
            continue
        if line:
            lines.append(line)
        while width_of(word, size, bold) > width and len(word) > 1:
            part = word
            while len(part) > 1 and width_of(part, size, bold) > width:
                part = part[:-1]
            lines.append(part)
            word = word[len(part) :]
        line = word
    return [*lines, line] if line else lines
