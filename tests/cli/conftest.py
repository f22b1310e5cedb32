"""The command line on a data folder of its own, or with --log on an empty log."""

import json
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from webapp.cli import main
from webapp.store.book import Book
from webapp.store.open_directory import open_directory

Command = Callable[..., Result]


@pytest.fixture
def clockyard(data: Path, store_url: str) -> Command:
    """Run a command on the data folder; `clockyard("books")`."""

    def run(*words: Any) -> Result:
        folder = () if words[0] == "restore-check" else ("--data", data)
        return CliRunner().invoke(main, [str(word) for word in (*words, *folder)], env={"STORE_URL": store_url})

    return run


@pytest.fixture
def cells(clockyard: Command) -> Callable[..., dict[tuple[str, float], Any]]:
    """The cells of `clockyard card --json` by club and swing."""

    def read(*words: Any) -> dict[tuple[str, float], Any]:
        done = clockyard("card", "--json", *words)
        assert done.exit_code == 0, done.output
        return {(cell["club"], cell["swing_deg"]): cell for cell in json.loads(done.stdout)["cells"]}

    return read


@pytest.fixture
def a_file(tmp_path: Path) -> Callable[[str | bytes], Path]:
    """Write a file to import."""

    def write(content: str | bytes) -> Path:
        path = tmp_path / "balls.csv"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return write


@pytest.fixture
def opened(data: Path, store_url: str) -> Iterator[Callable[[], Book]]:
    """The only book of the data folder."""
    with ExitStack() as open_books:

        def open_() -> Book:
            with open_directory(data, store_url=store_url) as directory:
                return open_books.enter_context(directory.open_book(directory.books()[0]["id"]))

        yield open_


def a_program(path: Path, script: str) -> None:
    """A program of a few lines of shell in place of one that a machine has."""
    path.unlink(missing_ok=True)
    path.write_text(f"#!/usr/bin/env bash\n{script}\n")
    path.chmod(0o755)
