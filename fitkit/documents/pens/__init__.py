"""Pens: each replays a neutral sheet in one file format."""
