"""The gap between what faces each other across the closing plane, and all that may close it."""
