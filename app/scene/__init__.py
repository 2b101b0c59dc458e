"""The lit scene: bodies of wood on a ground, seen by a camera. Plain VTK, no Qt.

Where to start: ``still.picture_of`` makes a finished picture; ``scene.Scene`` owns a ``vtkRenderer`` that a
window may show as well. ``body.Body`` is what both take. ``finish`` is the one place where a body's surface
gets its look. ``mesh``, ``shadow`` and ``camera`` are plain numpy and know no VTK.

This file imports nothing, so that a program can ask for a picture on a machine where VTK cannot be loaded
and be told so in a sentence.
"""
