"""Sentences for what cannot be had: which wish, where, by how much, and what to do."""

from __future__ import annotations

import numpy as np

from geometry.findings.finding import Words
from geometry.fit.cannot import CannotFit
from geometry.fit.outlines import Outline
from geometry.fit.saw import Saw
from geometry.fit.views import ViewFit
from geometry.project import CutName


def fine(mm: float, words: Words) -> str:
    """Return a small length to a hundredth of a millimetre or a thousandth of an inch, in the maker's unit."""
    return f'{mm / 25.4:.3f}"' if words.units == "in" else f"{mm:.2f} mm"


def blank_too_small(
    name: CutName, outline: Outline, saw: Saw, needed: float, largest: float, words: Words
) -> CannotFit:
    """Return that no stock size is large enough, naming the widest place."""
    z = outline.heights
    wide = outline.right.at(z) - outline.left.at(z)
    k = int(np.argmax(wide))
    by = needed - largest
    return CannotFit(
        name, (float(outline.right.at(z[k : k + 1])[0]), float(z[k])), by,
        f"In the {name} view the outline is {words.length(float(wide[k]))} wide {words.up(float(z[k]))} and needs a "
        f"blank of {words.length(needed)} there, slot included; the largest size that may be had is "
        f"{words.length(largest)}, {words.length(by)} too small. Allow a larger size, or make it narrower there.",
    )  # fmt: skip


def reason(
    name: CutName, outline: Outline, saw: Saw, nearest: ViewFit | None, most_trims: int, words: Words
) -> CannotFit:
    """Return why the nearest way does not have the outline."""
    if nearest is None:
        z = outline.length / 2.0
        return CannotFit(
            name, (0.0, z), saw.tolerance,
            f"In the {name} view no line about {words.up(z)} keeps to the blade and the wall of "
            f"{words.length(saw.wall)} at once. Choose a narrower blade, or draw a wider outline.",
        )  # fmt: skip
    where, by = nearest.difference.worst_at, nearest.difference.worst_mm
    if nearest.too_many is not None:
        return _too_many(name, outline, nearest, most_trims, words)
    over = max(by - saw.tolerance, 0.0)
    what = "the line cannot"
    if nearest.trim_misses:
        worst = max(nearest.trim_misses, key=lambda m: m.by_mm)
        what = f"the trim on the {'right' if worst.side > 0 else 'left'} cannot"
    blade = f"the chosen {words.length(saw.blade.width)} blade follows" if saw.blade else "any blade follows"
    return CannotFit(
        name, where, over,
        f"In the {name} view {what} keep to the outline {words.up(where[1])}: it comes within {fine(by, words)}, "
        f"{fine(over, words)} more than the tolerance of {fine(saw.tolerance, words)}, with bends no tighter than "
        f"{words.length(saw.radius)}, which {blade}. Ease the outline there, take a narrower blade, or allow more "
        "tolerance.",
    )  # fmt: skip


def _too_many(name: CutName, outline: Outline, nearest: ViewFit, most: int, words: Words) -> CannotFit:
    spare = nearest.too_many
    assert spare is not None
    side, curve = ("right", outline.right) if spare.side > 0 else ("left", outline.left)
    where = (float(curve.at(np.array([spare.z]))[0]), spare.z)
    needed = len(nearest.sides)
    allowed = "none is" if most == 0 else "only one is" if most == 1 else f"only {most} are"
    return CannotFit(
        name, where, spare.by_mm,
        f"The {name} view needs {needed} trim{'s' if needed > 1 else ''} and {allowed} allowed: the {side} side would "
        f"stay {words.length(spare.by_mm)} too wide {words.up(spare.z)}. Allow more trims, or make the outline more "
        "even in width.",
    )  # fmt: skip
