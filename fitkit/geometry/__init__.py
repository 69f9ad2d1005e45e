"""Pure functions on outlines: shapes, growing, moving, and arcs found again in polygons."""
