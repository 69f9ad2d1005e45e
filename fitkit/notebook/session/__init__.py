"""The board with what lies behind it: history, autosave, and a child process that searches."""
