"""The computation behind Cornerwise: project, lines, sawing, turning, measures, findings.

Nothing here knows a window or a viewport. Lengths are millimetres, angles radians, masses kilograms.

Frame: right-handed; ``z`` runs along the length (the grain) from the foot, ``z = 0``, to the top, ``z = L``.
The blank's axis is ``x = y = 0``. The front face is ``y = -depth / 2`` seen along ``+y``; the right face is
``x = +width / 2`` seen along ``-x``.
"""
