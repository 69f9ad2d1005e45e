"""Where everything goes: heights, layouts, the search for the smallest interior, its check."""
