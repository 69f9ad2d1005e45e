"""The notebook's side: the board, its controls, and the kit on paper.

Needs the extra ``lab``: ``pip install "fitkit[lab]"``.
"""
