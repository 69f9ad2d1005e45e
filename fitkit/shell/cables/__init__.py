"""Cables in the closed and the open case: paths, lengths, coils, bundles, and where they leave."""
