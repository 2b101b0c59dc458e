"""Coloured 3MF files read by the 3MF Consortium's own library (lib3mf)."""

from __future__ import annotations

import lib3mf
import numpy as np
import pytest

from geometry.coloured_meshes import coloured_3mf, sorted_bodies
from geometry.layup import Chevron
from geometry.measures import moments
from geometry.piece import build
from geometry.project import Blank, Variant

COLOURS = {"walnut": (0.45, 0.31, 0.22), "maple": (0.90, 0.80, 0.65)}


def test_lib3mf_finds_bodies_colours_and_millimetres_without_a_warning():
    blank = Blank(width=40, depth=40, length=120)
    layup = Chevron(across="x", angle_deg=45.0, pitch=15.0, species=("walnut", "maple"))
    bodies = sorted_bodies(build(Variant(name="A", blank=blank, layup=layup)), "quarters")
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(coloured_3mf(bodies, COLOURS))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = model.GetMeshObjects()
    found = {}
    while objects.MoveNext():
        mesh = objects.GetCurrentMeshObject()
        assert mesh.IsManifoldAndOriented()
        corners = np.array([list(v.Coordinates) for v in mesh.GetVertices()], dtype=float)
        three = corners[np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])]
        resource, index, has = mesh.GetObjectLevelProperty()
        assert has
        group = model.GetBaseMaterialGroupByID(resource)
        red, green, blue, _ = lib3mf.get_wrapper().ColorToRGBA(group.GetDisplayColor(index))
        volume = np.einsum("ni,ni->n", three[:, 0], np.cross(three[:, 1], three[:, 2])).sum() / 6.0
        found[mesh.GetName()] = ((red, green, blue), volume)
    for body in bodies:
        for name, solid in body.parts.items():
            colour, volume = found[f"{body.name}, {name}"]
            assert colour == tuple(round(255 * c) for c in COLOURS[name])
            assert volume == pytest.approx(moments(solid).volume_mm3, rel=1e-5)  # lib3mf keeps single precision
    items = model.GetBuildItems()
    names = []
    while items.MoveNext():
        names.append(items.GetCurrent().GetObjectResource().GetName())
    assert names == [f"quarter {i}" for i in (1, 2, 3, 4)]
