"""Full-size templates: the two faces to fold round the blank's shared corner, the trims, a coupon for the blade.

`sheets.template_file` is the way in. Every sentence that is printed stands in `words`.
"""
