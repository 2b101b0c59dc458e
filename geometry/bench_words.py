"""What the report says of blade, grain, strength, standing, accuracy and movement, in words for the maker."""

from __future__ import annotations

from typing import Final

from geometry.accuracy import Sensitivity
from geometry.bench_report import BenchNumbers, BladeFit
from geometry.blades import COMFORT, StockBlade
from geometry.findings.finding import LINE, Words
from geometry.grain import NOTICED_SLOPE, slope_words
from geometry.movement import Movement, Span
from geometry.project import CutName, DisplayUnits
from geometry.radius_along import IMPOSSIBLE, TIGHT
from geometry.species import SPECIES, SpeciesName
from geometry.standing import Standing
from geometry.strength import SAFETY_FACTOR, Strength
from geometry.teeth import ToothAdvice
from geometry.units import format_length
from geometry.wire_channel import WireChannel

_LABELS: Final[dict[CutName, str]] = {"front": "Front", "side": "Side"}

_MOST_FAULTS = 3
"""Of the table of faults so many go into the text; the object has them all."""


def bench_rows(numbers: BenchNumbers, units: DisplayUnits) -> list[tuple[str, str]]:
    """Return label and sentence of each row, in the maker's unit."""
    words = Words(units)
    rows: list[tuple[str, str]] = []
    for name, fit in numbers.blades.items():
        label = _LABELS[name]
        rows.append((f"{label} blade", blade_words(fit, words)))
        rows.append((f"{label} teeth", teeth_words(fit.teeth, words)))
        if fit.steps is not None:
            rows.append((f"{label} in two steps", two_step_words(fit, name, words)))
    rows.append(("Grain", grain_words(numbers, words)))
    if numbers.strength is not None:
        rows.append(("Strength", strength_words(numbers.strength, words)))
    if numbers.standing is not None:
        rows.append(("Standing", standing_words(numbers.standing, words)))
    if numbers.channel is not None:
        rows.append(("Wire channel", channel_words(numbers.channel, words)))
    if numbers.movement is not None:
        rows.append(("Seasons", movement_words(numbers.movement, words)))
    return [*rows, *(("Care pays", fault_words(row)) for row in numbers.accuracy[:_MOST_FAULTS])]


def fine_length(mm: float, words: Words) -> str:
    """Return a small length: hundredths of a millimetre, or 64ths of an inch."""
    return format_length(mm, words.units, decimals=2, denominator=64)


def stock_width(blade: StockBlade, words: Words) -> str:
    """Return a stock blade's width as the maker buys it."""
    return blade.inches if words.units == "in" else f"{blade.width_mm:g} mm"


def wood_name(species: SpeciesName) -> str:
    """Return a wood's everyday name within a sentence."""
    return SPECIES[species].label.split(" (")[0].lower()


def blade_words(fit: BladeFit, words: Words) -> str:
    """Return how a blade follows its line, or which blades would."""
    allowance = f", and in work this thick {fit.allowance:g} times that again" if fit.allowance > 1.0 else ""
    if fit.blade is None:
        if fit.widest is None:
            return "none chosen, and no stock blade follows the line"
        text = f"none chosen; {stock_width(fit.widest, words)} just follows"
        if fit.roomy is None:
            return f"{text}, none with comfort"
        return text if fit.roomy == fit.widest else f"{text}, {stock_width(fit.roomy, words)} with comfort"
    width = words.length(fit.blade.width) if words.units == "in" else f"{fit.blade.width:g} mm"
    if fit.limit_mm is None:
        return f"{width}, which saws a slot no wider than its body and cannot turn"
    text = f"{width}, which follows {words.length(fit.limit_mm)}"
    stuck, tight = fit.along.share(IMPOSSIBLE), fit.along.share(TIGHT)
    if stuck > 0.0:
        return f"{text}: {_percent(stuck)} of the line is tighter than that"
    if tight > 0.0:
        return (
            f"{text}: it follows all of the line, {_percent(tight)} of it without comfort "
            f"({COMFORT:g} times the radius{allowance})"
        )
    return f"{text}: with comfort all along"


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %" if share >= 0.01 else "less than 1 %"


