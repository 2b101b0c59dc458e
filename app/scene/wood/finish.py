"""The wood as a finish: every pixel of a body's surface asks what the blank is made of there."""

from __future__ import annotations

from typing import cast

import numpy as np
from vtkmodules.util.numpy_support import numpy_to_vtk
from vtkmodules.vtkCommonDataModel import vtkImageData
from vtkmodules.vtkRenderingCore import vtkActor, vtkTexture

from app.scene.body import Body, Colour
from app.scene.finish import Dressed, ease_lines
from app.scene.wood.shader import WOOD_GLSL
from app.scene.wood.table import ROW, ShowThrough, WoodTable, table_of
from app.scene.wood_colours import QUARTER_COLOURS
from geometry.project import Variant

INSET_MM = 0.02
"""How far inside the surface the wood is asked for: a sawn face may lie on a glue plane, and must take one side."""

MOVING_DETAIL = 0.4
"""While something moves, wood is drawn as if its pixels were this much as fine."""

_TABLE = "woodTable"
_OWN, _WORN = "woodBodyColour", "woodQuarterColour"


def wood_finish(variant: Variant) -> WoodFinish:
    """Return the finish of a variant's blank; ``finish.update(other)`` shows another lay-up."""
    return WoodFinish(table_of(variant))


class TableTexture:
    """A wood table on the graphics card, shared by every actor that shows it."""

    def __init__(self, table: WoodTable) -> None:
        """Make the texture."""
        self._image = vtkImageData()
        self.texture = vtkTexture()
        self.texture.SetInputData(self._image)
        self.texture.InterpolateOff()
        self.texture.MipmapOff()
        self.texture.RepeatOff()
        self.texture.SetColorModeToDirectScalars()
        self.show(table)

    def show(self, table: WoodTable) -> None:
        """Show another table; it goes up with the next frame."""
        scalars = numpy_to_vtk(table.texels, deep=True)
        scalars.SetName("texels")
        self._image.SetDimensions(ROW, len(table.texels) // ROW, 1)
        self._image.GetPointData().SetScalars(scalars)
        self._image.Modified()


class WoodFinish:
    """A body's surface as the wood of its blank.

    Nothing but one small texture changes with the lay-up, the species, the show-through mode or the detail.
    A quarter's own colour is its number's.
    """

    def __init__(self, table: WoodTable) -> None:
        """Show wood, in full detail."""
        self._table = table
        self._mode: ShowThrough = "wood"
        self._detail = 1.0
        self._shared = TableTexture(table)

    @property
    def mode(self) -> ShowThrough:
        """What the surfaces show."""
        return self._mode

    def update(self, variant: Variant) -> None:
        """Show the lay-up of another variant on every body at the next frame."""
        self.update_table(table_of(variant))

    def update_table(self, table: WoodTable) -> None:
        """Show another table on every body at the next frame."""
        self._table = table
        self._upload()

    def show(self, mode: ShowThrough) -> None:
        """Show the wood, one colour for each quarter, or the pattern alone."""
        if mode != self._mode:
            self._mode = mode
            self._upload()

    def set_moving(self, moving: bool) -> None:
        """Leave out what is finest while something moves."""
        detail = MOVING_DETAIL if moving else 1.0
        if detail != self._detail:
            self._detail = detail
            self._upload()

    def _upload(self) -> None:
        self._shared.show(self._table.shown(self._mode, self._detail))

    def shade(self, dressed: Dressed, body: Body) -> None:
        """Give one body its wood."""
        quarter = QUARTER_COLOURS.get(body.number or 0, body.colour)
        self._dress_surface(dressed, body.colour, quarter)
        self._dress_lines(dressed, body.colour, quarter)

    def _dress_surface(self, dressed: Dressed, own: Colour, quarter: Colour) -> None:
        actor = dressed.surface
        look = actor.GetProperty()
        look.SetInterpolationToPhong()
        look.SetColor(1.0, 1.0, 1.0)
        look.SetAmbient(0.36)
        look.SetDiffuse(0.80)
        look.SetSpecular(0.10)
        look.SetSpecularPower(24.0)
        look.BackfaceCullingOn()  # bodies are closed: half the pixels need no wood
        dressed.surface_mapper.ScalarVisibilityOff()
        bind_wood(actor, self._shared.texture, _SURFACE)
        _tell_colours(actor, own, quarter)

    def _dress_lines(self, dressed: Dressed, own: Colour, quarter: Colour) -> None:
        line = dressed.lines.GetProperty()
        line.SetAmbient(0.38)
        line.SetDiffuse(0.90)
        line.SetSpecular(0.10)
        line.SetSpecularPower(12.0)
        dressed.lines.GetShaderProperty().ClearAllShaderReplacements()
        ease_lines(dressed.lines)
        bind_wood(dressed.lines, self._shared.texture, _LINES, clear=False)
        _tell_colours(dressed.lines, own, quarter)


# The surface: the wood a little inside, along the true normal of the flat triangle that is drawn.
_SURFACE = """
  vec3 woodOut = cross(woodX, woodY); float woodArea = length(woodOut);
  if (woodArea > 0.0) woodOut *= (gl_FrontFacing ? 1.0 : -1.0) / woodArea;
  vec4 woodSeen;
  if (woodTexel(0).w == 1.0) woodSeen = vec4(woodQuarterColour, 0.0);
  else woodSeen = wood(blockVSOutput - INSET * woodOut, woodX, woodY);
  ambientColor = ambientIntensity * woodSeen.rgb; diffuseColor = diffuseIntensity * woodSeen.rgb;
  specularColor *= 1.0 - 0.8 * woodSeen.a;
""".replace("INSET", f"{INSET_MM}")

# An eased edge: the wood's colour from afar, in the shade that the line was given against its body's colour.
_LINES = """
  vec3 woodShade = vertexColorVSOutput.rgb / max(woodBodyColour, vec3(0.01));
  woodShade *= woodTexel(0).w == 1.0 ? woodQuarterColour : woodAfar(blockVSOutput);
  ambientColor = ambientIntensity * woodShade; diffuseColor = diffuseIntensity * woodShade;
"""

# Colours as they are, for baking.
UNLIT = """
  ambientColor = wood(blockVSOutput, woodX, woodY).rgb; diffuseColor = vec3(0.0);
"""


def bind_wood(
    actor: vtkActor, texture: vtkTexture, colouring: str, clear: bool = True, attribute: str | None = None
) -> None:
    """Let an actor's fragments be coloured by GLSL that finds ``blockVSOutput``, ``woodX`` and ``woodY``.

    The actor's points are block coordinates, unshifted, unless a vertex attribute holds them. Where VTK puts a
    geometry shader in (wide lines), the block coordinates go through it.
    """
    shader = actor.GetShaderProperty()
    if clear:
        shader.ClearAllShaderReplacements()
    dec, impl = "//VTK::Color::Dec", "//VTK::Color::Impl"
    held = f"in vec3 {attribute};\n" if attribute else ""
    shader.AddVertexShaderReplacement(dec, True, f"{dec}\n{held}out vec3 blockVSOutput;\n", False)
    source = attribute or "vertexMC.xyz"
    shader.AddVertexShaderReplacement(impl, True, f"{impl}\n  blockVSOutput = {source};\n", False)
    passing = f"{dec}\nin vec3 blockVSOutput[];\nout vec3 blockGSOutput;\n"
    shader.AddGeometryShaderReplacement(dec, True, passing, False)
    shader.AddGeometryShaderReplacement(impl, True, f"{impl}\n    blockGSOutput = blockVSOutput[i];\n", False)
    shader.AddFragmentShaderReplacement(dec, True, f"{dec}\nin vec3 blockVSOutput;\n", False)
    # ahead of the code that uses it, and after the samplers are declared
    picking = "//VTK::Picking::Dec"
    shader.AddFragmentShaderReplacement(picking, True, f"{WOOD_GLSL}\n{picking}", False)
    flow = "//VTK::UniformFlow::Impl"
    steps = f"{flow}\n  vec3 woodX = dFdx(blockVSOutput), woodY = dFdy(blockVSOutput);\n"
    shader.AddFragmentShaderReplacement(flow, True, steps, False)
    shader.AddFragmentShaderReplacement(impl, True, f"{impl}\n{colouring}", False)
    look = actor.GetProperty()
    look.RemoveTexture(_TABLE)
    look.SetTexture(_TABLE, texture)


def _tell_colours(actor: vtkActor, own: Colour, quarter: Colour) -> None:
    uniforms = actor.GetShaderProperty().GetFragmentCustomUniforms()
    uniforms.SetUniform3f(_OWN, cast(list[float], np.asarray(own, float).tolist()))
    uniforms.SetUniform3f(_WORN, cast(list[float], np.asarray(quarter, float).tolist()))
