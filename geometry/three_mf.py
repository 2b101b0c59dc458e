"""3MF files: the smallest that say all there is to say, and the same bytes for the same piece.

3MF core specification 1.3: meshes (4.1), components (4.2), base materials (5.1). Units are millimetres.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import quoteattr

from geometry.solids import Solid


@dataclass(frozen=True, slots=True)
class Material:
    """A material by name and the colour it is shown in, sRGB 0 to 1."""

    name: str
    colour: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class PrintPart:
    """A closed body of one material, by its number among the materials; None for no material."""

    name: str
    solid: Solid
    material: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class PrintObject:
    """What a slicer shows as one object: one part, or several that touch."""

    name: str
    parts: tuple[PrintPart, ...]


def three_mf(objects: Sequence[PrintObject], materials: Sequence[Material] = ()) -> bytes:
    """Return a 3MF file.

    Parameters
    ----------
    objects : what is to be printed, in millimetres where it is to stand
    materials : those that the parts name by number
    """
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<model unit="millimeter" xml:lang="en" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">',
        "<resources>",
    ]
    if materials:
        lines += [
            '<basematerials id="1">',
            *(f"<base name={quoteattr(m.name)} displaycolor={quoteattr(_hex(m.colour))}/>" for m in materials),
            "</basematerials>",
        ]
    number = 1
    build: list[int] = []
    for item in objects:
        single = len(item.parts) == 1
        components: list[int] = []
        for part in item.parts:
            number += 1
            components.append(number)
            lines += _mesh(number, item.name if single else f"{item.name}, {part.name}", part)
        if not single:
            number += 1
            lines += [
                f'<object id="{number}" type="model" name={quoteattr(item.name)}><components>',
                *(f'<component objectid="{n}"/>' for n in components),
                "</components></object>",
            ]
        build.append(number)
    lines += ["</resources>", "<build>", *(f'<item objectid="{n}"/>' for n in build), "</build>", "</model>", ""]
    return _packed("\n".join(lines))


def _mesh(number: int, title: str, part: PrintPart) -> list[str]:
    material = "" if part.material is None else f' pid="1" pindex="{part.material}"'
    return [
        f'<object id="{number}" type="model" name={quoteattr(title)}{material}><mesh><vertices>',
        *(f'<vertex x="{x!r}" y="{y!r}" z="{z!r}"/>' for x, y, z in part.solid.vertices.tolist()),
        "</vertices><triangles>",
        *(f'<triangle v1="{i}" v2="{j}" v3="{k}"/>' for i, j, k in part.solid.triangles.tolist()),
        "</triangles></mesh></object>",
    ]


def _hex(colour: tuple[float, float, float]) -> str:
    return "#" + "".join(f"{round(255.0 * min(max(c, 0.0), 1.0)):02X}" for c in colour)


def _packed(model: str) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, text in (
            ("[Content_Types].xml", _CONTENT_TYPES), ("_rels/.rels", _RELATIONS), ("3D/3dmodel.model", model),
        ):  # fmt: skip
            entry = zipfile.ZipInfo(path, _EARLIEST)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, text)
    return packed.getvalue()


_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The same piece gives the same bytes: entries carry the earliest date a zip can hold."""

_CONTENT_TYPES = """<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/>
</Types>
"""

_RELATIONS = """<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Target="/3D/3dmodel.model" Id="model"
 Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>
"""
