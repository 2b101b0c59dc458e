"""Every hypothesis strategy of the suite, in one place: from species to whole projects.

A *feasible* design is one that can be sawn as drawn, by construction; a *wild* one is anything a project file may say.
Lengths are millimetres.
"""

from __future__ import annotations

import math

import numpy as np
from hypothesis import strategies as st
from msgspec.structs import replace

from geometry.cabriole import Cabriole
from geometry.layup import Checker, Chevron, Plain, Stripes
from geometry.project import Blade, Blank, Cut, Horn, Limits, Node, Project, Saw, Trim, Variant
from geometry.species import SPECIES_NAMES
from geometry.wish import Give, ViewWish, Wish

# ---------------------------------------------------------------- small things

species = st.sampled_from(SPECIES_NAMES)


def lengths(least: float, most: float):
    """Sizes as people give them: to a hundredth of a millimetre."""
    return st.integers(math.ceil(least * 100), math.floor(most * 100)).map(lambda n: n / 100)


def _node(u: float, z: float, kind: str = "smooth", tangent: bool = False) -> Node:
    return Node((float(u), float(z)), kind, tangent)


@st.composite
def blanks(draw, square: bool | None = None, least: float = 40.0, most: float = 140.0):
    """Straight blanks as they stand in a workshop: longer than they are wide."""
    width = draw(lengths(least, most))
    is_square = draw(st.booleans()) if square is None else square
    depth = width if is_square else draw(lengths(least, most))
    return Blank(width, depth, draw(lengths(3.0 * max(width, depth), 900.0)))


# ---------------------------------------------------------------- lines (tuples of nodes), all from foot to top


@st.composite
def serpentines(draw, half: float, length: float, reach: float = 0.55):
    """Smooth lines that never come back: the slope between nodes stays below 0.6."""
    count = draw(st.integers(2, 7))
    weights = draw(st.lists(st.floats(1.0, 2.0), min_size=count - 1, max_size=count - 1))
    heights = np.concatenate([[0.0], np.cumsum(weights) / sum(weights)]) * length
    heights[-1] = length
    swing = min(reach * half, 0.3 * float(np.diff(heights).min()))
    across = draw(st.lists(st.floats(-1.0, 1.0), min_size=count, max_size=count))
    return tuple(_node(round(a * swing, 4), z) for a, z in zip(across, heights, strict=True))


@st.composite
def cornered(draw, half: float, length: float):
    """Serpentines some of whose nodes are corners, so that straight stretches and kinks come and go."""
    nodes = draw(serpentines(half, length))
    kinds = draw(st.lists(st.sampled_from(["smooth", "corner"]), min_size=len(nodes), max_size=len(nodes)))
    return tuple(_node(*n.at, kind) for n, kind in zip(nodes, kinds, strict=True))


@st.composite
def posted(draw, half: float, length: float):
    """A curve that runs tangent into an upright post at the top, and perhaps out of one at the foot."""
    top = round(draw(st.floats(0.6, 0.85)) * length, 3)
    foot = round(draw(st.sampled_from([0.0, 0.1, 0.2])) * length, 3)
    swing = 0.2 * min(half, top - foot)
    middle = draw(st.lists(st.floats(-1.0, 1.0), min_size=1, max_size=3))
    heights = np.linspace(foot, top, len(middle) + 2)[1:-1]
    nodes = [_node(0.0, 0.0, "corner")]
    if foot > 0.0:
        nodes.append(_node(0.0, foot, "corner", True))
    nodes += [_node(round(m * swing, 4), z) for m, z in zip(middle, heights, strict=True)]
    nodes += [_node(0.0, top, "corner", True), _node(0.0, length, "corner")]
    return tuple(nodes)


def meander(swing_deg: float, count: int) -> np.ndarray:
    """One period of the sine-generated curve, as (count, 2) points (u, z) of unit length, from and to u = 0.

    Its direction swings as ``swing_deg · sin``; past 90° it climbs back, and up to about 125° it stays clear of
    itself (textbook: the plan of a meandering river).
    """
    s = np.linspace(0.0, 1.0, 4001)
    angle = math.radians(swing_deg) * np.sin(2.0 * np.pi * s)
    steps = np.stack([np.sin(angle), np.cos(angle)], axis=1) / 4000.0
    points = np.vstack([np.zeros(2), np.cumsum((steps[1:] + steps[:-1]) / 2.0, axis=0)])
    return points[np.linspace(0, 4000, count).round().astype(int)]


