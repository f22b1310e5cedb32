"""The phone's rules give the shared answers in a real browser: every case of every rule in one blank page.

Source of the cases: tests/vectors/, one folder a rule; tests/core/test_rule_twins.py holds Python to the same files.
"""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.vectors import Told, differs, files

from .server import Server

RUN = """async ({ rule, name, calls }) => {
  const rules = await import(`/static/any/rules/${rule}.js`);
  const called = name.split(".").reduce((found, part) => found[part], rules);
  const plain = (value) => (value instanceof Map ? Object.fromEntries(value) : value);
  const answers = [];
  for (const args of calls) {
    try {
      answers.push({ gives: plain(await called(...args)) ?? null });
    } catch (problem) {
      answers.push({ throws: problem.message });
    }
  }
  return answers;
}"""


@pytest.fixture(scope="module")
def blank(browser: Browser, server: Server) -> Iterator[Page]:
    """A page of the program's own address with nothing on it."""
    page = browser.new_page()
    page.goto(f"{server.url}/healthz")
    yield page
    page.close()


@pytest.mark.parametrize("told", files(), ids=lambda told: told.name)
def test_the_phone_gives_the_shared_answers(blank: Page, told: Told) -> None:
    calls = [case["args"] for case in told.cases]
    answers = blank.evaluate(RUN, {"rule": told.rule, "name": told.function, "calls": calls})
    for case, answer in zip(told.cases, answers, strict=True):
        wanted = {name: case[name] for name in ("gives", "throws") if name in case}
        assert differs(answer, wanted) == "", case["name"]
