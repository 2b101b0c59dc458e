"""One drawing model and its pens: what goes on paper is said once, in millimetres, and any pen can draw it.

A drawing is a list of frozen items (strokes, fills, words), x to the right and y up, each on a named layer. Curves are
kept as the exact cubics they were computed as; the PDF, SVG and DXF pens hand them on as cubics. A screen draws by
walking over the same items (`items.draw` with a pen of its own).
"""