def hooked(half, length, swing_deg=104.0, count=13, width=0.9, rise=0.5, mirrored=False):
    """A line that doubles back: straight up, through a hook to both sides, and on up, joined tangent.

    ``width`` is the hook's, as a share of half the face; ``rise`` where it stands between foot and top.
    """
    points = meander(swing_deg, count)
    points = points * min(width * half / float(points[:, 0].max()), 0.6 * length / float(points[-1, 1]))
    points[:, 0] -= points[:, 0].max() / 2.0
    points[:, 1] += (length - float(points[-1, 1])) * rise
    if mirrored:
        points[:, 0] *= -1.0
    u = float(points[0, 0])
    return (
        _node(u, 0.0, "corner"),
        _node(u, points[0, 1], "corner", True),
        *(_node(*p) for p in points[1:-1]),
        _node(u, points[-1, 1], "corner", True),
        _node(u, length, "corner"),
    )


def hooks(half: float, length: float):
    """Lines that double back by 95 to 112° each way, so that they never touch themselves."""
    return st.builds(
        hooked, st.just(half), st.just(length), st.floats(95.0, 112.0), st.integers(11, 17), st.floats(0.7, 1.2),
        st.floats(0.35, 0.65), st.booleans(),
    )  # fmt: skip


@st.composite
def freehand(draw, half: float, length: float):
    """Many nodes along a wave, each a little off, as a traced line has."""
    count = draw(st.integers(20, 60))
    waves, phase = draw(st.floats(0.3, 2.5)), draw(st.floats(0.0, 6.0))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    z = np.linspace(0.0, length, count)
    swing = min(0.4 * half, 0.06 * length / waves)
    u = swing * np.sin(2.0 * np.pi * waves * z / length + phase) + rng.uniform(-0.05, 0.05, count)
    return tuple(_node(round(a, 3), b) for a, b in zip(u, z, strict=True))


def straights(half: float, length: float):
    """The straight centre line, or a straight slant from end to end."""
    ends = st.tuples(*[lengths(-0.5 * half, 0.5 * half)] * 2)
    return st.just(()) | ends.map(lambda u: (_node(u[0], 0.0, "corner"), _node(u[1], length, "corner")))


def single_valued(half: float, length: float):
    """Any feasible line that never comes back."""
    return st.one_of(*(lines(half, length) for lines in (serpentines, cornered, posted, freehand, straights)))


def lines(half: float, length: float):
    """Any feasible line."""
    return single_valued(half, length) | hooks(half, length)


@st.composite
def wild_nodes(draw, half: float, length: float):
    """Any nodes a file may hold: off the face, crossing, back and forth, few or many."""
    u = lengths(-1.3 * half, 1.3 * half) | st.sampled_from([0.0, half, -half])
    z = lengths(-0.2 * length, 1.2 * length) | st.sampled_from([0.0, length])
    nodes = st.builds(Node, st.tuples(u, z), st.sampled_from(["smooth", "corner"]), st.booleans())
    drawn = draw(st.lists(nodes, min_size=0, max_size=8))
    kept = [n for i, n in enumerate(drawn) if i == 0 or n.at != drawn[i - 1].at]
    return tuple(kept) if len(kept) > 1 else ()


# ---------------------------------------------------------------- designs to be built


def _cut(nodes, kerfs):
    return st.builds(Cut, kerf=kerfs, nodes=nodes)


@st.composite
def variants(draw, of=lines, kerfs=None, sanding=None, blank=None):
    """Feasible designs of straight, plain stock: no finding stops them.

    At most one of the two lines hooks: two tongues at one height may hold one another in the air.
    """
    kerfs = st.sampled_from([0.0, 0.9]) | st.floats(0.3, 1.5) if kerfs is None else kerfs
    sanding = st.sampled_from([0.0, 0.0, 0.4]) if sanding is None else sanding
    block = draw(blanks() if blank is None else blank)
    free = draw(st.sampled_from(["front", "side"]))
    front, side = (
        draw(_cut((of if name == free else single_valued)(size / 2.0, block.length), kerfs))
        for name, size in (("front", block.width), ("side", block.depth))
    )
    return Variant("A", block, layup=Plain(draw(species)), front=front, side=side, sanding=draw(sanding))


