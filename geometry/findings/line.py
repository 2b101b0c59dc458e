"""Is the line one that can be sawn: on its face, from end to end, clear of itself, with wood left beside it?"""

from __future__ import annotations

import math

import numpy as np

from geometry.curvature import Extent, corner_turns, extent, highs_and_lows
from geometry.findings.finding import FACE, LINE, Finding, Words, capital
from geometry.lines import Line
from geometry.project import CutName, Limits
from geometry.slots import SawnFace
from geometry.tolerances import PLACE_MM, SHARP_CORNER_DEG
from geometry.webs import NearPass, nearest_passes, self_contacts

_LEVEL = 0.05
"""Below this slope the end of a line runs along the end of the face and its slot has no width across."""


def line_findings(
    name: CutName, line: Line, face: SawnFace, kerf: float, limits: Limits, words: Words
) -> list[Finding]:
    """Return all there is to say about the run of a line.

    Parameters
    ----------
    name : which cut it is
    line : the line, in the face's (u, z)
    face : the face it parts
    kerf : width of the slot in millimetres; walls and webs are measured from its edges
    limits : the variant's limits
    words : the maker's unit
    """
    return [
        *_end_to_end(name, line, face, words),
        *_edges(name, line, face, kerf, limits, words),
        *_itself(name, line, kerf, limits, words),
        *corner_findings(LINE[name], name, line, words),
    ]


def _end_to_end(name: CutName, line: Line, face: SawnFace, words: Words) -> list[Finding]:
    out: list[Finding] = []
    the_line = capital(LINE[name])
    start, end = line.start, line.end
    if abs(start[1] - face.length) <= PLACE_MM and abs(end[1]) <= PLACE_MM:
        at = (float(start[0]), float(start[1]))
        return [
            Finding(
                "line-not-end-to-end", "stop",
                f"{the_line} runs from the top to the foot, so its left and right sides are the wrong way about.",
                "Reverse the line, so that it runs from the foot to the top.", name, at,
            )
        ]  # fmt: skip
    for place, wanted, verb, end_name in ((start, 0.0, "begins", "foot"), (end, face.length, "ends", "top")):
        off = float(place[1]) - wanted
        if abs(off) <= PLACE_MM:
            continue
        short = (off > 0.0) == (end_name == "foot")
        where = f"{words.length(abs(off))} {'short of' if short else 'past'} the {end_name} end"
        why = "so the blade would stop inside the wood" if short else "which is off the wood"
        out.append(
            Finding(
                "line-not-end-to-end", "stop", f"{the_line} {verb} {where}, {why}.",
                f"Set the height of its {'first' if end_name == 'foot' else 'last'} node to {words.length(wanted)}.",
                name, (float(place[0]), float(place[1])),
            )
        )  # fmt: skip
    return out


def _edges(name: CutName, line: Line, face: SawnFace, kerf: float, limits: Limits, words: Words) -> list[Finding]:
    reach = extent(line)
    out: list[Finding] = []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        room, place = _nearest_to_edge(line, face, sign)
        if room < -PLACE_MM:
            out.append(
                Finding(
                    "line-leaves-face", "stop",
                    f"{capital(LINE[name])} leaves {FACE[name]} by {words.length(-room)} at its {side} edge, "
                    f"{words.up(place[1])}: the blade would run out of the blank there.",
                    f"Move it in by at least {words.length(-room + kerf / 2.0 + limits.wall)}, or use a wider blank.",
                    name, place,
                )
            )  # fmt: skip
            continue
        wall, where = _thinnest_wall(line, face, kerf, sign, room, place)
        if wall < limits.wall - PLACE_MM:
            if wall > 0.0:
                message = (
                    f"{capital(LINE[name])} comes within {words.length(wall)} of the {side} edge at "
                    f"{words.up(where[1])}: that wall may break."
                )
            else:
                message = (
                    f"The slot of {LINE[name]} breaks through the {side} edge at {words.up(where[1])}: "
                    "no wall is left there."
                )
            remedy = f"Move it in by {words.length(limits.wall - wall)}, or use a wider blank."
            out.append(Finding("wall-too-thin", "caution", message, remedy, name, where))
    out += _past_ends(name, reach, face, words)
    out += _end_walls(name, line, face, kerf, limits, words)
    return out


def _past_ends(name: CutName, reach: Extent, face: SawnFace, words: Words) -> list[Finding]:
    """Return findings for a line that dips below the foot or rises above the top."""
    out: list[Finding] = []
    for end, over, place in (
        ("foot", -reach.least_z[1], reach.least_z),
        ("top", reach.greatest_z[1] - face.length, reach.greatest_z),
    ):
        if over > PLACE_MM:
            out.append(
                Finding(
                    "line-leaves-face", "stop",
                    f"{capital(LINE[name])} leaves {FACE[name]} by {words.length(over)} past the {end} end: "
                    "there is no wood to saw there.",
                    f"Bring it back by {words.length(over)}, or use a longer blank.", name, place,
                )
            )  # fmt: skip
    return out


