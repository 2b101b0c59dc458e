"""A lay-up in a maker's words."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from geometry.layup import Checker, Chevron, Layup, Plain, Stripes
from geometry.project import DisplayUnits
from geometry.species import SPECIES, SpeciesName
from geometry.units import format_length


def species_word(name: SpeciesName) -> str:
    """Return a species' name as it stands in a sentence."""
    return name.replace("-", " ")


def listed(words: Sequence[str]) -> str:
    """Return "a", "a and b" or "a, b and c"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def wood_in_words(layup: Layup, units: DisplayUnits = "mm") -> str:
    """Return what a blank is made of, as the second half of a sentence; lengths in the maker's unit."""
    match layup:
        case Plain():
            return SPECIES[layup.species].label.lower()
        case Stripes():
            across = "width" if layup.along == "x" else "depth"
            count = len(layup.strips)
            names = [species_word(name) for name, _ in groupby(s for _, s in layup.strips)]
            if len(names) > 5:
                names = [*(species_word(n) for n in dict.fromkeys(s for _, s in layup.strips))]
                return f"{count} strips across its {across}, in {listed(names)}"
            strips = "one strip" if count == 1 else f"{count} strips"
            return f"{strips} across its {across}: {', '.join(names)}"
        case Checker():
            sizes = [len(layup.x), len(layup.y), len(layup.z or (0,))]
            names = [species_word(n) for n in dict.fromkeys(layup.species)]
            if sizes[:2] == [1, 1]:
                layers = "one level layer" if sizes[2] == 1 else f"{sizes[2]} level layers"
                return f"{layers} in {listed(names)}"
            return f"{' × '.join(str(n) for n in sizes)} blocks in {listed(names)}"
        case Chevron():
            names = [species_word(n) for n in dict.fromkeys(layup.species)]
            pitch = format_length(layup.pitch, units)
            across = "width" if layup.across == "x" else "depth"
            return f"a chevron at {layup.angle_deg:g}° across its {across}, every {pitch}, in {listed(names)}"
