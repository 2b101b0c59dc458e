"""Every sentence of the work sheet but those of the steps, in one place, so that another language can be put beside it.

Cautions are general words for a workshop, not training. Values are common practice unless a source is named.
"""

from __future__ import annotations

from typing import Final

from geometry.project import CutName

NBSP: Final = "\u00a0"

TITLE: Final = "Work sheet"
VARIANT: Final = "variant"
THE_PIECE: Final = "The piece"
BLANK: Final = "Blank and glue-up"
SET_UP: Final = "Set the saw up"
STEPS: Final = "Step by step"
WRONG: Final = "What goes wrong, and how to see it"
FINDINGS: Final = "About this design"
CANNOT: Final = "Cannot be sawn as drawn: "
CAUTIONS: Final = "Take care"
BLADES: Final = "Blades: what each follows"
SET: Final = "Cut list of the set"
NOTES: Final = "Notes"
SHEET_FOOT: Final = "Sizes are those of the design; measure your own blank, blade and kerf before you saw."


def page_of(number: int, count: int) -> str:
    """Return which page this is."""
    return f"Page {number} of {count}"


# ---------------------------------------------------------------- the piece

LINE: Final[dict[CutName, str]] = {"front": "Front line", "side": "Side line"}


def variant_line(name: str) -> str:
    """Return which variant it is."""
    return f"Variant {name}."


def blank_line(sizes: str, wood: str) -> str:
    """Return what the blank is."""
    return f"Blank {sizes}, {wood}."


def piece_line(room: str, mass: str) -> str:
    """Return what the glued piece needs and weighs."""
    return f"Glued up it needs {room} and weighs about {mass}."


def thinnest_line(width: str, depth: str, up: str) -> str:
    """Return where the piece is thinnest."""
    return f"Thinnest {width} × {depth}, {up} up."


# ---------------------------------------------------------------- wood

BOARDS: Final = "Boards, thick × wide × long:"


def board_line(count: int, wood: str, milled: str, rough: str, note: str) -> str:
    """Return one kind of board."""
    return f"{count} × {wood}: mill to {milled}, from rough {rough}{f'; {note}' if note else ''}"


def wood_total(board_feet: str, rough_kg: str, waste: str) -> str:
    """Return how much wood that is."""
    return f"Rough wood for one blank: {board_feet} board feet, about {rough_kg}; {waste} of it is waste."


def more_boards(count: int) -> str:
    """Return how many kinds of board are left out for want of room."""
    return f"and {count} more kinds of board: the handout and the cut list have them all."


# ---------------------------------------------------------------- setting up


def blade_for(line: str, blade: str, bend: str) -> str:
    """Return the blade for a line."""
    return f"{line}: {blade}; {bend}."


BEND_STRAIGHT: Final = "it is straight"


def bend_at(radius: str, up: str) -> str:
    """Return how tight a line is and where."""
    return f"tightest radius {radius} at {up} up"


def teeth(low: str, high: str, thick: str) -> str:
    """Return the teeth for a thickness of wood."""
    return (
        f"Teeth: {low} to {high} to the inch, skip or hook, so that 6 to 12 are in {thick} of wood; finer ones pack "
        "with dust, burn and wander."
    )


def guard(gap: str, height: str) -> str:
    """Return where the guard and the upper guides go."""
    return f"Guard and upper guides {gap} above the work: {height} above the table."


def square(step: str) -> str:
    """Return why the table has to be square."""
    return (
        "Table square to the blade: check with a square, then saw scrap, turn it over and saw again; an error shows "
        f"doubled. A quarter of a degree leaves steps of {step} at the seams."
    )


def depth(thick: str, most: str) -> str:
    """Return what has to pass under the guides."""
    return f"The saw must take {thick}; {most} is set for this saw."


def shims(front: str, side: str) -> str:
    """Return the shims to have ready."""
    return f"Shims as thick as the kerf, for the slots when it is taped: {front} (front line), {side} (side line)."


MARKS: Final = (
    "Marks: UP on every face, a triangle across the shared corner, 1 to 4 on the top end, counter-clockwise from the "
    "front left. Both lines before the first cut."
)
TEST_CUT: Final = "Saw the test cut of the template in scrap of the same thickness first."
FACE_DOWN: Final = "Tapered: lay the face opposite the drawn one flat on the table for each cut."
LEVELLED: Final = "Tapered: lay it on the wedge left over from the taper, so that its axis is level."


def sanding(each: str) -> str:
    """Return the sanding allowance."""
    return f"The sizes allow for {each} to be sanded off each sawn face."


# ---------------------------------------------------------------- what goes wrong

