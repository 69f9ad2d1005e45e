"""payload."""
