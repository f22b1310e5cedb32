"""Calls of the phone's rules in a blank page of a real browser; conftest.py opens the page."""

from typing import Any

from playwright.sync_api import Page

_RUN = """async ({ rule, name, calls }) => {
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


def answers_of(blank: Page, rule: str, function: str, calls: list[list[Any]]) -> list[dict[str, Any]]:
    """What a function of a rule gives, or throws, for each list of arguments."""
    answers: list[dict[str, Any]] = blank.evaluate(_RUN, {"rule": rule, "name": function, "calls": calls})
    return answers