@st.composite
def wild_variants(draw):
    """Any straight, plain design that can be written down, whatever becomes of it."""
    kerfs = st.sampled_from([0.0, 0.9, 10.0]) | st.floats(0.0, 10.0)
    block = draw(blanks(least=5.0, most=200.0) | st.builds(Blank, *[lengths(5.0, 300.0)] * 3))
    widths = st.floats(1.0, 30.0)
    measured = st.builds(Blade, widths, st.floats(0.1, 2.0), st.floats(0.1, 2.0))

    def cut(size):
        nodes = wild_nodes(size / 2.0, block.length)
        return st.builds(Cut, kerf=kerfs, nodes=nodes, blade=st.none() | st.builds(Blade, widths) | measured)

    return Variant("wild", block, front=draw(cut(block.width)), side=draw(cut(block.depth)), sanding=draw(kerfs))


# ---------------------------------------------------------------- tapered blanks and trims


@st.composite
def tapered_blanks(draw, steepest: float = 0.12, ways=None):
    """Blanks that narrow or widen one way or both, no face leaning by more than ``steepest`` per millimetre."""
    width, depth = draw(lengths(40.0, 140.0)), draw(lengths(40.0, 140.0))
    length = draw(lengths(3.0 * max(width, depth), 900.0))
    way = draw(st.sampled_from(["width", "depth", "both"]) if ways is None else ways)

    def at_top(size):
        reach = 2.0 * length * steepest
        return draw(lengths(max(20.0, size - reach), min(180.0, size + reach)))

    top_width = at_top(width) if way != "depth" else None
    top_depth = at_top(depth) if way != "width" else None
    return Blank(width, depth, length, top_width, top_depth)


@st.composite
def tapered_variants(draw, kerfs=None, ways=None, support=None, sanding=None):
    """Feasible designs of tapered, plain stock."""
    block = draw(tapered_blanks(ways=ways))
    kerfs = st.sampled_from([0.0, 0.9]) | st.floats(0.3, 1.5) if kerfs is None else kerfs
    sanding = st.sampled_from([0.0, 0.0, 0.4]) if sanding is None else sanding
    half_x = min(block.width, block.width_at_top) / 2.0
    half_y = min(block.depth, block.depth_at_top) / 2.0
    front, side = (draw(_cut(single_valued(0.8 * half, block.length), kerfs)) for half in (half_x, half_y))
    support = st.sampled_from(["face down", "levelled"]) if support is None else support
    return Variant(
        "A", block, Plain(draw(species)), front=front, side=side, sanding=draw(sanding), taper_support=draw(support)
    )


@st.composite
def one_trim(draw, half: float, length: float, kerfs=None):
    """A trim of the profile of any feasible line that does not double back: it starts and ends outside,
    reaches wood and stays on its side of u = 0."""
    kerfs = st.sampled_from([0.0, 0.9]) | st.floats(0.3, 1.5) if kerfs is None else kerfs
    side, out = draw(st.sampled_from([-1.0, 1.0])), 1.7 * half
    low, high = sorted(draw(st.tuples(st.floats(0.02, 0.45), st.floats(0.55, 0.98))))
    inner = draw(st.lists(st.floats(0.15, 0.38), min_size=1, max_size=4))
    heights = np.linspace(low, high, len(inner) + 2)[1:-1] * length
    points = [(side * i * half, z) for i, z in zip(inner, heights, strict=True)]
    # out at a side or past an end
    ends = draw(st.sampled_from(["side", "foot", "top"]))
    first = (points[0][0], -7.0) if ends == "foot" else (side * out, low * length)
    last = (points[-1][0], length + 7.0) if ends == "top" else (side * out, high * length)
    # straight stretches: a spline might swing across the axis
    return Trim(tuple(_node(u, z, "corner") for u, z in (first, *points, last)), draw(kerfs))


@st.composite
def trimmed_variants(draw, of=single_valued, kerfs=None, sanding=None, least=0, most=3):
    """Designs of straight, plain stock with trims that can be sawn, in either or both directions."""
    variant = draw(variants(of, kerfs, sanding, blanks(least=50.0)))
    cuts = {}
    for name, size in (("front", variant.blank.width), ("side", variant.blank.depth)):
        trims = draw(st.lists(one_trim(size / 2.0, variant.blank.length, kerfs), min_size=least, max_size=most))
        cuts[name] = replace(variant.cut(name), trims=tuple(trims))
    return replace(variant, **cuts)


