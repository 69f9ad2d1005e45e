"""Papers and files: drawings on a neutral sheet replayed by the formats, lists, the page."""
