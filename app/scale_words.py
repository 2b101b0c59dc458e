"""Scales as people write them: 1:4, 1/4, 25 %, 0.25."""

from __future__ import annotations

import math
import re
from typing import Final

from geometry.meshes import LARGEST_SCALE, SMALLEST_SCALE

COMMON: Final = ("1:1", "1:2", "1:4", "1:5", "1:10")

_RATIO: Final = re.compile(r"([0-9]*[.,]?[0-9]+)\s*[:/]\s*([0-9]*[.,]?[0-9]+)")
_PERCENT: Final = re.compile(r"([0-9]*[.,]?[0-9]+)\s*%")
_PLAIN: Final = re.compile(r"[0-9]*[.,]?[0-9]+")


def parse_scale(text: str) -> float | None:
    """Return the scale that a text means, or None where it is none from 1:1000 to 1000:1."""
    typed = text.strip()
    if len(typed) > 20:
        return None
    scale = math.nan
    if found := _RATIO.fullmatch(typed):
        whole = _number(found[2])
        scale = _number(found[1]) / whole if whole else math.nan
    elif found := _PERCENT.fullmatch(typed):
        scale = _number(found[1]) / 100.0
    elif _PLAIN.fullmatch(typed):
        scale = _number(typed)
    return scale if SMALLEST_SCALE <= scale <= LARGEST_SCALE else None


def _number(text: str) -> float:
    return float(text.replace(",", "."))
