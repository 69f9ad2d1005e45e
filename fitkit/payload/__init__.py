"""What was measured: items in their poses, the payload sheet, limits, the build-up of walls."""