WRONG_ALWAYS: Final[tuple[tuple[str, str], ...]] = (
    ("A step along a seam, the same all the way", "the blade leaned or the blank was out of square: square the table."),
    ("A step that comes and goes with the slope", "the halves slipped lengthways: pencil a line across each cut."),
    ("A face bulges in its depth", "blade too narrow, too slack, too dull, or fed too fast."),
    ("Burn marks in the bends", "the blade is too wide for the bend, or the feed stopped: keep moving."),
    ("The glue joint shows a gap", "the flats were not flat or not square: plane them before gluing, never after."),
    ("The piece looks twisted", "a quarter stands upside down or in another's place: arrows up, numbers in order."),
)
WRONG_TAPER: Final = (
    "The joints of a tapered blank do not close by themselves",
    "its corners are not quite square; plane the flats to fit.",
)
WRONG_PATTERN: Final = (
    "The pattern misses at a seam",
    "the strips were not alike about the middle: check widths from the centre line before sawing.",
)
WRONG_TRIM: Final = ("An offcut breaks loose", "it lost its tape or its shim: put it back before the next cut.")


def goes_wrong(seen: str, why: str) -> str:
    """Return what is seen, and what it comes from."""
    return f"{seen}: {why}"


# ---------------------------------------------------------------- cautions

CAUTIONS_TEXT: Final[tuple[str, ...]] = (
    "These are reminders for somebody who has been shown how to use a bandsaw. They do not replace being shown.",
    "Pull the plug to change the blade. Right width for the bend, sharp, tensioned, tracking, guides set.",
    "Keep the wheels and all of the blade covered but the part that saws, and the guard just above the work.",
    "Hands at least 50 mm (2 in) from the blade, never in line with it; a push stick for the end of the cut.",
    "Stand in front, off the side to which a broken blade is thrown. No gloves, loose sleeves or jewellery.",
    "A flat face on the table at all times. Taped parts tight, nothing that rocks or rolls; hold long work up on both "
    "sides of the saw.",
    "Think before you start how you get out. Switch off and let the blade stop before backing out of a cut longer than "
    "50 mm (2 in), clearing scraps or measuring.",
    "Never force it sideways; slower where the bend is tight. If it will not follow, stop: the blade is too wide.",
    "Eyes and ears protected. Dust is drawn off where it is made, with a mask for sanding: hardwood dust can cause "
    "cancer, and some woods, walnut and mahogany among them, irritate skin and lungs.",
    "A lamp: follow the local rules for wiring, use approved parts, relieve the strain, smooth every edge the cord "
    "touches, and have an electrician check it.",
    "Tall and slender things tip: widen the base or fix it to the wall, keep cords out of reach, and do not let "
    "children climb. Strength and stability shown by the program are for guidance: test a first piece under load.",
)

# ---------------------------------------------------------------- blades

BLADE_HEADS: Final = ("Width", "Tightest radius", "Teeth to the inch", "What it is for")
BLADE_USES: Final[dict[float, tuple[str, str]]] = {
    3.2: ("10 to 18, regular", "Small tight curves in thin wood; too weak for a thick blank."),
    4.8: ("6 to 14, skip", "Tight hooks and small feet in blanks up to about 50 mm (2 in)."),
    6.35: ("4 to 6, skip", "Most legs: curves in blanks up to about 100 mm (4 in)."),
    9.5: ("3 to 6, skip or hook", "Long sweeps; runs straighter and cuts smoother than a narrow one."),
    12.7: ("3 to 4, hook", "Gentle lines in thick blanks, tapers, straight trims."),
    16.0: ("2 to 4, hook", "Straight cuts, and lines that hardly bend."),
    19.0: ("2 to 3, hook", "Straight cuts, and sawing boards for a lay-up."),
    25.4: ("1 to 3, hook", "Sawing boards and veneer; straight lines only."),
}
BLADE_MEASURED: Final = (
    "Measured is better than tabulated: saw 20 mm (3/4 in) into scrap, measure the slot and the body behind the teeth, "
    "and enter both. The blade follows a radius of its width squared, divided by 5.83 times the slot less the body."
)
BLADE_TABLE_NOTE: Final = (
    "Radii as commonly tabulated for fairly thin wood (common practice). For comfort, and in wood over 50 mm (2 in), "
    "stay a quarter above them."
)
BLADE_CHOSEN: Final[dict[CutName, str]] = {"front": "front line", "side": "side line"}


def widest_for(lines: list[str]) -> str:
    """Return that a blade is the widest that follows some lines of the design."""
    return f"The widest for the {' and the '.join(lines)} of this design."
