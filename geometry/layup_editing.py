"""Strip by strip: what a maker does to a lay-up that is there.

Strips always go on filling the blank: what one gains the others give. Every function returns a new lay-up; what
cannot be done (a strip of nothing, a strip that is not there) leaves it as it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby
from typing import Final

from msgspec.structs import replace

from geometry.editing import tidy
from geometry.layup import Checker, Chevron, Layup, Stripes
from geometry.layup_making import filled
from geometry.species import SpeciesName

THINNEST_STRIP_MM: Final = 0.5
"""No strip is made thinner by hand: a veneer."""

Strip = tuple[float, SpeciesName]


def _with(stripes: Stripes, strips: Sequence[Strip]) -> Stripes:
    """Return the stripes with other strips, which must fill the same width and be no thinner than a veneer."""
    if min(w for w, _ in strips) < THINNEST_STRIP_MM - 1e-9:
        return stripes
    return replace(stripes, strips=tuple(strips))


def _names(stripes: Stripes) -> list[SpeciesName]:
    return [name for _, name in stripes.strips]


def total_mm(stripes: Stripes) -> float:
    """Return the width that the strips fill."""
    return tidy(math.fsum(w for w, _ in stripes.strips))


# ---------------------------------------------------------------- one strip


def with_strip_width(stripes: Stripes, i: int, width_mm: float, *, keep_alike: bool = False) -> Stripes:
    """Return the stripes with one strip of another width; the others give or take in proportion to their own.

    Parameters
    ----------
    stripes : the stripes
    i : number of the strip, from -x or -y
    width_mm : its new width
    keep_alike : give its mirror image about the centre the same width
    """
    strips, total = stripes.strips, total_mm(stripes)
    if not 0 <= i < len(strips):
        return stripes
    chosen = {i, len(strips) - 1 - i} if keep_alike else {i}
    width_mm = tidy(width_mm)
    others = [k for k in range(len(strips)) if k not in chosen]
    room = total - width_mm * len(chosen)
    if not others:
        return stripes
    if room < THINNEST_STRIP_MM * len(others) - 1e-9:
        return stripes
    shared = dict(zip(others, filled([strips[k][0] for k in others], room), strict=True))
    return _with(stripes, [(shared.get(k, width_mm), name) for k, (_, name) in enumerate(strips)])


def with_border_moved(stripes: Stripes, i: int, by_mm: float) -> Stripes:
    """Return the stripes with the border between strips ``i`` and ``i + 1`` moved, as far as both stay strips."""
    strips = list(stripes.strips)
    if not 0 <= i < len(strips) - 1:
        return stripes
    (a, first), (b, second) = strips[i : i + 2]
    if a + b < 2.0 * THINNEST_STRIP_MM:
        return stripes
    wide = tidy(min(max(a + by_mm, THINNEST_STRIP_MM), a + b - THINNEST_STRIP_MM))
    strips[i : i + 2] = [(wide, first), (tidy(a + b - wide), second)]
    return _with(stripes, strips)


def with_strip_species(stripes: Stripes, i: int, species: SpeciesName) -> Stripes:
    """Return the stripes with one strip of another species."""
    return replace(
        stripes, strips=tuple((w, species if k == i else name) for k, (w, name) in enumerate(stripes.strips))
    )


def with_strip_split(
    stripes: Stripes, i: int, at_mm: float | None = None, species: SpeciesName | None = None
) -> Stripes:
    """Return the stripes with one strip sawn in two.

    Parameters
    ----------
    stripes : the stripes
    i : number of the strip
    at_mm : width of the first part; the middle when left out
    species : of the second part; the same when left out
    """
    strips = list(stripes.strips)
    if not 0 <= i < len(strips):
        return stripes
    width, name = strips[i]
    first = tidy(width / 2.0 if at_mm is None else at_mm)
    strips[i : i + 1] = [(first, name), (tidy(width - first), species or name)]
    return _with(stripes, strips)


def with_strips_joined(stripes: Stripes, i: int) -> Stripes:
    """Return the stripes with strips ``i`` and ``i + 1`` made one, in the wider one's species."""
    strips = list(stripes.strips)
    if not 0 <= i < len(strips) - 1:
        return stripes
    (a, first), (b, second) = strips[i : i + 2]
    strips[i : i + 2] = [(tidy(a + b), first if a >= b else second)]
    return _with(stripes, strips)


def with_strip_moved(stripes: Stripes, i: int, to: int) -> Stripes:
    """Return the stripes with one strip taken out and put back as number ``to``."""
    strips = list(stripes.strips)
    if not 0 <= i < len(strips):
        return stripes
    strip = strips.pop(i)
    strips.insert(min(max(to, 0), len(strips)), strip)
    return _with(stripes, strips)


def with_strip_removed(stripes: Stripes, i: int) -> Stripes:
    """Return the stripes without one strip, the others widened in proportion; the last strip stays."""
    strips = [s for k, s in enumerate(stripes.strips) if k != i]
    if not strips or len(strips) == len(stripes.strips):
        return stripes
    widths = filled([w for w, _ in strips], total_mm(stripes))
    return _with(stripes, [(w, name) for w, (_, name) in zip(widths, strips, strict=True)])


# ---------------------------------------------------------------- all strips


