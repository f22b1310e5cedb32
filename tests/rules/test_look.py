"""One language on every page: its colours stand in one file, can be read, and what carries them is light.

Sources: contrast as in WCAG 2.2 (relative luminance, from memory); the least ratios, 12 kB of CSS and 11 kB of figures
are decisions of the project's design.
"""

import gzip
import re
from pathlib import Path

import pytest

from .found import ROOT, found_in

STATIC, TEMPLATES = ROOT / "static", ROOT / "webapp" / "templates"
TOKENS = STATIC / "css" / "tokens.css"
MOST_CSS_BYTES, MOST_FONT_BYTES = 12_000, 11_000
COLOUR = re.compile(
    r"(?<!&)#(?:[0-9a-fA-F]{8}|[0-9a-fA-F]{6}|[0-9a-fA-F]{3,4})\b(?![\w-])"
    r"|\b(?:rgba?|hsla?|hwb|lab|lch|oklab|oklch|color-mix)\("
    r"""|(?:fill|stroke|color|background)\s*[:=]\s*["']?(?:black|white|red|green|blue|gr[ae]y|orange|yellow|navy)\b"""
)
MAY_HOLD_NONE = sorted(
    path
    for folder, kinds in (("static", (".css", ".js", ".svg")), ("webapp", (".py", ".html")))
    for path in (ROOT / folder).rglob("*")
    if path.suffix in kinds and path not in (TOKENS, STATIC / "icons" / "icon.svg")
)
LOOKS = ("day", "dark", "sun")


def tokens(look: str) -> dict[str, str]:
    """The colours of one look as "#rrggbb" by their names."""
    blocks = dict(zip(LOOKS, re.findall(r":root[^{]*\{([^}]*--ground[^}]*)\}", TOKENS.read_text()), strict=True))
    found = dict(re.findall(r"--([\w-]+): (#\w+);", blocks[look]))
    return {
        name: "#" + "".join(2 * digit for digit in value[1:]) if len(value) == 4 else value
        for name, value in found.items()
    }


def contrast(one: str, other: str) -> float:
    """WCAG's ratio of two colours, 1 to 21."""

    def luminance(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_no_colour_value_stands_outside_the_tokens() -> None:
    assert found_in(MAY_HOLD_NONE, lambda path: [found[0] for found in COLOUR.finditer(path.read_text())]) == {}


def test_the_apps_sign_is_drawn_in_the_day_looks_ink_and_ground() -> None:
    day = tokens("day")
    found = set(re.findall(r"#\w+", (STATIC / "icons" / "icon.svg").read_text()))
    assert found == {day["ink"], day["ground"]}


@pytest.mark.parametrize("look", LOOKS)
def test_every_look_has_every_colour(look: str) -> None:
    assert set(tokens(look)) >= set(tokens("dark"))
    assert len(tokens("dark")) == 11


@pytest.mark.parametrize("look", LOOKS)
def test_text_and_lines_can_be_read(look: str) -> None:
    colour = tokens(look)
    for under in ("ground", "sheet", "band"):
        assert contrast(colour["ink"], colour[under]) >= 14
        assert contrast(colour["soft"], colour[under]) >= 7.5
        for mark in ("line", "warn"):
            assert contrast(colour[mark], colour[under]) >= (7 if look == "sun" else 3)
    assert contrast(colour["ink"], colour["key"]) >= 12
    assert contrast(colour["arm"], colour["ground"]) >= 7
    assert contrast(colour["on-arm"], colour["arm"]) >= 7


def sheets_of(template: Path) -> set[str]:
    """The style sheets a page loads, its frame's included."""
    text = template.read_text()
    return {*re.findall(r"css/([\w.]+)'", text), "tokens.css", "base.css"}


def test_a_pages_style_is_light() -> None:
    size = {path.name: len(gzip.compress(path.read_bytes())) for path in (STATIC / "css").glob("*.css")}
    weight = {page.stem: sum(size[name] for name in sheets_of(page)) for page in TEMPLATES.glob("[!_]*.html")}
    assert weight
    assert {page: weighs for page, weighs in weight.items() if weighs > MOST_CSS_BYTES} == {}


def test_the_figures_font_is_light_and_its_licence_lies_beside_it() -> None:
    fonts = sorted((STATIC / "fonts").glob("*.woff2"))
    assert [path.stem for path in fonts] == ["figures-500", "figures-700"]
    assert sum(path.stat().st_size for path in fonts) <= MOST_FONT_BYTES
    assert "SIL OPEN FONT LICENSE Version 1.1" in (STATIC / "fonts" / "OFL.txt").read_text()


def test_a_link_that_stands_alone_is_as_large_as_a_finger() -> None:
    """A paragraph of one link and nothing else names a class, each of which is `--target` high."""
    bare = re.compile(r"<p[^>]*>\s*<a(?![^>]*\bclass=)[^>]*>[^<]*</a>\s*</p>")
    assert found_in(sorted(TEMPLATES.glob("*.html")), lambda path: bare.findall(path.read_text())) == {}


def test_a_class_on_a_page_is_for_a_look_a_script_or_a_test() -> None:
    readers = [*(STATIC.rglob("*.css")), *(STATIC.rglob("*.js")), *((ROOT / "tests").rglob("*.py"))]
    known = set(re.findall(r"[\w-]+", " ".join(path.read_text() for path in readers)))
    told = {
        (path.name, name)
        for path in TEMPLATES.glob("*.html")
        for some in re.findall(r'class="([^"{]*)"', path.read_text())
        for name in some.split()
    }
    assert {(page, name) for page, name in told if name not in known} == set()
