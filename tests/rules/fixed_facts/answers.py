"""What the program answers to fixed facts under a fixed clock: card, what fits, plans and exports, each as one text.

Knows the two books of books.py and no kept answer. A figure is written with nine digits, because the last ones depend
on the machine's algebra library; a text over 20 kB is answered by its digest.
"""

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from tests.conftest import SECRET
from webapp import create_app
from webapp.books.choose_shot import choosing
from webapp.books.plan_practice import Planner
from webapp.cli import main
from webapp.fits import fitting, fitting_words
from webapp.moments import moment_of
from webapp.practice.plans import Plan
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.store.reading import settings
from webapp.units import to_m

from .books import BOOKS, NOW

DIGITS, LONGEST_TEXT = 9, 20_000
CARRIES = (18, 50, 66, 97, 300)
SIZES = (5, 20, 40, 60, 100)


def answers(folder: Path) -> Iterator[tuple[str, str]]:
    """Every answer by the name of its file; `folder` is an empty one to work in."""
    for name, facts in BOOKS.items():
        with Directory(folder / name) as directory:
            book_id = directory.new_book(NOW, name)
            with directory.open_book(book_id) as book:
                refused = book.add(facts(), None, NOW).refused
                assert not refused, refused[0]
            token = directory.new_device(book_id, "Phone", NOW)
        for kind, text in _of_book(folder, name, token, facts()):
            yield f"{name}.{kind}", text if len(text) <= LONGEST_TEXT else _digest(text)


def _of_book(folder: Path, name: str, token: str, facts: list[dict[str, Any]]) -> Iterator[tuple[str, str]]:
    data = folder / name
    for ball in ("range", "own"):
        asked = ["card", "--data", str(data), "--at", NOW, "--ball", ball]
        yield f"{ball}.card.txt", _run(asked)
        yield f"{ball}.card.json", _json(json.loads(_run([*asked, "--json"])))
    # A plan's chance hangs on the book's id, so plans and what fits come from a file with a fixed one.
    with Book(folder / "00000000-0000-4000-8000-000000000000.sqlite") as book:
        book.add(facts, None, NOW)
        yield "fits.txt", "\n\n".join(text for text, _ in _fits(book))
        yield "fits.json", _json([found for _, found in _fits(book)])
        yield "plans.txt", "\n".join(_plans(book))
    (folder / "00000000-0000-4000-8000-000000000000.sqlite").unlink()
    client = create_app({"DATA": data, "SECRET": SECRET, "NOW": lambda: moment_of(NOW)}).test_client()
    client.set_cookie("book", token)
    for file in ("shots.csv", "book.json"):
        yield file, client.get(f"/export/{file}").get_data(as_text=True).replace("\r\n", "\n")


def _fits(book: Book) -> Iterator[tuple[str, dict[str, Any]]]:
    unit, chosen = settings(book)["unit"], choosing(book, NOW)
    for carry in CARRIES:
        for must_carry in (False, True):
            flag_m = to_m(carry, unit)
            front_m = flag_m - to_m(3, unit) if must_carry else None
            asked = fitting.question(flag_m, chosen.margin, front_m=front_m, must_carry=must_carry)
            found = fitting.answer(asked, chosen.candidates)
            yield fitting_words.as_text(found, asked, flag_m, unit), fitting.plain(found)


def _plans(book: Book) -> Iterator[str]:
    planner = Planner(book, NOW, settings(book)["unit"], mirrored=False)
    wish = planner.wish(list(planner.card.hidden), ["swing", "distance"], only_mixed=True)
    stopped = planner.stopped()
    made = {f"{balls} balls": planner.bucket(balls) for balls in SIZES} | {"a wish": planner.bucket(12, wish)}
    made |= {"nine": planner.nine(), "spring": planner.spring()}
    made |= {"rest": planner.rest_as_plan(stopped.words)} if stopped else {}
    for name, plan in made.items():
        yield f"{name}\n{_plan(plan)}"


def _plan(plan: Plan) -> str:
    lines = []
    for part in plan.parts:
        lines.append(f"  {part.name}, {part.balls}: {part.why}")
        lines += [f"    {line.cell[0][-4:]} {line.cell[1]:g} x{line.balls}: {line.why}" for line in part.lines]
    return "\n".join([*lines, *(f"    {word}" for word in plan.words)])


def _run(words: list[str]) -> str:
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 0, done.output
    return done.stdout


def _json(told: Any) -> str:
    return json.dumps(_rounded(told), indent=1) + "\n"


def _rounded(told: Any) -> Any:
    if isinstance(told, float):
        return float(f"{told:.{DIGITS}g}")
    if isinstance(told, dict):
        return {name: _rounded(value) for name, value in told.items()}
    return [_rounded(value) for value in told] if isinstance(told, list | tuple) else told


def _digest(text: str) -> str:
    return f"sha256 {hashlib.sha256(text.encode()).hexdigest()} of {len(text)} characters\n"
