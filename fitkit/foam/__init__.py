"""foam."""
