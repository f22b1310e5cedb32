"""The commands that make, list and end a clinic's code."""

import re
from pathlib import Path

import pytest

from webapp.store.clinics import ClinicClosed
from webapp.store.open_directory import open_directory

from .conftest import Command


def test_a_code_is_shown_once_listed_with_its_use_and_ended(clockyard: Command, data: Path, store_url: str) -> None:
    words = ("--starts", 3, "--hours", 2, "--for", "juniors", "--url", "https://range.example/")
    code = re.findall(r"/clinic#([A-Z2-7]{10})$", clockyard("clinic", *words).stdout.strip())[0]
    with open_directory(data, store_url=store_url) as directory:
        now = directory.clinics()[0].made_at
        directory.new_book(now, clinic=code)
        listed = clockyard("clinics").stdout
        number = listed.split("\t")[0]  # on a log others may have been made before it
        assert f"{number}\tjuniors\t1 of 3\tuntil " in listed
        assert code not in listed
        ended = clockyard("clinics", "--end", number).stdout
        assert f"Clinic {number} is ended. The books that were started stay." in ended
        assert clockyard("clinics", "--end", number).exit_code == 1
        with pytest.raises(ClinicClosed):
            directory.new_book(now, clinic=code)
        assert len(directory.books()) == 1


@pytest.mark.parametrize("words", [("--starts", 0), ("--starts", 501), ("--starts", 3, "--hours", 400), ()])
def test_a_code_without_bounds_is_not_made(clockyard: Command, words: tuple[object, ...]) -> None:
    assert clockyard("clinic", *words).exit_code == 2


@pytest.mark.parametrize(
    "option",
    [("--for", "Sat\x1b[2Jurday"), ("--for", "two\nlines"), ("--url", "javascript:alert(1)"), ("--url", "https://"),
     ("--url", "https://range.example/\x07")],
)  # fmt: skip
def test_what_would_be_printed_is_plain_and_an_address_is_one(
    clockyard: Command, data: Path, option: tuple[str, str]
) -> None:
    done = clockyard("clinic", "--starts", 3, *option)
    assert (done.exit_code, f"Invalid value for '{option[0]}'" in done.stderr) == (2, True), done.stderr
    assert not data.exists()
