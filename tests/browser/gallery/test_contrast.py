"""The colours of the three themes, by the contrast ratio of WCAG 2.2."""

from __future__ import annotations

import re

import pytest

from tests.browser.gallery.serve import SHELL

CSS = (SHELL / "styles/tokens.css").read_text()
BLOCK = re.compile(r"([^{}]+)\{([^{}]*)\}")
THEMES = ("day", "sun", "under-car")
TEXT = 7.0  # WCAG 2.2, 1.4.6 Contrast (Enhanced), AAA
SHAPE = 3.0  # WCAG 2.2, 1.4.11 Non-text Contrast

# Own choice: what each pair was designed to have, to the decimal place given.
DESIGNED = {
    "day": {
        ("ink", "ground"): 15.4, ("ink", "plate"): 18.7, ("ink2", "ground"): 8.2,
        ("ink2", "plate"): 10.0, ("hair", "ground"): 4.9, ("hair", "plate"): 5.9,
        ("dye", "ground"): 8.8, ("dye", "plate"): 10.7, ("on-dye", "dye"): 10.7,
        ("on-solid", "solid"): 18.7, ("dye", "tint"): 7.1, ("on-mark", "mark"): 13.1,
    },
    "sun": {
        ("ink", "ground"): 21, ("ink", "plate"): 21, ("ink2", "ground"): 21,
        ("hair", "ground"): 21, ("dye", "ground"): 18.3, ("on-dye", "dye"): 18.3,
        ("on-solid", "solid"): 21, ("on-mark", "mark"): 16.5,
    },
    "under-car": {
        ("ink", "ground"): 16.5, ("ink", "plate"): 14.6, ("ink2", "ground"): 11.8,
        ("ink2", "plate"): 10.4, ("hair", "ground"): 6.6, ("hair", "plate"): 5.8,
        ("dye", "ground"): 8.0, ("dye", "plate"): 7.1, ("on-dye", "dye"): 8.0,
        ("on-solid", "solid"): 10.3, ("dye", "tint"): 4.7, ("on-mark", "mark"): 13.0,
    },
}  # fmt: skip
# Words stand on these; hair and the edges of a band are lines, never words.
WORDS = [
    ("ink", "ground"), ("ink", "plate"), ("ink2", "ground"), ("ink2", "plate"), ("dye", "ground"),
    ("dye", "plate"), ("on-dye", "dye"), ("on-solid", "solid"),
    ("caution-ink", "caution-ground"),
]  # fmt: skip
LINES = [("hair", "ground"), ("hair", "plate"), ("dye", "tint"), ("caution-line", "ground")]


def tokens(theme: str) -> dict[str, str]:
    """The custom properties that hold under a theme: those of the root, then its own."""
    found: dict[str, str] = {}
    for selector, body in BLOCK.findall(CSS):
        if ":root" in selector or f'[data-theme="{theme}"]' in selector:
            found |= dict(re.findall(r"--([\w-]+):\s*([^;]+);", body))
    return found


def colour(theme: str, name: str) -> str:
    """The value of a token, followed through other tokens."""
    value = tokens(theme)[name]
    while reference := re.fullmatch(r"var\(--([\w-]+)\)", value):
        value = tokens(theme)[reference[1]]
    assert re.fullmatch(r"#[0-9a-f]{6}", value), f"{name} of {theme} is {value}"
    return value


def luminance(value: str) -> float:
    """L = 0.2126 R + 0.7152 G + 0.0722 B of linear light (WCAG 2.2, relative luminance)."""
    parts = [int(value[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def ratio(theme: str, pair: tuple[str, str]) -> float:
    """(L1 + 0.05) / (L2 + 0.05), the lighter first."""
    low, high = sorted(luminance(colour(theme, name)) for name in pair)
    return (high + 0.05) / (low + 0.05)


def test_black_on_white_is_21() -> None:
    # WCAG 2.2, "contrast ratio": ranges from 1 to 21.
    assert (luminance("#ffffff") + 0.05) / (luminance("#000000") + 0.05) == pytest.approx(21)


@pytest.mark.parametrize("theme", THEMES)
def test_ratios_are_as_designed(theme: str) -> None:
    measured = {pair: round(ratio(theme, pair), 1) for pair in DESIGNED[theme]}
    assert measured == DESIGNED[theme]


@pytest.mark.parametrize("theme", THEMES)
def test_words_are_read_and_lines_are_seen(theme: str) -> None:
    assert [pair for pair in WORDS if ratio(theme, pair) < TEXT] == []
    lines = [pair for pair in LINES if pair[1] in tokens(theme) and pair[0] in tokens(theme)]
    assert [pair for pair in lines if ratio(theme, pair) < SHAPE] == []
