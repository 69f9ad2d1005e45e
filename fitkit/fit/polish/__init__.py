"""Polish: whole layouts closed up, disturbed, and spread, with linear programs on true outlines.

Outlines are split into convex parts once. Two convex parts are apart by a distance if there is a
direction along which they are; with the direction kept, that is linear in the moves of both
pieces. So a program over all moves at once may shrink the box (:mod:`.compact`), take overlaps out
(:mod:`.disturb`) or make the webs alike (:mod:`.spread`), and every answer of it holds exactly.
"""
