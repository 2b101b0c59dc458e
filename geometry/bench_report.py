"""What the report says of blade, grain, strength, standing, accuracy and movement: objects for programs.

Numbers are unrounded; null stands where there is none, and where a slope is infinite its angle is given. The text for
the maker is in `geometry.bench_words`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from geometry.accuracy import Sensitivity, sensitivities
from geometry.blades import COMFORT, StockBlade, reach, thickness_allowance, widest_stock_blade
from geometry.curvature import TightestBend, tightest_bend
from geometry.grain import NOTICED_SLOPE, SHORT_SLOPE, GrainMap, along_share, grain_map
from geometry.movement import Movement, Span, movement_of
from geometry.piece import Piece, species_of
from geometry.project import CUT_NAMES, Blade, CutName, DisplayUnits
from geometry.radius_along import COMFORTABLE, IMPOSSIBLE, TIGHT, RadiusAlong, TwoSteps, radius_along, two_steps
from geometry.species import SPECIES
from geometry.standing import Standing, standing_of
from geometry.strength import SAFETY_FACTOR, Strain, Strength, strength_of
from geometry.teeth import ToothAdvice, gullet_fill, sawn_depth_mm, teeth_in_work, tooth_advice
from geometry.use import Use
from geometry.wire_channel import WireChannel, wire_channel
from geometry.wood_volumes import WoodInPiece

_MAP_STEPS = 40
"""Steps of the grain map in the report; the window draws a finer one."""


@dataclass(frozen=True, slots=True, eq=False)
class BladeFit:
    """How one line and its blade go together.

    Attributes
    ----------
    blade : the chosen one, or None
    limit_mm : the radius it just follows; None where it cannot turn or none is chosen
    bend : the line's tightest bend, None where straight
    along : the radius along the line, beside the limit
    allowance : how much more room the blade wants because the work is thick; advice only
    widest : widest stock blade that follows, None where none does
    roomy : widest that follows with comfort in work of this thickness
    steps : the plan where a narrow blade is needed in one place only
    teeth : what teeth suit the cut
    trims : tightest bend of each trim and the widest stock blade that follows it
    """

    blade: Blade | None
    limit_mm: float | None
    bend: TightestBend | None
    along: RadiusAlong
    allowance: float
    widest: StockBlade | None
    roomy: StockBlade | None
    steps: TwoSteps | None
    teeth: ToothAdvice
    trims: tuple[tuple[TightestBend | None, StockBlade | None], ...]


@dataclass(frozen=True, slots=True, eq=False)
class BenchNumbers:
    """All of it, for one piece; without a use there is no strength, standing or channel."""

    blades: dict[CutName, BladeFit]
    grain: GrainMap
    strength: Strength | None
    standing: Standing | None
    channel: WireChannel | None
    accuracy: tuple[Sensitivity, ...]
    movement: Movement | None


def bench_numbers(piece: Piece, wood: WoodInPiece, units: DisplayUnits = "mm") -> BenchNumbers:
    """Work out all of it; a few milliseconds, and some more where the maker has said what the piece is for."""
    use = piece.variant.use or Use()
    return BenchNumbers(
        {name: blade_fit(piece, name) for name in CUT_NAMES},
        grain_map(piece),
        strength_of(piece, use),
        standing_of(piece, use, wood.mass_kg, wood.centre_mm),
        None if use.channel_mm is None else wire_channel(piece, use.channel_mm),
        sensitivities(piece, units),
        movement_of(piece, use),
    )


def blade_fit(piece: Piece, name: CutName) -> BladeFit:
    """Return how a cut's line and its blade go together."""
    variant, sawn = piece.variant, piece.cut(name)
    blade = variant.cut(name).blade
    limit = 0.0 if blade is None else reach(blade).radius_mm
    along = radius_along(piece, name, limit)
    depth = sawn_depth_mm(variant, name)
    allowance = thickness_allowance(depth)
    radius = sawn.bend.radius_mm if sawn.bend else None
    trims = []
    for trim in sawn.trims:
        bend = tightest_bend(trim.line)
        trims.append((bend, widest_stock_blade(bend.radius_mm if bend else None)))
    density = SPECIES[species_of(variant)].density_kg_m3
    return BladeFit(
        blade, None if blade is None else limit, sawn.bend, along, allowance, widest_stock_blade(radius),
        widest_stock_blade(None if radius is None else radius / (COMFORT * allowance)), two_steps(along),
        tooth_advice(depth, along_share(sawn.line), density, radius), tuple(trims),
    )  # fmt: skip


# ---------------------------------------------------------------- for programs


def bench_objects(numbers: BenchNumbers) -> dict[str, Any]:
    """Return the objects of the report, by their keys."""
    out: dict[str, Any] = {
        "blade": {name: _blade(fit) for name, fit in numbers.blades.items()},
        "grain": _grain(numbers.grain),
        "accuracy": [_sensitivity(row) for row in numbers.accuracy],
        "movement": None if numbers.movement is None else _movement(numbers.movement),
        "strength": None if numbers.strength is None else _strength(numbers.strength),
        "standing": None if numbers.standing is None else _standing(numbers.standing),
    }
    if numbers.channel is not None:
        c = numbers.channel
        out["wire_channel"] = {
            "bore_mm": c.bore_mm, "chamfer_mm": c.chamfer_mm, "thinnest_wall_mm": c.wall_mm, "z": c.z_mm,
        }  # fmt: skip
    return out


def _width(blade: StockBlade | None) -> float | None:
    return None if blade is None else blade.width_mm


