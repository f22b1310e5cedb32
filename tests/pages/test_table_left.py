"""What the preview of a table says of rows left out, also one that was looked over by the program before this one."""

from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from webapp.store.book import Book
from webapp.store.waiting_tables import WaitingTables

from .test_table import TABLE, to_preview
from .visitor import page_of, words


def kept_before(data: Path, book: Book, **said: Any) -> None:
    """Have the preview that waits as another version kept it: without reasons, but with what that one said."""
    waiting = WaitingTables(data)
    preview = waiting.told(book.id)["preview"]
    assert preview.pop("reasons")
    waiting.note(book.id, preview={**preview, **said})


@pytest.mark.parametrize("said", [{}, {"left": [[7, "wedge 'Driver' was to be left out"]]}])
def test_rows_left_out_are_told_where_no_reasons_were_kept(
    player: FlaskClient, data: Path, book: Book, bag: dict[str, str], said: dict[str, Any]
) -> None:
    to_preview(player, bag)
    kept_before(data, book, **said)
    page = words(page_of(player, "/table/preview"))
    assert "3 rows are left out" in page
    assert "Left out 3 rows. To read why, send its words again." in page


def test_no_list_of_rows_is_shown_where_none_is_left_out(player: FlaskClient, bag: dict[str, str]) -> None:
    page = words(to_preview(player, bag, b"".join(TABLE.splitlines(keepends=True)[:6])))
    assert "0 rows are left out" in page
    assert "Left out" not in page
