"""Will it hold? Only where the maker has said what the piece is for; indicative, never a certificate."""

from __future__ import annotations

from geometry.findings.finding import Finding, Words
from geometry.piece import Piece
from geometry.strength import SAFETY_FACTOR, Strength, strength_of
from geometry.tolerances import PLACE_MM
from geometry.units import format_length
from geometry.use import Use
from geometry.wire_channel import wire_channel


def strength_findings(piece: Piece, use: Use | None, words: Words) -> list[Finding]:
    """Return findings where the load is more than the wood bears, leaves the wood, or a wire channel thins it."""
    if use is None:
        return []
    out: list[Finding] = []
    strength = strength_of(piece, use)
    if strength is not None:
        out += _overstressed(strength, use, words)
        out += _load_line(strength, words)
    if use.channel_mm is not None:
        out += _channel(piece, use.channel_mm, words)
    return out


def _overstressed(strength: Strength, use: Use, words: Words) -> list[Finding]:
    worst, loads = strength.worst, strength.loads
    if worst.used <= 1.0:
        return []
    where = "at the foot" if use.kind == "leg" else "at the top"
    return [
        Finding(
            "ankle-overstressed", "caution",
            f"With {loads.down_n:.0f} N down on it and a push of {loads.push_n:.0f} N {where}, the piece bears "
            f"{worst.stress_mpa:.1f} MPa at {words.up(worst.z_mm)}, where such wood with its slope of grain breaks at "
            f"about {worst.bears_mpa:.0f}: less than the {SAFETY_FACTOR:.0f} times in hand that are wise. This is "
            "indicative only.",
            "Keep it thicker there, ease the line so that the grain runs straighter, or take a stronger wood; then try "
            "a prototype with the load.",
            None, (0.0, worst.z_mm),
        )
    ]  # fmt: skip


def _load_line(strength: Strength, words: Words) -> list[Finding]:
    line = strength.load_line
    if line is None or line.inside_mm >= -PLACE_MM:
        return []
    return [
        Finding(
            "load-line-outside", "advice",
            f"The straight way from the middle of the top to the middle of the foot leaves the wood by "
            f"{words.length(-line.inside_mm)} at {words.up(line.z_mm)}, so the load bends the piece more than it "
            "presses it.",
            "Bring the top and the foot over one another, or let the lines swing less.", None, (0.0, line.z_mm),
        )
    ]  # fmt: skip


def _channel(piece: Piece, bore_mm: float, words: Words) -> list[Finding]:
    channel, limit = wire_channel(piece, bore_mm), piece.variant.limits.wall
    if channel is None or channel.wall_mm >= limit - PLACE_MM:
        return []
    if channel.wall_mm > 0.0:
        so = f"leaves a wall of {words.length(channel.wall_mm)} at {words.up(channel.z_mm)}: it may break through"
    else:
        so = f"breaks through the outside at {words.up(channel.z_mm)}"
    bore = format_length(bore_mm, words.units, decimals=2, denominator=64)
    return [
        Finding(
            "channel-wall-too-thin", "caution", f"The wire channel of {bore} {so}.",
            f"Let the lines swing {words.length(limit - channel.wall_mm)} less there, or use a narrower channel.",
            None, (0.0, channel.z_mm),
        )
    ]  # fmt: skip
