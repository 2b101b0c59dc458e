"""The work sheet: what the bench or the class needs on paper, on one page or as a handout in large print.

`sheet.sheet_file` is the way in. Every sentence that is printed stands in `words` and `steps_words`. The pictures come
from outside: this package only lays them out.
"""
