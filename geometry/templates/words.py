"""Every sentence a template prints, in one place, so that another language can be put beside it."""

from __future__ import annotations

from typing import Final

from geometry.blades import StockBlade, stock_blade, widest_stock_blade
from geometry.project import Blade, CutName, DisplayUnits
from geometry.tolerances import STOCK_BLADE_MM
from geometry.units import MM_PER_INCH, format_length

# ---------------------------------------------------------------- on the faces

FACE: Final[dict[CutName, str]] = {"front": "FRONT FACE", "side": "RIGHT FACE"}
LINE: Final[dict[CutName, str]] = {"front": "front line: saw it first", "side": "side line: saw it second"}
LEFT_EDGE: Final[dict[CutName, str]] = {"front": "left face is round this edge", "side": "shared corner"}
RIGHT_EDGE: Final[dict[CutName, str]] = {"front": "shared corner: fold here", "side": "back face is round this edge"}
APART_EDGE: Final = "shared corner with the other face"
UP: Final = "UP"
GRAIN: Final = "grain"
TOP_END: Final = "TOP END"
FOLD_OVER: Final = "fold over the top end"
HORN: Final = "horn: saw off after gluing"
FOOT: Final[dict[CutName, str]] = {"front": "front face, foot end", "side": "right face, foot end"}
NO_BLADE: Final = "no stock blade follows it"

# ---------------------------------------------------------------- titles

FACES_TITLE: Final = "front and right face"
FACE_TITLE: Final[dict[CutName, str]] = {"front": "front face", "side": "right face"}
CANNOT: Final = "CANNOT BE SAWN AS DRAWN."
TOGETHER_STEPS: Final = (
    "Check the bars with a rule, then cut out along the outline.",
    "Stick it on the front and the right face: the dashed line lies on the corner they share, TOP at the top. "
    "Number the quarters on the top end as on the flap.",
)
APART_STEPS: Final = (
    "Check the bars with a rule, then cut out along the outline.",
    "Stick it on, TOP at the top. Number the quarters on the top end as on the flap.",
)

# ---------------------------------------------------------------- on every sheet

PRINT_ADVICE: Final = "Print at full size, scaling off. Check the bars with a rule before sticking it on."
JOIN_ADVICE: Final = "Cut off along dashed edges and lay it over the sheet beside or below, so that the crosses meet."
BAR_MM: Final = "100 mm"
BAR_IN: Final = "4 in"

# ---------------------------------------------------------------- the coupon

COUPON_TITLE: Final = "test cut for your blade"
COUPON: Final = (
    "Test cut: stick this on scrap as thick as the blank and saw the arcs from the foot, the widest first. The "
    "tightest one the blade follows without rubbing or burning is what it can do, whatever a table says."
)

# ---------------------------------------------------------------- trims

TRIMS_TITLE: Final[dict[CutName, str]] = {"front": "front trims", "side": "side trims"}
TRIMS_HEAD: Final[dict[CutName, str]] = {"front": "FRONT TRIMS", "side": "SIDE TRIMS"}
TRIM_HALVES: Final[dict[CutName, tuple[str, str]]] = {
    "front": ("quarter 2, with 3 behind", "quarter 1, with 4 behind"),
    "side": ("quarter 3, with 4 behind", "quarter 2, with 1 behind"),
}
TRIM_SEAM: Final = "flats meet here"
TRIM_FOOT: Final[dict[CutName, str]] = {
    "front": "flats together, seen from the front, foot end",
    "side": "flats together, seen from the right, foot end",
}
TRIM_STEPS: Final[dict[CutName, tuple[str, ...]]] = {
    "front": (
        "Saw both lines and number the quarters first. Part the stock along the front line only: 1 stays taped to 4, "
        "and 2 to 3, with shims of the side line's kerf.",
        "Carry 2 and 3 across until their outside flats lie on those of 1 and 4, ends level, and tape them. Seen from "
        "the front, 2 is on the left.",
    ),
    "side": (
        "Saw both lines and number the quarters first. Part the stock along the side line only: 1 stays taped to 2, "
        "and 3 to 4, with shims of the front line's kerf.",
        "Carry 3 and 4 across until their outside flats lie on those of 1 and 2, ends level, and tape them. Seen from "
        "the right, 3 is on the left.",
    ),
}
TRIM_LAST: Final = (
    "Lay the seam of the template on the seam of the stock, foot on foot, and saw the trims in the order of their "
    "numbers; the kerf lies in the waste. Number each offcut and keep it: it goes back with a shim of the kerf until "
    "the last trim is sawn."
)


