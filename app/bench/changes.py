"""Variants with one thing changed, for the fields of the bench."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Literal

import msgspec

from geometry import copying
from geometry.project import Cut, CutName, Trim, Variant

Across = Literal["width", "depth"]


def with_blank(variant: Variant, **sizes: float) -> Variant:
    """Return the variant with sizes of its blank changed.

    Where the blank is straight its top follows the foot; where it tapers the top stays. Strips and blocks keep their
    shares of the blank, and lines go on running end to end.
    """
    blank = variant.blank
    straight: dict[str, Any] = {f"top_{key}": None for key in ("width", "depth") if is_straight(variant, key)}
    return copying.with_blank(variant, msgspec.structs.replace(blank, **straight, **sizes))


def is_straight(variant: Variant, key: Across | str) -> bool:
    """Return True where the top is as wide, or as deep, as the foot."""
    return bool(getattr(variant.blank, f"{key}_at_top") == getattr(variant.blank, key))


def with_top(variant: Variant, key: Across, mm: float | None) -> Variant:
    """Return the variant with another width or depth at the top; None, or that of the foot, makes it straight."""
    foot = getattr(variant.blank, key)
    change: dict[str, Any] = {f"top_{key}": None if mm == foot else mm}
    return msgspec.structs.replace(variant, blank=msgspec.structs.replace(variant.blank, **change))


def with_cut(variant: Variant, name: CutName, cut: Cut) -> Variant:
    """Return the variant with one of its cuts replaced."""
    return msgspec.structs.replace(variant, **{name: cut})


def with_trim(variant: Variant, name: CutName, number: int, trim: Trim) -> Variant:
    """Return the variant with one of its trims replaced, counted from 0."""
    cut = variant.cut(name)
    trims = tuple(trim if i == number else t for i, t in enumerate(cut.trims))
    return with_cut(variant, name, msgspec.structs.replace(cut, trims=trims))


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
