"""From the wanted outline back to lines, trims and the smallest blank.

``fit_wish(variant)`` reads the outlines of the variant's wish (`outlines`), lays a line whose band covers each
(`line_fit`, on the rows of `fairing` and the solver in `within`), trims what stands out (`trim_fit`), tries several
ways (`views`), and puts the best together into designs with their costs (`answers`), or says what stands in the way
(`reasons`).
"""

from geometry.fit.answers import Answer, Cost, Fit, answer_line, fit_wish, with_answers
from geometry.fit.cannot import CannotFit
from geometry.fit.edges import Difference

__all__ = ["Answer", "CannotFit", "Cost", "Difference", "Fit", "answer_line", "fit_wish", "with_answers"]
