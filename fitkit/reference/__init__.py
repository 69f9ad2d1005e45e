"""Sourced tables: data files with a mark on every row, read into range-checked records."""
