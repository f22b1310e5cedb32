"""One word per thing: the glossary of DEVELOPERS.md, held against boxes, columns, fields, labels and pages.

Knows no page by name; a word that only a form has must be told here.
"""

import ast
import importlib
import pkgutil
import re
from dataclasses import fields as parts
from functools import cache
from pathlib import Path

import pytest

from webapp import facts, forms
from webapp.card.card_data import Card, CardCell
from webapp.files import columns
from webapp.forms.setup import PlainForm
from webapp.store.book import Book
from webapp.store.derived import TABLES

ROOT = Path(__file__).resolve().parents[2]
UNIT = re.compile(r"_(?:m|deg|c|mps|rpm|min|id)$")
FIELDS = {name for body in facts.KINDS.values() for name in body} | set(facts.SETTINGS) | set(facts.DELIVERY)
BARE = {UNIT.sub("", name) for name in FIELDS} | FIELDS

# What a form asks that is no field of a fact: a question that changes nothing, a unit beside a box, a deed.
ONLY_ON_FORMS = {
    *("flag", "front", "back", "must", "height", "side", "wind_at", "wind_to", "altitude", "other"),
    *("temperature_unit", "altitude_unit", "speed_unit", "home_temperature_unit", "home_altitude_unit"),
    *("meant", "landed", "lie", "pace", "expected", "clock", "reason", "known_carry", "known_loft"),
    *("join_code", "pin", "clinic", "code", "days", "label", "shows", "by_day", "file", "yes", "csrf_token", "shown"),
}
# Where a text speaks of any club there is, or of the column, option, table and key that are called so.
OF_ANY_CLUB = (
    "[Cc]lub speed", "ball or club can have", "A club that does not move", "new club", "the club (?:met|dug)",
    "neck of the club", "attachments to clubs", "which club to take",
    "club=COLUMN", "<club id>", "(?:FROM|TABLE) clubs", "kind = 'club'", "^club …$",
)  # fmt: skip
# What is told in a terminal, to whoever keeps the server, or to a program.
IN_PLAIN_LETTERS = re.compile(r"webapp/(?:cli/|store/|config|doctor|serving|books/demo)")
NUMBERED = re.compile(r"(?:said|measured|loft)_\d+")
# Columns of a table of balls that are made of several fields, or stand for a row of another kind.
ONLY_IN_FILES = {"id", "made_at", "club", "bucket", "meant", "unit", "speed_unit", "retired"}


def glossary() -> list[list[str]]:
    told = (ROOT / "DEVELOPERS.md").read_text().partition("## Words")[2].partition("\n## ")[0]
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")] for line in told.splitlines() if line.startswith("| ")
    ]
    return rows[1:]


def boxes() -> dict[str, str]:
    """Every box of every form, by form and name, with its label."""
    found = {}
    for module in pkgutil.iter_modules(forms.__path__):
        for form in vars(importlib.import_module(f"webapp.forms.{module.name}")).values():
            if isinstance(form, type) and issubclass(form, PlainForm):
                names = [name for name in dir(form) if hasattr(getattr(form, name), "field_class")]
                found |= {f"{form.__name__}.{name}": str(getattr(form, name).args[:1]) for name in names}
    return found


def pages() -> dict[str, str]:
    """What stands in each template beside its marks, by its name."""
    return {
        path.name: re.sub(r"\{[%{#].*?[%}#]\}|<[^>]*>", " ", path.read_text(), flags=re.DOTALL)
        for path in sorted((ROOT / "webapp" / "templates").glob("*.html"))
    }


@cache
def sentences() -> dict[str, str]:
    """Every text of several words in the program and in the phone's scripts, by its file; addresses are none.

    What a text takes from elsewhere stands as "…" in it; a script's comments are read too.
    """
    found = {}
    for path in sorted((ROOT / "webapp").rglob("*.py")):
        tree = ast.parse(path.read_text())
        docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        parts_of = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
        for node in ast.walk(tree):
            if isinstance(node, ast.JoinedStr) or (
                isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs | parts_of
            ):
                found[f"{path.relative_to(ROOT)}:{node.lineno}:{node.col_offset}"] = text_of(node)
    for path in sorted((ROOT / "static").rglob("*.js")):
        for at, text in enumerate(re.findall(r'"(?:[^"\\\n]|\\.)*"|`(?:[^`\\]|\\.)*`', path.read_text())):
            found[f"{path.relative_to(ROOT)}:{at}"] = re.sub(r"\$\{[^}]*\}", "…", text[1:-1])
    return {where: text for where, text in found.items() if " " in text.strip() and text[0] != "/"}


