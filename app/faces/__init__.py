"""The faces: the two line editors as the unfolded blank, the end view, and what belongs to them."""

from app.faces.node_numbers import NodeNumbers
from app.faces.shape_dialog import ShapeDialog
from app.faces.view import FacesView

__all__ = ["FacesView", "NodeNumbers", "ShapeDialog"]