def trim_name(turn: int, number: int) -> str:
    """Return what stands beside a trim: which it is, and when it is sawn."""
    return f"trim {number}" if turn == number else f"trim {number}, saw as no. {turn}"


def refused_trim(number: int) -> str:
    """Return what stands beside a trim that cannot be sawn."""
    return f"trim {number}: cannot be sawn as drawn"


def offcut_name(number: int) -> str:
    """Return what stands in an offcut."""
    return f"offcut {number}: waste"


# ---------------------------------------------------------------- made of numbers


def size_of(mm: float, units: DisplayUnits, decimals: int = 1, denominator: int = 16) -> str:
    """Return a length that is not broken between its number and its unit."""
    return format_length(mm, units, decimals, denominator).replace(" ", "\u00a0")


def thin(mm: float, units: DisplayUnits) -> str:
    """Return a small thickness as a caliper shows it: hundredths of a millimetre, or thousandths of an inch."""
    return size_of(mm, units, 2) if units == "mm" else f'{mm / MM_PER_INCH:.3f}"'


def sheet_of(number: int, count: int) -> str:
    """Return which sheet this is."""
    return f"Sheet {number} of {count}"


def heading(project: str, variant: str, title: str, date: str) -> str:
    """Return the line that says what a sheet belongs to."""
    return f"{project} · variant {variant} · {title} · {date}"


def made_for(variant: str, date: str) -> str:
    """Return variant and date."""
    return f"Variant {variant} · {date}"


def blank_words(sizes: str, wood: str) -> str:
    """Return the blank's sizes and wood."""
    return f"Blank {sizes}, {wood}."


def tapered_sizes(foot: str, top: str, length: str) -> str:
    """Return the sizes of a tapered blank."""
    return f"{foot} at the foot, {top} at the top, {length} long"


def order_steps(front: str, side: str, through: dict[CutName, str], trims: bool) -> tuple[str, ...]:
    """Return the steps of sawing: blades and tight places of both lines, and how thick the blank is there."""
    steps = (
        f"Saw the front line first, the back face on the table ({through['front']} thick): {front}.",
        f"Put it together again with shims of the kerf, tape it, turn it a quarter and saw the side line: {side}.",
    )
    return (*steps, "Then the trims, on templates of their own.") if trims else steps


def stock_words(blade: StockBlade) -> str:
    """Return a stock blade in both units."""
    return f"{blade.width_mm:g} mm ({blade.inches})"


def blade_words(chosen: Blade | None, radius_mm: float | None, units: DisplayUnits) -> str:
    """Return which blade a line is for: the chosen one, or else the widest stock blade that follows it."""
    if chosen is not None:
        stock = stock_blade(chosen.width)
        if stock is not None and abs(stock.width_mm - chosen.width) <= STOCK_BLADE_MM:
            return f"blade {stock_words(stock)}"
        return f"blade {size_of(chosen.width, units)}"
    widest = widest_stock_blade(radius_mm)
    return NO_BLADE if widest is None else f"blade up to {stock_words(widest)}"


def tight_words(radius_mm: float, units: DisplayUnits) -> str:
    """Return how tight a line gets, beside the place."""
    return f"tightest: R\u00a0{size_of(radius_mm, units)}"


def tight_place(radius_mm: float, up_mm: float, units: DisplayUnits) -> str:
    """Return how tight a line gets, and where."""
    return f"tightest radius {size_of(radius_mm, units)} at {size_of(up_mm, units)} up"


def kerf_words(kerf_mm: float, units: DisplayUnits) -> str:
    """Return the kerf a line is drawn for."""
    return f"kerf {thin(kerf_mm, units)}"


def arc_words(radius_mm: float, units: DisplayUnits) -> str:
    """Return an arc's radius and the widest stock blade that follows it."""
    blade = widest_stock_blade(radius_mm)
    radius = f"R\u00a0{size_of(radius_mm, units)}"
    return radius if blade is None else f"{radius}: {stock_words(blade)}"
