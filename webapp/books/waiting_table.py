"""The steps of a table that a player is bringing in: looked through, shown as it would be, taken, taken back.

Knows books and the waiting table's files; a page does short steps itself and has working.py do long ones.
"""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from ..card.card_words import count
from ..files.columns import NEEDED
from ..store.book import Book, NotWhole, TooLarge
from ..store.jobs import BACK, LOOK, PREVIEW, TAKE, Job
from ..store.waiting_tables import WaitingTables
from ..tables.chosen import Chosen
from ..tables.kept_lines import keep, kept
from ..tables.lines import lines_of, sheets_of
from ..tables.looking import Column, Look, look_through
from ..tables.no_table import NoTable
from .reporting import Tell
from .take_back import take_back
from .take_file import NotTaken, came_words
from .take_table import made_of, take_made

_SHOWN_REASONS = 100
_OTHER = "What the table means was changed since it was looked over, so nothing was taken. Look it over again."
_GONE = "The table is no longer here: one that nobody goes on with is kept for a day. Bring it once more."
_OWN = (
    "These are this program\u2019s own headings: bring the file back under \u201cBring it back\u201d on Your data, "
    "where no ball that is here is doubled."
)

ANSWERS = ("others", "leave_noted")  # what is said of balls that look like the book's (take_table.py)


def step(data: Path, book: Book, job: Job, now: str, tell: Tell = lambda share: None) -> str:
    """Do the step that a job names; gives what is said of it. NotTaken where nothing was done, with the reasons."""
    waiting = WaitingTables(data)
    if job.what == BACK:
        n = take_back(book, job.table_id, now, tell)
        return f"{count(n, 'ball')} {'was' if n == 1 else 'were'} taken back. The table can be brought in again."
    if not (told := waiting.told(book.id)):
        raise NotTaken([_GONE])
    try:
        if job.what == LOOK:
            return _look(waiting, book.id, told)
        if job.what == TAKE and not told.get("preview"):
            raise NotTaken([_OTHER])
        lines, said = kept(waiting.lines(book.id)), {word: told.get(word, False) for word in ANSWERS}
        ahead_min = told.get("ahead_min", 0)
        made = made_of(book, lines, look_of(told), chosen_of(told), name_of(told), tell, **said, ahead_min=ahead_min)
        if job.what == PREVIEW:
            waiting.note(book.id, preview=made.plain(_SHOWN_REASONS))
            return "The table was looked over."
        take_made(book, made, now, job.most_bytes, tell)
    except NoTable as error:
        waiting.remove(book.id)
        raise NotTaken([f"Nothing was taken from {told['name']}: {error}."]) from error
    except NotWhole as error:
        raise NotTaken([one["message"] for one in error.refused]) from error
    except TooLarge as error:
        most_mb = job.most_bytes // 1_000_000
        words = f"With this table the book would hold more than the {most_mb} MB that one may hold here."
        raise NotTaken([words]) from error
    waiting.remove(book.id)
    words, n_left = came_words(count(made.n_new, "ball"), made.n_known), len(made.left)
    return f"{words}, {count(n_left, 'row')} {'was' if n_left == 1 else 'were'} left out." if n_left else f"{words}."


def look_of(told: dict[str, Any]) -> Look:
    """The look of a waiting table, as it was kept."""
    plain = told["look"]
    columns = [Column(**{**one, "orders": tuple(one["orders"])}) for one in plain["columns"]]
    lines = {name: [(number, cells) for number, cells in plain[name]] for name in ("first", "top")}
    return Look(**{**plain, "columns": columns, **lines})


def chosen_of(told: dict[str, Any]) -> Chosen:
    """What was chosen for a waiting table, as it was kept."""
    return Chosen(**told["chosen"])


def name_of(told: dict[str, Any]) -> str:
    """What a waiting table is called: its file, and of a workbook with more than one sheet the sheet that was read."""
    return f"{told['name']}, {told['sheet']}" if len(told.get("sheets", [])) > 1 else told["name"]


def _look(waiting: WaitingTables, book_id: str, told: dict[str, Any]) -> str:
    raw, lines = waiting.raw(book_id), waiting.lines(book_id)
    sheets = told.get("sheets", []) if lines.exists() else sheets_of(raw)
    came = kept(lines) if lines.exists() else keep(lines_of(raw, told.get("sheet", "")), lines)
    look = look_through(came, told.get("heading_line", 0))
    if {"id", *NEEDED} <= {column.heading.casefold() for column in look.columns}:
        waiting.remove(book_id)
        raise NotTaken([_OWN])
    if len(sheets) < 2:
        raw.unlink(missing_ok=True)  # of a workbook with more, another sheet can still be asked for
    sheet = told.get("sheet") or next(iter(sheets), "")
    waiting.note(
        book_id,
        sheets=sheets,
        sheet=sheet,
        look=asdict(look),
        chosen=None,
        preview=None,
        **dict.fromkeys(ANSWERS, False),
    )
    return "The table was looked through."