def _end_walls(name: CutName, line: Line, face: SawnFace, kerf: float, limits: Limits, words: Words) -> list[Finding]:
    """Return findings for a hook that comes near the foot or the top end: what is left there is a wall as well."""
    bends = highs_and_lows(line)[1:-1]
    out: list[Finding] = []
    for end, distances in (("foot", bends[:, 1]), ("top", face.length - bends[:, 1])):
        distances = np.where(distances < -PLACE_MM, np.inf, distances)  # past the end, which is told elsewhere
        if not len(distances) or distances.min() - kerf / 2.0 >= limits.wall - PLACE_MM:
            continue
        wall = float(distances.min()) - kerf / 2.0
        u, z = bends[int(distances.argmin())]
        if wall > 0.0:
            message = (
                f"{capital(LINE[name])} turns back within {words.length(wall)} of the {end} end, {words.length(u)} "
                "across: that wall may break."
            )
        else:
            message = (
                f"The slot of {LINE[name]} breaks through the {end} end, {words.length(u)} across: no wall is left "
                "there."
            )
        remedy = f"Move that bend in by {words.length(limits.wall - wall)}, or use a longer blank."
        out.append(Finding("wall-too-thin", "caution", message, remedy, name, (float(u), float(z))))
    return out


def _nearest_to_edge(line: Line, face: SawnFace, sign: float) -> tuple[float, tuple[float, float]]:
    """Return the least distance across from the line to an edge of the face, negative outside, and its place.

    An edge that slants is set upright first, and the line leans with it: what is a straight function of the height
    moves a cubic to a cubic, so the extreme is still found on the exact pieces.
    """
    lean = sign * (face.half_at_top - face.half) / face.length
    pieces = line.pieces.copy()
    pieces[:, :, 0] -= lean * pieces[:, :, 1]
    leaned = extent(Line(pieces, line.is_straight, line.kinks))
    u, z = leaned.least_u if sign < 0 else leaned.greatest_u
    return face.half - sign * u, (u + lean * z, z)


def _thinnest_wall(
    line: Line, face: SawnFace, kerf: float, sign: float, room: float, place: tuple[float, float]
) -> tuple[float, tuple[float, float]]:
    """Return the thinnest wall on one side and its place.

    Within the face the slot's edge is half a kerf from the line's furthest place. At an end that is met at a slant
    the slot is wider across: kerf · sqrt(1 + u'²).
    """
    best = (room - kerf / 2.0, place)
    lean = (face.half_at_top - face.half) / face.length
    for end, direction in ((line.start, line.start_direction), (line.end, line.end_direction)):
        slope = abs(float(direction[1]))
        if slope > _LEVEL and -PLACE_MM <= end[1] <= face.length + PLACE_MM:
            wall = face.half + lean * float(end[1]) - sign * float(end[0]) - kerf / 2.0 / slope
            if wall < best[0] - PLACE_MM:
                best = (wall, (float(end[0]), float(end[1])))
    return best


def _itself(name: CutName, line: Line, kerf: float, limits: Limits, words: Words) -> list[Finding]:
    contacts = self_contacts(line)
    if contacts:
        at = contacts[0]
        more = f" and at {len(contacts) - 1} more places" if len(contacts) > 1 else ""
        return [
            Finding(
                "line-touches-itself", "stop",
                f"{capital(LINE[name])} touches itself {words.up(at[1])}{more}: the blade would saw a piece loose.",
                "Move the nodes on either side of that place apart.", name, at,
            )
        ]  # fmt: skip
    passes = nearest_passes(line)
    # what stops the saw comes first, though a bend elsewhere may be narrower still
    for near in passes:
        if near.distance_mm <= max(kerf, PLACE_MM) and not near.is_one_bend:
            middle = _between(near)
            return [
                Finding(
                    "line-touches-itself", "stop",
                    f"Two passes of {LINE[name]} run into one another {words.up(middle[1])}: they are "
                    f"{words.length(near.distance_mm)} apart and the kerf alone is {words.length(kerf)}.",
                    f"Move them apart by at least {words.length(limits.web + kerf - near.distance_mm)}.", name, middle,
                )
            ]  # fmt: skip
    if passes and passes[0].distance_mm - kerf < limits.web - PLACE_MM:
        web, middle = passes[0].distance_mm - kerf, _between(passes[0])
        return [
            Finding(
                "web-too-thin", "caution",
                f"{capital(LINE[name])} passes itself {words.up(middle[1])} and leaves a web of "
                f"{words.length(max(web, 0.0))}: it may break out.",
                f"Move the two passes apart by {words.length(limits.web - web)}, or open the bend.", name, middle,
            )
        ]  # fmt: skip
    return []


def _between(near: NearPass) -> tuple[float, float]:
    return (near.at[0] + near.and_at[0]) / 2.0, (near.at[1] + near.and_at[1]) / 2.0


def corner_findings(subject: str, name: CutName, line: Line, words: Words) -> list[Finding]:
    """Return a finding where a line or a trim turns corners.

    Parameters
    ----------
    subject : what turns, as it stands in a sentence
    name, line : the cut it belongs to, and its exact pieces
    words : the maker's unit
    """
    sharp = [(angle, at) for angle, at in corner_turns(line) if math.degrees(angle) > SHARP_CORNER_DEG]
    if not sharp:
        return []
    angle, at = max(sharp, key=lambda pair: pair[0])
    others = f"; {len(sharp) - 1} more turn as well" if len(sharp) > 1 else ""
    return [
        Finding(
            "sharp-corner", "caution",
            f"{capital(subject)} turns a corner of {math.degrees(angle):.0f}° at {words.up(at[1])}{others}: a blade "
            "turns a corner only through a relief cut.",
            "Make the node smooth, let the curve leave along the straight stretch, or saw a relief cut first.",
            name, at,
        )
    ]  # fmt: skip