def text_of(node: ast.JoinedStr | ast.Constant) -> str:
    """A text of the program, with "…" for what it takes from elsewhere."""
    parts = node.values if isinstance(node, ast.JoinedStr) else [node]
    return "".join(str(part.value) if isinstance(part, ast.Constant) else "…" for part in parts)


def test_a_box_is_called_as_the_field_it_fills() -> None:
    names = {box.partition(".")[2] for box in boxes()}
    assert {name for name in names - BARE - ONLY_ON_FORMS if not NUMBERED.fullmatch(name)} == set()


def test_a_column_of_a_book_is_called_as_the_field_it_holds(book: Book) -> None:
    for kind, table in TABLES.items():
        there = {row[1] for row in book.conn.execute(f"PRAGMA table_info({table})")}
        assert set(facts.KINDS[kind]) <= there, table


def test_a_column_of_a_file_is_called_as_the_field_it_holds() -> None:
    assert {name for name in columns.COLUMNS if name.removeprefix("visit_") not in BARE} <= ONLY_IN_FILES


def test_the_words_of_the_code_are_those_of_the_glossary(book: Book) -> None:
    known = FIELDS | set(facts.KINDS) | {part.name for made in (Card, CardCell) for part in parts(made)}
    known |= {
        row[1] for table in ("facts", *TABLES.values()) for row in book.conn.execute(f"PRAGMA table_info({table})")
    }
    known |= {UNIT.sub("", name) for name in known} | {"book", "fact", "cell", "fresh"}
    for word, _, code, _ in glossary():
        assert {name.strip() for name in code.split(",")} <= known, word


@pytest.mark.parametrize("row", [row for row in glossary() if row[3]], ids=lambda row: row[0])
def test_no_other_word_is_used_for_it(row: list[str]) -> None:
    others = re.compile(rf"\b(?:{'|'.join(word.strip() for word in row[3].split(','))})s?\b", re.IGNORECASE)
    labels = [field.label for body in facts.KINDS.values() for field in body.values()]
    said = {f"label {label}": label for label in [*labels, *boxes().values(), *columns.MEANINGS.values()]}
    said |= {name: text.replace("No account, no name", "") for name, text in pages().items()}  # the first page says so
    said |= sentences()
    assert [where for where, text in said.items() if others.search(text)] == []
    assert not {name for name in FIELDS | set(columns.COLUMNS) if others.search(name.replace("_", " "))}


def test_a_wedge_is_called_so_wherever_its_player_reads_of_it() -> None:
    said = {**pages(), **sentences()}
    plain = {where: re.sub("|".join(OF_ANY_CLUB), "", " ".join(text.split())) for where, text in said.items()}
    assert [where for where, text in plain.items() if re.search(r"\bclubs?\b", text, re.IGNORECASE)] == []


def test_a_letter_left_out_is_a_curved_stroke_wherever_a_player_reads_it() -> None:
    assert [name for name, text in pages().items() if "'" in text] == []
    said = {where: text for where, text in sentences().items() if not IN_PLAIN_LETTERS.match(where)}
    assert [where for where, text in said.items() if re.search(r"\w'(?:s|t|re|ll|d|ve)\b|s' ", text)] == []


@pytest.mark.parametrize("folder", ["estimate", "card"])
def test_fresh_is_a_ball_that_a_touch_still_moves_and_none_that_is_not_old(folder: str) -> None:
    """Of how old a number is the phone and the server say that balls are recent."""
    said = {path.name: path.read_text() for path in sorted((ROOT / "webapp" / folder).glob("*.py"))}
    assert said
    assert [name for name, text in said.items() if re.search("fresh", text, re.IGNORECASE)] == []
