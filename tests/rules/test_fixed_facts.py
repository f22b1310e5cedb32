"""The same facts and the same clock give the same answers: card, what fits, plans and exports.

Knows only the kept answers; how they are made, and when making them again is right, stands in fixed_facts/make.py.
"""

from pathlib import Path

import pytest

from .fixed_facts.answers import answers
from .fixed_facts.make import KEPT

REMAKE = (
    "if the change was meant, run: python -m tests.rules.fixed_facts.make, and say in the commit what moved and why"
)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    return dict(answers(tmp_path_factory.mktemp("fixed")))


def test_every_answer_is_kept_and_every_kept_one_is_given(made: dict[str, str]) -> None:
    assert sorted(made) == sorted(path.name for path in KEPT.iterdir()), REMAKE


@pytest.mark.parametrize("path", sorted(KEPT.iterdir()), ids=lambda path: path.name)
def test_fixed_facts_give_the_answer_they_gave(made: dict[str, str], path: Path) -> None:
    assert made[path.name].splitlines() == path.read_text().splitlines(), REMAKE
