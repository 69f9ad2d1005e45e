"""The palette can be read by everyone: on paper and in the dark, whatever one's eyes tell apart.

Contrast: WCAG 2.1, definitions of relative luminance and contrast ratio (W3C Recommendation of
2018; formulas from memory, checked below with black on white = 21 and the well-known #767676 on
white, 4.54). Colour blindness: the matrices for full severity of Machado, Oliveira and Fernandes,
"A Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE TVCG 15(6), 2009
(from memory; each row adds up to 1, so that greys stay as they are). Difference: CIE 1976 L*a*b*
distance, white point D65 (formulas from memory; white is 100, 0, 0).
"""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import numpy as np
import pytest

LOOK = Path(__file__).parents[2] / "fitkit" / "notebook" / "look.css"
STATES = ("ok", "tight", "fails", "unknown", "connector", "soft")
LEAST = 17.0
"""Least difference; about 2 is just seen side by side, 10 at a glance (from memory)."""
KINDS = {
    "no deficiency": np.eye(3),
    "protanopia": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deuteranopia": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritanopia": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}


def themes() -> dict[str, dict[str, str]]:
    """The colours of the light palette and of every dark one in the style sheet."""
    text = re.sub(r"/\*.*?\*/", "", LOOK.read_text(encoding="utf-8"), flags=re.S)
    found: dict[str, dict[str, str]] = {}
    for selector, block in re.findall(r"([^{}]+)\{([^{}]*--fk-paper:[^{}]*)\}", text):
        colours = dict(re.findall(r"--fk-([a-z]+):\s*(#[0-9A-Fa-f]{6})", block))
        found[" ".join(selector.split())] = colours
    return found


def linear(colour: str) -> np.ndarray:
    """Linear red, green and blue of a colour, 0 to 1."""
    value = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """The contrast ratio of two colours, 1 to 21."""
    dark, light = sorted(float(linear(c) @ [0.2126, 0.7152, 0.0722]) for c in (one, other))
    return (light + 0.05) / (dark + 0.05)


def lab(rgb: np.ndarray) -> np.ndarray:
    """L*a*b* of linear red, green and blue."""
    xyz = (
        np.array(
            [
                [0.4124564, 0.3575761, 0.1804375],
                [0.2126729, 0.7151522, 0.0721750],
                [0.0193339, 0.1191920, 0.9503041],
            ]
        )
        @ rgb
    )
    t = xyz / np.array([0.95047, 1.0, 1.08883])
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def test_the_formulas_give_known_values() -> None:
    """Black on white is 21, #767676 on white 4.54, white is L* 100, and greys stay greys."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.005)
    assert lab(np.ones(3)) == pytest.approx([100.0, 0.0, 0.0], abs=0.02)
    for matrix in KINDS.values():
        assert matrix @ np.ones(3) == pytest.approx(np.ones(3), abs=2e-5)


def test_there_is_a_light_and_a_dark_palette_with_the_same_names() -> None:
    """Every palette says every colour, and the dark ones are one and the same."""
    found = themes()
    assert len(found) >= 2
    names = [set(colours) for colours in found.values()]
    assert all(one == names[0] for one in names)
    light = next(iter(found.values()))
    assert len({tuple(sorted(c.items())) for c in found.values() if c != light}) == 1


@pytest.mark.parametrize("theme", themes().values(), ids=themes().keys())
def test_words_and_lines_stand_out_from_the_paper(theme: dict[str, str]) -> None:
    """Ink, quiet words and every state have the contrast that WCAG 2.1 (1.4.3, AA) asks: 4.5."""
    for name in ("ink", "quiet", *STATES):
        assert contrast(theme[name], theme["paper"]) >= 4.5, name


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("theme", themes().values(), ids=themes().keys())
def test_states_are_told_apart_by_everyone(theme: dict[str, str], kind: str) -> None:
    """Any two of the state and zone colours differ at a glance, with each kind of eyes."""
    seen = {name: lab(np.clip(KINDS[kind] @ linear(theme[name]), 0, 1)) for name in STATES}
    for one, other in itertools.combinations(STATES, 2):
        assert float(np.linalg.norm(seen[one] - seen[other])) >= LEAST, (one, other)
