"""Variants with one thing changed, for the fields of the bench."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from geometry.project import Cut, CutName, Variant


def with_blank(variant: Variant, **sizes: float) -> Variant:
    """Return the variant with sizes of its blank changed at the foot, and at the top where it was straight."""
    blank = variant.blank
    top: dict[str, Any] = {} if blank.is_tapered else {"top_width": None, "top_depth": None}
    return msgspec.structs.replace(variant, blank=msgspec.structs.replace(blank, **top, **sizes))


def with_cut(variant: Variant, name: CutName, cut: Cut) -> Variant:
    """Return the variant with one of its cuts replaced."""
    return msgspec.structs.replace(variant, **{name: cut})


def sawn_alike(a: Cut, b: Cut) -> bool:
    """Return True where two cuts have the same blade and kerf."""
    return a.kerf == b.kerf and a.blade == b.blade


def limit_of(key: str) -> Callable[[Variant], float]:
    """Return what reads a limit."""
    return lambda v: float(getattr(v.limits, key))


def with_limit(key: str) -> Callable[[Variant, float], Variant]:
    """Return what changes a limit."""
    return lambda v, mm: msgspec.structs.replace(v, limits=msgspec.structs.replace(v.limits, **{key: mm}))


def horn_of(key: str) -> Callable[[Variant], float]:
    """Return what reads the horn at an end."""
    return lambda v: float(getattr(v.horn, key))


def with_horn(key: str) -> Callable[[Variant, float], Variant]:
    """Return what changes the horn at an end."""
    return lambda v, mm: msgspec.structs.replace(v, horn=msgspec.structs.replace(v.horn, **{key: mm}))
