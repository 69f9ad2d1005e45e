"""Gear that has to do with walls: it looks at one, or two hold it."""
