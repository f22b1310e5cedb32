"""Writes CODE_MAP.md, one table a folder, out of what each file says of itself: `python -m tests.rules.code_map`.

Knows how a file begins in Python and in JavaScript, and no file by name.
"""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TOPS = ("webapp", "static")
COMMAND = "python -m tests.rules.code_map"
HEAD = f"""# Code map

What each file owns and what it knows or must not know, from its own first lines. Made by
`{COMMAND}`; tests/rules/test_documents.py fails when it is stale. DEVELOPERS.md tells the way through the folders.
"""
_KNOWS = re.compile(r"[;.]\s+(?=[Kk]nows )|;\s+(?=it never )")


def files() -> list[Path]:
    """Every file of the program that says something of itself, from the top of the checkout."""
    found = [path for top in TOPS for path in (ROOT / top).rglob("*") if path.suffix in (".py", ".js")]
    told = [path for path in found if "__pycache__" not in path.parts and path.stat().st_size]
    return sorted((path.relative_to(ROOT) for path in told), key=lambda path: (path.parent.as_posix(), path.name))


def said(path: Path) -> tuple[str, str]:
    """What a file owns, and what it knows or must not know; "" for what it does not say."""
    text = (ROOT / path).read_text(encoding="utf-8")
    if path.suffix == ".py":
        owns, _, knows = (ast.get_docstring(ast.parse(text)) or "").partition("\n\n")
        knows = knows.partition("\n\n")[0] if knows.startswith("Knows") else ""
    else:
        lines = re.match(r"(?://[^\n]*\n)*", text)
        head = " ".join(line.removeprefix("//").strip() for line in (lines[0] if lines else "").splitlines())
        owns, knows = [*_KNOWS.split(head, maxsplit=1), ""][:2]
        owns, knows = _first(owns.removeprefix("Owns ")), _first(knows)
    return _sentence(owns), _sentence(knows)


def written() -> str:
    """The whole map."""
    parts, folder = [HEAD], None
    for path in files():
        if path.parent != folder:
            folder = path.parent
            parts.append(f"\n## {folder.as_posix()}/\n\n| file | what it owns | what it knows |\n|---|---|---|\n")
        parts.append(f"| {path.as_posix()} | {' | '.join(said(path))} |\n")
    return "".join(parts)


def _first(text: str) -> str:
    return re.split(r"(?<=[a-z)\"`])\.\s", text, maxsplit=1)[0]


def _sentence(text: str) -> str:
    folded = " ".join(text.split()).rstrip(".").replace("|", "\\|")
    return folded[:1].upper() + folded[1:]


if __name__ == "__main__":
    (ROOT / "CODE_MAP.md").write_text(written(), encoding="utf-8")
