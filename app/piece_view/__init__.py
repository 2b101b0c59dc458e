"""The piece beside the lines: seen from all round, turned from sawn to glued, one variant or two.

Where to start: ``piece_area.PieceArea`` is what the window holds. It lays out one or two ``piece_view.PieceView``
that share one ``viewpoint.Viewpoint``. ``stage`` is the scene of one piece and knows no Qt; ``turntable`` is the
camera's arithmetic and knows neither Qt nor VTK.
"""

from app.piece_view.piece_area import PieceArea

__all__ = ["PieceArea"]
