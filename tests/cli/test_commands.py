"""The other commands: full, card, demo, books, backup, restore-check, doctor."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from webapp.config import kept_secret
from webapp.store.directory import Directory
from webapp.units import YARD_M, whole

from .conftest import Command

Cells = Callable[..., dict[tuple[str, float], Any]]

DEMO_CARD_YD = {"46": (55, 80, 96, 112), "51": (49, 71, 85, 99), "56": (42, 61, 73, 85), "60": (35, 52, 62, 72)}
SWINGS_DEG = (45.0, 90.0, 135.0, 180.0)
DEMO_TRUST = {
    ("46", 45.0): "guess",
    ("60", 135.0): "guess",
    ("51", 135.0): "old",
    ("46", 135.0): "early",
    ("60", 180.0): "early",
}


def test_the_demo_books_card_is_the_demo_card(clockyard: Command, cells: Cells) -> None:
    assert clockyard("demo").exit_code == 0
    for club, carries_yd in DEMO_CARD_YD.items():
        for swing_deg, carry_yd in zip(SWINGS_DEG, carries_yd, strict=True):
            cell = cells("--book", "demo")[club, swing_deg]
            assert abs(whole(cell["typical_carry_m"], "yd") - carry_yd) <= 1, (club, swing_deg)
            assert cell["trust"] == DEMO_TRUST.get((club, swing_deg), "settled"), (club, swing_deg)


def test_loading_the_demo_twice_leaves_one(clockyard: Command) -> None:
    assert clockyard("demo").stdout == clockyard("demo").stdout
    assert clockyard("books").stdout.count("\n") == 1
    assert clockyard("books").stdout.startswith("demo\t")


def test_the_demo_is_never_old(clockyard: Command) -> None:
    from datetime import UTC, datetime

    from webapp.books.demo import demo_facts
    from webapp.moments import days_between, text_of

    clockyard("demo")
    for now in ("2025-05-01T09:30:00.000Z", text_of(datetime(2031, 2, 28, 23, 59, tzinfo=UTC))):
        shots = [fact for fact in demo_facts(now) if fact["kind"] == "shot"]
        assert 2 < days_between(max(shot["made_at"] for shot in shots), now) < 5


def test_a_stated_full_carry_is_told_and_fills_the_shorter_swings(clockyard: Command, cells: Cells) -> None:
    # 56 full 85 gives about 42, 60 and 71 (common practice, no source).
    done = clockyard("full", "--club", "56", "--carry", 85, "--unit", "yd", "--book", "mine")
    assert (done.exit_code, done.stdout) == (0, "Noted: 56 full carries 85 yd.\n")
    shown = {swing_deg: cells()["56", swing_deg] for swing_deg in SWINGS_DEG}
    assert shown[180.0]["typical_carry_m"] == pytest.approx(85 * YARD_M, abs=1e-9)
    assert [shown[swing_deg]["trust"] for swing_deg in SWINGS_DEG] == ["guess", "guess", "guess", "told"]
    for swing_deg, carry_yd in zip(SWINGS_DEG, (42, 60, 71), strict=False):
        assert abs(whole(shown[swing_deg]["typical_carry_m"], "yd") - carry_yd) <= 2


def test_a_full_carry_said_again_replaces_the_old_one(clockyard: Command, cells: Cells) -> None:
    for carry in (85, 80, 80):
        clockyard("full", "--club", "56", "--carry", carry, "--unit", "yd")
    assert cells()["56", 180.0]["typical_carry_m"] == pytest.approx(80 * YARD_M, abs=1e-9)


@pytest.mark.parametrize(
    ("club", "carry", "words"),
    [("56", 401, "0 to 400 yd"), ("56", -1, "0 to 400 yd"), ("56", "nan", "0 to 400 yd"), ("lob", 60, "no wedge")],
)
def test_a_full_carry_that_cannot_be_is_refused_in_words(clockyard: Command, club: str, carry: Any, words: str) -> None:
    done = clockyard("full", "--club", club, f"--carry={carry}", "--unit", "yd")
    assert done.exit_code == 1
    assert words in done.stderr


def test_gaps_of_the_full_swings_are_in_the_card(clockyard: Command) -> None:
    # F2 of the worked examples: gaps 13, 14, 13; with the 56 at 80: 13, 19, 8.
    for club, carry in (("46", 112), ("51", 99), ("56", 80), ("60", 72)):
        clockyard("full", "--club", club, "--carry", carry, "--unit", "yd", "--book", "mine")
    card = json.loads(clockyard("card", "--json").stdout)
    gaps = [(gap["from"], gap["to"], round(gap["gap_m"] / YARD_M, 6)) for gap in card["full_gaps"]]
    assert gaps == [("46", "51", 13), ("51", "56", 19), ("56", "60", 8)]
    assert [gap["warn"] for gap in card["full_gaps"]] == [False, True, False]
    assert set(card) >= {"as_of", "ball", "cells", "mishit_rate", "full_gaps", "uncovered_m", "twins"}


def test_a_card_can_be_read_as_lines(clockyard: Command) -> None:
    clockyard("full", "--club", "56", "--carry", 85, "--unit", "yd")
    lines = clockyard("card").stdout.splitlines()
    assert lines[-1].split() == ["56", "full", "85", "told", "n", "0", "visits", "0"]


def test_it_says_which_book_it_cannot_find(clockyard: Command) -> None:
    assert "no book yet" in clockyard("card").stderr
    clockyard("full", "--club", "56", "--carry", 85, "--book", "one")
    assert "'other'" in clockyard("card", "--book", "other").stderr
    clockyard("full", "--club", "56", "--carry", 85, "--book", "../two")
    assert "say which one" in clockyard("card").stderr


def test_a_bad_moment_is_refused_in_words(clockyard: Command) -> None:
    assert "ISO 8601" in clockyard("card", "--at", "soon").stderr


def test_a_backup_can_be_checked_and_served_again(clockyard: Command, tmp_path: Path) -> None:
    clockyard("demo")
    assert clockyard("backup", tmp_path / "copy").exit_code == 0
    done = clockyard("restore-check", tmp_path / "copy")
    assert done.exit_code == 0
    assert "293 facts" in done.stdout
    with Directory(tmp_path / "copy") as directory:
        assert directory.book_of_alias("demo")


def test_a_backup_into_a_used_folder_and_a_broken_one_are_said(clockyard: Command, tmp_path: Path) -> None:
    clockyard("demo")
    clockyard("backup", tmp_path / "copy")
    assert clockyard("backup", tmp_path / "copy").exit_code == 1
    book = next((tmp_path / "copy" / "books").iterdir())
    book.write_bytes(b"SQLite format 3\x00" + b"\xff" * 9000)
    done = clockyard("restore-check", tmp_path / "copy")
    assert done.exit_code == 1
    assert "FAILED" in done.stdout


@pytest.mark.files_only
def test_a_damaged_book_is_listed_as_such_and_hides_no_other(clockyard: Command, data: Path) -> None:
    clockyard("demo")
    clockyard("full", "--club", "56", "--carry", 85, "--book", "mine")
    with Directory(data) as directory:
        mine = directory.book_of_alias("mine")
        assert mine
        path = directory.book_path(mine)
    for ending in ("-wal", "-shm"):
        Path(f"{path}{ending}").unlink(missing_ok=True)
    path.write_bytes(b"no database " * 1000)
    listed = clockyard("books").stdout
    assert "272 balls" in listed
    assert "damaged" in listed
    assert clockyard("card", "--book", "mine").exit_code == 1


@pytest.mark.files_only
def test_the_doctor_finds_a_weak_secret_open_files_and_damage(
    clockyard: Command, data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clockyard("demo")
    well = clockyard("doctor")
    assert well.exit_code == 0, well.stdout
    assert "BAD" not in well.stdout
    monkeypatch.setenv("CLOCKYARD_SECRET", "golf")
    assert "BAD  secret" in clockyard("doctor").stdout
    monkeypatch.delenv("CLOCKYARD_SECRET")
    kept_secret(data)
    (data / "secret").chmod(0o644)
    assert "BAD  secret" in clockyard("doctor").stdout
    (data / "secret").chmod(0o600)
    (data / "books" / "x.sqlite").write_bytes(b"junk" * 999)
    done = clockyard("doctor")
    assert "x.sqlite" in done.stdout
    assert done.exit_code == 1


@pytest.mark.files_only
@pytest.mark.parametrize("made", [False, True])
def test_a_backup_of_a_folder_without_books_is_refused_and_makes_nothing(
    clockyard: Command, data: Path, tmp_path: Path, made: bool
) -> None:
    if made:
        data.mkdir()
    done = clockyard("backup", tmp_path / "copy")
    assert done.exit_code == 1
    assert "Nothing was done: there is no book yet" in done.stderr
    assert not (tmp_path / "copy").exists()
    assert data.exists() == made
    assert not (data / "directory.sqlite").exists()


REFUSED_FILES = {
    "other headings": "day,number\n2025-05-01,3\n",
    "no row that can be read": "made_at,club,swing,carry\nsome day,56,9:00,54\n",
}


@pytest.mark.parametrize("command", ["import", "eye-check"])
@pytest.mark.parametrize("content", REFUSED_FILES.values(), ids=REFUSED_FILES)
def test_a_refused_file_leaves_no_book_behind(
    clockyard: Command, a_file: Callable[[str], Path], command: str, content: str
) -> None:
    clockyard("demo")
    assert clockyard(command, a_file(content), "--book", "new").exit_code == 1
    assert clockyard("card").exit_code == 0, "there is more than the one book"
    assert clockyard("full", "--club", 56, "--carry", 85, "--book", "new").exit_code == 0  # the name is free again


def test_a_refused_full_carry_and_a_table_of_unknown_wedges_leave_no_book_behind(
    clockyard: Command, a_file: Callable[[str], Path]
) -> None:
    clockyard("demo")
    assert clockyard("full", "--club", 999, "--carry", 100, "--book", "new").exit_code == 1
    table = a_file("Flight,Stick\n54,the red one\n")
    columns = ("--columns", "carry=Flight,club=Stick", "--unit", "m")
    assert clockyard("import", table, *columns, "--book", "new").exit_code == 1
    assert clockyard("card").exit_code == 0, "there is more than the one book"


def test_a_refused_command_leaves_a_book_that_was_there_already(clockyard: Command) -> None:
    assert clockyard("full", "--club", 56, "--carry", 85, "--book", "mine").exit_code == 0
    assert clockyard("full", "--club", 999, "--carry", 85, "--book", "mine").exit_code == 1
    assert clockyard("books").stdout.startswith("mine\t")
