"""What a project may say but this version cannot build yet: refused in one place, by key, in a clear sentence."""

from __future__ import annotations

from geometry.errors import NotBuiltYet
from geometry.project import CUT_NAMES, Variant


def refuse_what_is_not_built(variant: Variant) -> None:
    """Raise `NotBuiltYet` for a tapered blank or for trims, naming the key."""
    if variant.blank.is_tapered:
        key = "top_width" if variant.blank.top_width not in (None, variant.blank.width) else "top_depth"
        raise NotBuiltYet(
            f"variant {variant.name!r}, blank.{key}: expected the size at the foot, because tapered blanks are not "
            "built yet"
        )
    for name in CUT_NAMES:
        if variant.cut(name).trims:
            raise NotBuiltYet(f"variant {variant.name!r}, {name}.trims: expected none, because trims are not built yet")
