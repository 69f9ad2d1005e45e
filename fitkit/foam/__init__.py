"""The foam lining: stacks of sheets, pockets, notches, channels, webs, finished layers."""