def _blade(fit: BladeFit) -> dict[str, Any]:
    teeth = fit.teeth
    per_inch = None if fit.blade is None else fit.blade.teeth_per_inch
    return {
        "follows_mm": fit.limit_mm,
        "comfortable_from_mm": None if fit.limit_mm is None else COMFORT * fit.limit_mm,
        "thickness_allowance": fit.allowance,
        "share_comfortable": fit.along.share(COMFORTABLE),
        "share_tight": fit.along.share(TIGHT),
        "share_impossible": fit.along.share(IMPOSSIBLE),
        "widest_blade_mm": _width(fit.widest),
        "widest_comfortable_blade_mm": _width(fit.roomy),
        "two_steps": None if fit.steps is None else {
            "narrow_blade_mm": fit.steps.narrow.width_mm, "wide_blade_mm": fit.steps.wide.width_mm,
            "from": list(fit.steps.start), "to": list(fit.steps.stop), "share": fit.steps.share,
        },
        "teeth": {
            "sawn_through_mm": teeth.depth_mm, "share_along_grain": teeth.along_share, "form": teeth.form,
            "best_per_inch": list(teeth.best), "least_per_inch": teeth.least, "most_per_inch": teeth.most,
            "feed_m_min": list(teeth.feed_m_min), "per_inch": per_inch,
            "in_work": None if per_inch is None else teeth_in_work(per_inch, teeth.depth_mm),
            "gullet_fill": None if per_inch is None else gullet_fill(per_inch, teeth.depth_mm, teeth.feed_m_min[1]),
        },
        "trims": [
            {"tightest_radius_mm": bend.radius_mm if bend else None, "widest_blade_mm": _width(widest)}
            for bend, widest in fit.trims
        ],
    }  # fmt: skip


def _slope(slope: float) -> float | None:
    return slope if math.isfinite(slope) else None


def _grain(grain: GrainMap) -> dict[str, Any]:
    steepest, z = grain.steepest
    slope = grain.slope
    heights = np.linspace(float(grain.z[0]), float(grain.z[-1]), _MAP_STEPS + 1)
    nearest = [int(np.argmin(np.abs(grain.z - h))) for h in heights]
    return {
        "steepest_slope": _slope(steepest), "steepest_deg": math.degrees(math.atan(steepest)), "z": z,
        "share_steeper_than_1_in_8": grain.share_steeper(NOTICED_SLOPE),
        "share_steeper_than_1_in_5": grain.share_steeper(SHORT_SLOPE),
        "map": [[float(grain.z[k]), math.degrees(math.atan(slope[k]))] for k in nearest],
    }  # fmt: skip


def _sensitivity(row: Sensitivity) -> dict[str, Any]:
    return {
        "fault": row.fault, "effect_mm": row.effect_mm, "allowed_mm": row.allowed_mm, "harm": row.harm, "cut": row.cut,
        "message": f"{row.cause}: {row.effect}.", "remedy": row.care,
    }  # fmt: skip


def _span(span: Span) -> dict[str, float]:
    return {"radial_mm": span.radial_mm, "tangential_mm": span.tangential_mm}


def _movement(movement: Movement) -> dict[str, Any]:
    pair = movement.unlike
    return {
        "humidity_percent": list(movement.humidity_percent), "moisture_percent": list(movement.moisture_percent),
        "z": movement.section.z, "species": movement.lively,
        "width": _span(movement.width), "depth": _span(movement.depth),
        "most_unlike": None if pair is None else {"species": [pair.calm, pair.lively], "step_mm": pair.step_mm},
    }  # fmt: skip


def _strain(strain: Strain) -> dict[str, Any]:
    s = strain.section
    return {
        "z": strain.z_mm, "stress_mpa": strain.stress_mpa, "bears_mpa": strain.bears_mpa, "used": strain.used,
        "slope_of_grain": _slope(strain.slope),
        "section": {
            "area_mm2": s.area_mm2, "centroid_mm": [s.x_mm, s.y_mm],
            "ixx_mm4": s.ixx_mm4, "iyy_mm4": s.iyy_mm4, "ixy_mm4": s.ixy_mm4,
        },
    }  # fmt: skip


def _strength(strength: Strength) -> dict[str, Any]:
    line = strength.load_line
    return {
        "indicative_only": True, "safety_factor": SAFETY_FACTOR, "species": strength.species,
        "moisture_percent": strength.moisture_percent,
        "load_n": strength.loads.down_n, "push_n": strength.loads.push_n, "push_borne_n": strength.push_borne_n,
        "worst": _strain(strength.worst), "thinnest": _strain(strength.thinnest),
        "load_line": None if line is None else {
            "inside": line.inside_mm >= 0.0, "margin_mm": line.inside_mm, "z": line.z_mm,
        },
        "sections": [[s.z_mm, s.section.area_mm2, s.section.ixx_mm4, s.section.iyy_mm4] for s in strength.strains],
    }  # fmt: skip


def _standing(standing: Standing) -> dict[str, Any]:
    return {
        "screening_only": True, "mass_kg": standing.mass_kg, "center_of_mass_mm": list(standing.centre_mm),
        "reach_mm": standing.reach_mm, "tip_angle_deg": standing.tip_angle_deg, "toward": standing.toward,
        "needed_deg": standing.needed_deg, "verdict": standing.verdict, "seat_ratio": standing.seat_ratio,
        "support_mm": standing.support.tolist(),
    }  # fmt: skip
