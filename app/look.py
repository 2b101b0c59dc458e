"""The colours of everything that is not wood: paper and ink and one accent, by day and by night."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from PySide6.QtGui import QColor, QFont, QFontInfo, QPalette

from app.scene.wood_colours import QUARTER_COLOURS, WOOD_COLOURS

SMALLEST_TEXT_PX: Final = 11
"""No text is drawn smaller than this at 100 %."""


@dataclass(frozen=True, slots=True)
class Look:
    """One look of the window.

    Attributes
    ----------
    is_dark : by night
    window : the ground around panels
    paper : the ground that is drawn on
    ink, faint_ink : text and strokes on paper; faint still reads (4.5:1)
    rule : hairlines and frames, not for text
    accent, on_accent : what is selected or pointed at, and text on it
    """

    is_dark: bool
    window: QColor
    paper: QColor
    ink: QColor
    faint_ink: QColor
    rule: QColor
    accent: QColor
    on_accent: QColor


LIGHT: Final = Look(
    is_dark=False,
    window=QColor("#efeae1"),
    paper=QColor("#faf7f0"),
    ink=QColor("#2a2521"),
    faint_ink=QColor("#665d54"),
    rule=QColor("#c9c0b2"),
    accent=QColor("#1d5c9e"),
    on_accent=QColor("#ffffff"),
)
DARK: Final = Look(
    is_dark=True,
    window=QColor("#26221f"),
    paper=QColor("#2f2a26"),
    ink=QColor("#f0e9de"),
    faint_ink=QColor("#b8aea1"),
    rule=QColor("#5a5149"),
    accent=QColor("#8fc0f4"),
    on_accent=QColor("#10202f"),
)


def look_of(palette: QPalette) -> Look:
    """Return the look that goes with a palette: dark where its window is dark."""
    return DARK if luminance(palette.color(QPalette.ColorRole.Window)) < 0.2 else LIGHT


def palette_of(look: Look) -> QPalette:
    """Return a palette of the look's colours for ordinary widgets."""
    role, palette = QPalette.ColorRole, QPalette()
    for colour, roles in (
        (look.window, (role.Window, role.AlternateBase)),
        (look.paper, (role.Base, role.Button, role.ToolTipBase)),
        (look.ink, (role.WindowText, role.Text, role.ButtonText, role.ToolTipText)),
        (look.faint_ink, (role.PlaceholderText,)),
        (look.rule, (role.Mid, role.Midlight)),
        (look.accent, (role.Highlight, role.Link, role.Accent)),
        (look.on_accent, (role.HighlightedText,)),
        (look.window.lighter(115), (role.Light,)),
        (look.window.darker(140), (role.Dark,)),
    ):
        for r in roles:
            palette.setColor(r, colour)
    for r in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, r, mixed(look.faint_ink, look.window, 0.35))
    return palette


# ---------------------------------------------------------------- measures of colour


def luminance(colour: QColor) -> float:
    """Return the relative luminance 0..1 (WCAG 2 definition, sRGB)."""
    channels = (colour.redF(), colour.greenF(), colour.blueF())
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(a: QColor, b: QColor) -> float:
    """Return the contrast ratio 1..21 of two colours (WCAG 2)."""
    lighter, darker = sorted((luminance(a), luminance(b)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def mixed(a: QColor, b: QColor, share: float) -> QColor:
    """Return ``a`` with a share 0..1 of ``b`` in it."""
    keep = 1.0 - share
    return QColor.fromRgbF(
        keep * a.redF() + share * b.redF(), keep * a.greenF() + share * b.greenF(), keep * a.blueF() + share * b.blueF()
    )


def faded(colour: QColor, alpha: float) -> QColor:
    """Return the colour with an opacity 0..1."""
    out = QColor(colour)
    out.setAlphaF(alpha)
    return out


def wood_colour(species: str) -> QColor:
    """Return the plain colour of a species."""
    return QColor.fromRgbF(*WOOD_COLOURS[species])


def pencil_on(ground: QColor) -> QColor:
    """Return the pencil that shows on a wood: graphite, or white where the wood is dark."""
    graphite, white = QColor("#17130f"), QColor("#fffaf0")
    return max((graphite, white), key=lambda pencil: contrast(pencil, ground))


def quarter_colour(number: int) -> QColor:
    """Return the colour of quarter 1 to 4."""
    return QColor.fromRgbF(*QUARTER_COLOURS[number])


def small_font(font: QFont) -> QFont:
    """Return a smaller font for figures in a drawing, never under 11 px, with figures of one width."""
    out = QFont(font)
    out.setPixelSize(max(SMALLEST_TEXT_PX, round(QFontInfo(font).pixelSize() * 0.86)))
    out.setFeature(QFont.Tag("tnum"), 1)
    return out