@st.composite
def wild_shaped_variants(draw):
    """Any design with tapers and trims that can be written down, whatever becomes of it."""
    variant = draw(wild_variants())
    block = variant.blank
    if draw(st.booleans()):
        top = st.none() | lengths(5.0, 300.0)
        block = replace(block, top_width=draw(top), top_depth=draw(top))
    cuts = {}
    for name, size in (("front", block.width), ("side", block.depth)):
        some = wild_nodes(0.9 * size, block.length).filter(lambda nodes: len(nodes) > 1)
        kerfs = st.sampled_from([0.0, 0.9, 10.0]) | st.floats(0.0, 10.0)
        shaped = st.builds(Trim, some, kerfs) | one_trim(size / 2.0, block.length)
        cuts[name] = replace(variant.cut(name), trims=tuple(draw(st.lists(shaped, max_size=3))))
    support = draw(st.sampled_from(["face down", "levelled"]))
    return replace(variant, blank=block, layup=draw(layups(block)), taper_support=support, **cuts)


# ---------------------------------------------------------------- whole projects, for reading and writing

# letters of every kind, and what a layout of JSON might trip over
_tricky = st.sampled_from(["[ a ]", "{", '"', "\\", "\n", "[\n1\n]", " - at `$.x`", "é", "漢", "\x7f", "[ 1, 2 ]"])
names = st.lists(st.text(st.characters(codec="utf-8"), max_size=8) | _tricky, min_size=1, max_size=3).map("".join)
some_names = names.filter(str.strip)


def _parts(total: float):
    """Sizes that add up to a total."""

    def cut_up(weights):
        sizes = [total * w / sum(weights) for w in weights[:-1]]
        return (*sizes, total - math.fsum(sizes))

    return st.lists(st.integers(1, 9), min_size=1, max_size=6).map(cut_up)


def layups(blank: Blank):
    """Every kind of lay-up that fills a blank."""
    several = st.lists(species, min_size=1, max_size=4).map(tuple)

    def strips(along):
        sizes = _parts(blank.width if along == "x" else blank.depth)
        filled = sizes.flatmap(
            lambda s: st.lists(species, min_size=len(s), max_size=len(s)).map(lambda w: tuple(zip(s, w, strict=True)))
        )
        return st.builds(Stripes, st.just(along), filled)

    return st.one_of(
        st.builds(Plain, species),
        st.sampled_from(["x", "y"]).flatmap(strips),
        st.builds(Checker, _parts(blank.width), _parts(blank.depth), several, st.none() | _parts(blank.length)),
        st.builds(
            Chevron, st.sampled_from(["x", "y"]), st.floats(-89.9, 89.9), st.floats(0.1, 500.0), several,
            st.floats(-200.0, 200.0),
        ),
    )  # fmt: skip


_places = st.tuples(st.floats(-10_000.0, 10_000.0), st.floats(-10_000.0, 10_000.0))
_nodes = st.builds(Node, _places, st.sampled_from(["smooth", "corner"]), st.booleans())
_node_lists = st.lists(_nodes, min_size=2, max_size=6, unique_by=lambda n: n.at).map(tuple)
_kerfs = st.floats(0.0, 10.0)
_sizes = st.floats(5.0, 5000.0)
_amounts = st.floats(0.0, 1000.0)
_widths = st.floats(0.5, 60.0)
blades = st.builds(Blade, _widths) | st.builds(Blade, _widths, st.floats(0.05, 5.0), st.floats(0.05, 5.0))
trims = st.builds(Trim, _node_lists, _kerfs, st.none() | blades)
cuts = st.builds(
    Cut, _kerfs, st.none() | blades, st.just(()) | _node_lists, st.lists(trims, max_size=2).map(tuple)
)  # fmt: skip