def with_count(stripes: Stripes, count: int) -> Stripes:
    """Return that many strips of equal width, whose species take turns in the order they are in now."""
    if count < 1:
        return stripes
    names = list(dict.fromkeys(_names(stripes)))
    widths = filled((1.0,) * count, total_mm(stripes))
    return _with(stripes, [(w, names[k % len(names)]) for k, w in enumerate(widths)])


def with_equal_widths(stripes: Stripes) -> Stripes:
    """Return the stripes in their order, all of one width."""
    widths = filled((1.0,) * len(stripes.strips), total_mm(stripes))
    return _with(stripes, list(zip(widths, _names(stripes), strict=True)))


def with_like_neighbours_joined(stripes: Stripes) -> Stripes:
    """Return the stripes with neighbours of the same species made one board."""
    runs = ((name, [w for w, _ in run]) for name, run in groupby(stripes.strips, key=lambda s: s[1]))
    return _with(stripes, [(tidy(math.fsum(widths)), name) for name, widths in runs])


def mirrored(stripes: Stripes) -> Stripes:
    """Return the stripes the other way about."""
    return replace(stripes, strips=stripes.strips[::-1])


def made_alike(stripes: Stripes) -> Stripes:
    """Return stripes alike about the centre: what lies left of it, or before it, is carried over to the other half."""
    half, kept, filled_mm = total_mm(stripes) / 2.0, [], 0.0
    for width, name in stripes.strips:
        if filled_mm >= half - 1e-9:
            break
        kept.append((min(width, half - filled_mm), name))
        filled_mm += width
    outer = [(tidy(w), name) for w, name in kept[:-1]]
    middle = tidy(total_mm(stripes) - 2.0 * math.fsum(w for w, _ in outer))
    return _with(stripes, [*outer, (middle, kept[-1][1]), *outer[::-1]])


def with_half_outer_strips(stripes: Stripes) -> Stripes:
    """Return the stripes with the two outer ones half as wide, all widened in proportion to fill the blank.

    The outer strips come to lie beside the seam in the middle of the piece's faces, two together; so they look as
    wide as the others.
    """
    if len(stripes.strips) < 3:
        return stripes
    widths = [w for w, _ in stripes.strips]
    widths[0], widths[-1] = widths[0] / 2.0, widths[-1] / 2.0
    return _with(stripes, list(zip(filled(widths, total_mm(stripes)), _names(stripes), strict=True)))


def widths_that_meet(
    size_mm: float, count: int, kerf_mm: float, *, half_outer: bool = True
) -> tuple[float, ...] | None:
    """Return strip widths that look even on the piece after the saw has been through the centre.

    The centre strip is sawn along its length and loses the kerf, so it is t + kerf; two outer strips lie together
    beside the seam, so each is t / 2 (or t, where they may look double); all others are t.

    Parameters
    ----------
    size_mm : the blank's width or depth
    count : an odd number of strips
    kerf_mm : what the saw takes

    Returns
    -------
    the widths, or None where the count is even or a strip would be thinner than a veneer
    """
    if count < 1 or count % 2 == 0:
        return None
    if count == 1:
        return (size_mm,)
    outer = 0.5 if half_outer else 1.0
    t = (size_mm - kerf_mm) / (count - 2 + 2.0 * outer)
    if t * outer < THINNEST_STRIP_MM:
        return None
    edge, inner = tidy(t * outer), tidy(t)
    side = (edge, *((inner,) * ((count - 3) // 2)))
    return (*side, tidy(size_mm - 2.0 * math.fsum(side)), *side[::-1])


def with_widths_that_meet(stripes: Stripes, kerf_mm: float, *, half_outer: bool = True) -> Stripes:
    """Return the stripes in `widths_that_meet`; an even count gets one strip more, like the first, at the end.

    Their species are made alike about the centre.
    """
    names = _names(stripes)
    if len(names) % 2 == 0:
        names.append(names[0])
    widths = widths_that_meet(total_mm(stripes), len(names), kerf_mm, half_outer=half_outer)
    if widths is None:
        return stripes
    half = names[: (len(names) + 1) // 2]
    return _with(stripes, list(zip(widths, [*half, *half[-2::-1]], strict=True)))


# ---------------------------------------------------------------- centring


def centred(layup: Layup) -> Layup:
    """Return the lay-up alike about the blank's centre, so that its pattern meets at the seams.

    A chevron's peak comes to the centre; stripes are carried over from one half to the other; a checker gets odd
    counts across, with sizes alike about the centre, and keeps its first two species where it has more.
    """
    match layup:
        case Chevron():
            return replace(layup, peak=0.0)
        case Stripes():
            return made_alike(layup)
        case Checker():
            species = tuple(dict.fromkeys(layup.species))[:2]
            return replace(layup, x=_odd_alike(layup.x), y=_odd_alike(layup.y), species=species)
        case _:
            return layup


def is_centred(layup: Layup) -> bool:
    """Return True when centring would change nothing."""
    return centred(layup) == layup


def _odd_alike(sizes: tuple[float, ...]) -> tuple[float, ...]:
    if len(sizes) % 2 and sizes == sizes[::-1]:
        return sizes
    half = sizes[: (len(sizes) + 2) // 2] if len(sizes) % 2 == 0 else sizes[: (len(sizes) + 1) // 2]
    return filled((*half, *half[-2::-1]), math.fsum(sizes))