def teeth_words(teeth: ToothAdvice, words: Words) -> str:
    """Return which teeth to look for and how fast to feed."""
    low, high = teeth.best
    slow, brisk = teeth.feed_m_min
    if words.units == "in":
        feed = f"feed {slow * 1000.0 / 25.4:.0f} to {brisk * 1000.0 / 25.4:.0f} in a minute"
    else:
        feed = f"feed {slow:.1f} to {brisk:.1f} m a minute"
    return (
        f"{teeth.form}, {low:.2g} to {high:.2g} to the inch for {words.length(teeth.depth_mm)} of wood, "
        f"{_percent(teeth.along_share)} of it along the grain; {feed}"
    )


def two_step_words(fit: BladeFit, name: CutName, words: Words) -> str:
    """Return how to saw a line that wants a narrow blade in one place only."""
    steps = fit.steps
    assert steps is not None
    low, high = sorted((steps.start[1], steps.stop[1]))
    return (
        f"only between {words.length(low)} and {words.length(high)} up does {LINE[name]} want "
        f"{stock_width(steps.narrow, words)}; saw in from both ends with {stock_width(steps.wide, words)}, which "
        "wanders less, stop the saw and back out, then change blades for the stretch between"
    )


def grain_words(numbers: BenchNumbers, words: Words) -> str:
    """Return how steeply the grain runs out of the piece."""
    steepest, z = numbers.grain.steepest
    if steepest <= 0.0:
        return "straight along the piece"
    share = numbers.grain.share_steeper(NOTICED_SLOPE)
    how = "sawn across" if steepest > 1.0 else f"slopes {slope_words(steepest)}"
    return f"{how} at its steepest, {words.up(z)}; steeper than 1 in 8 over {100.0 * share:.0f} % of the length"


def strength_words(strength: Strength, words: Words) -> str:
    """Return how much of what the wood bears a load uses."""
    worst, line = strength.worst, strength.load_line
    text = (
        f"{strength.loads.down_n:.0f} N down and a push of {strength.loads.push_n:.0f} N use "
        f"{100.0 * worst.used:.0f} % of what {wood_name(strength.species)} bears at {words.up(worst.z_mm)}, with "
        f"{SAFETY_FACTOR:.0f} times in hand; indicative only"
    )
    if line is None:
        return text
    where = "stays inside the wood" if line.inside_mm >= 0.0 else "leaves the wood"
    return f"{text}; the straight way from top to foot {where}"


def standing_words(standing: Standing, words: Words) -> str:
    """Return at what tilt a piece tips, with the word that this is screening only."""
    if standing.reach_mm < 0.0:
        return f"falls toward the {standing.toward} by itself"
    verdict = {"steady": "steady", "near": "near the limit", "tips": "too little"}[standing.verdict]
    return (
        f"tips toward the {standing.toward} at {standing.tip_angle_deg:.1f}° ({verdict}; at least "
        f"{standing.needed_deg:.0f}°), balance {words.length(standing.centre_mm[2])} above the floor; screening, not "
        "certification"
    )


def channel_words(channel: WireChannel, words: Words) -> str:
    """Return what to plane off for a wire channel and how thick its wall is."""
    return (
        f"plane {fine_length(channel.chamfer_mm, words)} off each long corner of the blank before gluing, for a bore "
        f"of {fine_length(channel.bore_mm, words)}; thinnest wall {words.length(max(channel.wall_mm, 0.0))} at "
        f"{words.up(channel.z_mm)}"
    )


def movement_words(movement: Movement, words: Words) -> str:
    """Return how much the section grows from the driest to the dampest air."""

    def grows(span: Span) -> str:
        return f"{fine_length(span.radial_mm, words)} to {fine_length(span.tangential_mm, words)}"

    dry, damp = movement.humidity_percent
    return (
        f"from {dry:.0f} to {damp:.0f} % humidity {wood_name(movement.lively)} grows {grows(movement.width)} in width, "
        f"{grows(movement.depth)} in depth, as its rings lie"
    )


def fault_words(row: Sensitivity) -> str:
    """Return one row of the table of faults."""
    return f"{row.cause}: {row.effect}"
