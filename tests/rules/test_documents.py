"""What is written about the program is true of it: the map of its files, and the length of the developers' guide.

Knows the documents at the top of the checkout and no module.
"""

import ast
import io
import re
import tokenize
from pathlib import Path

from .code_map import COMMAND, ROOT, files, said, written

MOST_LINES = 250
DOCUMENTS = sorted(path for path in ROOT.glob("*.md")) + sorted((ROOT / "tests").rglob("*.md"))
TOLD = ("webapp", "static", "tests", "deploy")
READ = (".py", ".js", ".css", ".html")
FILE = re.compile(r"(?<![\w/.:@-])(?:[\w.-]+/)*[\w-]+\.(?:py|js|md|html|css|json|svg)\b")
FOLDER = re.compile(r"(?<![\w/.:@-])(?:[a-z][a-z_]{2,}/)+(?![\w.<])")
FRACTIONS = ("estimate", "physics", "first", "published")  # folders whose formulas have strokes
MADE = {"rules/constants.js", "static/rules/constants.js", "constants.js", "CODE_MAP.md"}  # made as they are served


def test_the_code_map_is_what_the_files_say_of_themselves() -> None:
    assert (ROOT / "CODE_MAP.md").read_text(encoding="utf-8") == written(), f"make it anew: {COMMAND}"


def test_every_file_says_what_it_owns() -> None:
    assert [path.as_posix() for path in files() if not said(path)[0]] == []


def test_the_guide_is_short_and_tells_every_folder() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert len(guide.splitlines()) <= MOST_LINES
    folders = {f"{path.parent.as_posix()}/" for path in files()}
    assert {folder for folder in folders if f"| {folder} |" not in guide} == set()


def test_every_test_that_is_named_is_there() -> None:
    for path in DOCUMENTS:
        for file, name in re.findall(r"(tests/[\w/]+\.py)::(\w+)", path.read_text(encoding="utf-8")):
            assert f"def {name}(" in (ROOT / file).read_text(encoding="utf-8"), f"{path.name}: {file}::{name}"


def test_every_name_that_is_said_to_be_in_a_file_is_made_there() -> None:
    told = [
        (path.name, name, file)
        for path in DOCUMENTS
        for name, file in re.findall(r"`(\w+)` (?:in|of) (webapp/[\w/]+\.py)", path.read_text(encoding="utf-8"))
    ]
    assert told
    assert [one for one in told if not _is_made(one[1], (ROOT / one[2]).read_text(encoding="utf-8"))] == []


def test_every_path_that_is_named_is_there() -> None:
    assert [f"{where}: {named}" for where, named in named_paths() if not _is_there(where, named)] == []


def named_paths() -> list[tuple[Path, str]]:
    """Every file or folder that a document, docstring or comment names, with the file that names it."""
    found = []
    for path in [
        *DOCUMENTS,
        *(path for top in TOLD for path in sorted((ROOT / top).rglob("*"))),
    ]:
        if path.suffix not in READ or "__pycache__" in path.parts:
            continue
        words, has_fractions = _words_of(path), path.parent.name in FRACTIONS
        named = FILE.findall(words) + ([] if has_fractions else FOLDER.findall(words))
        found += [(path.relative_to(ROOT), one) for one in named]
    return found


def _is_made(name: str, code: str) -> bool:
    return bool(re.search(rf"^(?:def |class )?{name}\b", code, re.MULTILINE))


def _words_of(path: Path) -> str:
    """What a file says to people: a document whole, of code the docstrings and comments."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".md":
        return text
    if path.suffix == ".py":
        tokens = tokenize.generate_tokens(io.StringIO(text).readline)
        comments = [token.string for token in tokens if token.type == tokenize.COMMENT]
        told = (ast.Module, ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)
        docs = [ast.get_docstring(node) or "" for node in ast.walk(ast.parse(text)) if isinstance(node, told)]
        return "\n".join([*comments, *docs])
    return "\n".join(re.findall(r"//[^\n]*|/\*.*?\*/|\{#.*?#\}", text, re.DOTALL))


def _is_there(where: Path, named: str) -> bool:
    """Whether a path is there as it stands, below the program's folders, or beside the file that names it."""
    if any(sign in named for sign in "<{*") or named in MADE or re.search(r"NAME", named):
        return True
    tops = [ROOT, ROOT / "webapp", ROOT / "static", ROOT / "tests", (ROOT / where).parent, (ROOT / where).parent.parent]
    if any((top / named.rstrip("/")).exists() for top in tops):
        return True
    return "/" not in named and any(path.name == named for top in TOLD for path in (ROOT / top).rglob("*"))
