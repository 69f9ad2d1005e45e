"""The board: items are slid into place on it, in a notebook or on a page of its own."""
