"""A search on a grid: every place of every turn is tried, conflicts are priced and resolved.

Which offsets of two pieces conflict is worked out once, exactly, as a mask on the grid
(:mod:`.masks`). A layout starts with conflicts; pieces in conflict move to where they cost least,
and pairs that stay in conflict get dearer until none is left (:mod:`.resolve_compiled`). The box is
then made smaller (:mod:`.least_box`, :mod:`.strip`).
"""
