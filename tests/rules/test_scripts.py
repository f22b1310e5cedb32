"""What travels of a script is the script: only whole-line comments and indents are left out."""

import re
from pathlib import Path

import pytest

from webapp.scripts import served

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = sorted((ROOT / "static").rglob("*.js"))


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_every_line_of_the_program_travels_and_keeps_its_place(path: Path) -> None:
    written, travelling = path.read_text().splitlines(), served(path.read_text()).splitlines()
    assert len(travelling) == len(written)
    for before, after in zip(written, travelling, strict=True):
        assert after == before.strip() or (after == "" and re.match(r"\s*(//|/\*\*|\*)", before)), before


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_script_holds_text_over_several_lines(path: Path) -> None:
    bare = served(path.read_text())
    assert all("\n" not in text for text in re.findall(r"`[^`]*`", bare))


def test_a_comment_goes_and_a_line_that_ends_with_one_stays() -> None:
    written = "// why\nlet a = 1; // one\n  /** says\n   * more */\n  f(a);\n"
    assert served(written) == "\nlet a = 1; // one\n\n\nf(a);\n"