@st.composite
def gentle_trims(draw, half: float, length: float):
    """A trim in one easy curve that goes in at an end or a side and comes out at the other end or the side."""
    side = draw(st.sampled_from([-1.0, 1.0]))
    low, high = draw(st.floats(0.05, 0.3)) * length, draw(st.floats(0.6, 0.95)) * length
    inner = draw(st.lists(st.floats(0.5, 0.8), min_size=2, max_size=3))
    heights = np.linspace(low, high, len(inner) + 2)[1:-1]
    points = [(side * i * half, z) for i, z in zip(inner, heights, strict=True)]
    ends = draw(st.sampled_from(["side", "foot", "top"]))
    out = side * (1.35 * half + 2.0)
    first = (points[0][0], -6.0) if ends == "foot" else (out, low)
    last = (points[-1][0], length + 6.0) if ends == "top" else (out, high)
    return Trim(tuple(_node(round(u, 3), round(z, 3)) for u, z in (first, *points, last)))


@st.composite
def designs_to_wish_for(draw, trims: bool):
    """Designs whose piece somebody might want: easy lines without corners, with or without easy trims."""
    block = draw(blanks(least=50.0, most=110.0))

    def cut(size: float):
        # a straight slant or a wave over the whole length, upright at the top or not
        lines = st.one_of(serpentines(size / 2.0, block.length, 0.35), straights(0.5 * size / 2.0, block.length))
        some = st.lists(gentle_trims(size / 2.0, block.length), min_size=1, max_size=1) if trims else st.just([])
        return st.builds(Cut, kerf=st.sampled_from([0.0, 0.9, 1.3]), nodes=lines, trims=some.map(tuple))

    front, side = draw(cut(block.width)), draw(cut(block.depth))
    return Variant("A", block, front=front, side=side, sanding=draw(st.sampled_from([0.0, 0.3])))


# ---------------------------------------------------------------- wishes

_outlines = st.lists(st.floats(-5000.0, 5000.0), min_size=2, max_size=5).map(
    lambda across: tuple(_node(u, 400.0 * i / (len(across) - 1)) for i, u in enumerate(across))
)
_cabrioles = st.builds(
    Cabriole, length=st.floats(300.0, 900.0), post=st.floats(30.0, 90.0), post_length=st.floats(0.0, 60.0),
    knee_overhang=st.floats(0.0, 20.0), knee_height=st.floats(120.0, 230.0), knee=st.none() | _sizes,
    ankle=st.floats(10.0, 40.0), ankle_height=st.floats(60.0, 100.0), foot_height=st.floats(5.0, 50.0),
    toe=st.floats(5.0, 60.0),
)  # fmt: skip
_gives = st.builds(
    Give, st.just("free") | st.lists(_sizes, min_size=1, max_size=3).map(tuple), st.booleans(), st.integers(0, 12),
    st.booleans(),
)  # fmt: skip


@st.composite
def _wishes(draw):
    views = st.builds(ViewWish, left=_outlines, right=_outlines)
    front = draw(views | st.builds(ViewWish, cabriole=_cabrioles))
    other = draw(st.none() | views) if front.cabriole is None else None
    return Wish(front, other, draw(st.none() | st.just("front")), draw(st.floats(0.05, 5.0)), draw(_gives))


wishes = _wishes()


@st.composite
def any_variants(draw, name=some_names):
    """Everything a variant may say, built or not."""
    top = st.none() | _sizes
    blank = draw(st.builds(Blank, _sizes, _sizes, _sizes, top, top))
    return Variant(
        draw(name),
        blank,
        draw(layups(blank)),
        draw(st.builds(Saw, st.floats(1.0, 1000.0))),
        draw(cuts),
        draw(cuts),
        draw(_kerfs),
        draw(st.sampled_from(["face down", "levelled"])),
        draw(st.builds(Limits, *[_amounts] * 6)),
        draw(st.builds(Horn, _amounts, _amounts)),
        wish=draw(st.none() | wishes),
    )


@st.composite
def projects(draw):
    """Whole projects with every feature a file can hold."""
    their_names = draw(st.lists(some_names, min_size=1, max_size=3, unique=True))
    made = tuple(draw(any_variants(st.just(name))) for name in their_names)
    return Project(made, draw(names), draw(st.sampled_from(["mm", "in"])))


def straight_moves(width: float, depth: float) -> tuple[np.ndarray, ...]:
    """The moves that glue straight stock: the quarter at (sx a, sy b) moves by (-sx a, -sy b, 0)."""
    moves = []
    for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        move = np.eye(4)
        move[:2, 3] = -sx * width / 2.0, -sy * depth / 2.0
        moves.append(move)
    return tuple(moves)
