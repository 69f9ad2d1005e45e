"""Cautions as a builder reads them: each said once."""

from __future__ import annotations

from collections.abc import Iterable


def each_once(texts: Iterable[str]) -> list[str]:
    """The texts in their order, without those that stand word for word in a longer one.

    >>> each_once(["Blades: cut away from you.", "Lift with two.", "Lift with two. Ask first."])
    ['Blades: cut away from you.', 'Lift with two. Ask first.']
    """
    once = list(dict.fromkeys(texts))
    return [text for text in once if not any(text != other and text in other for other in once)]
