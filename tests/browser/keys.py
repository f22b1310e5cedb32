"""A player without pointer or finger: Tab, Enter, Space and arrows alone, and never a focus that cannot be seen.

Sources: WCAG 2.2, 2.1.1 keyboard, 2.4.7 focus visible, 2.4.11 focus not obscured (from memory).
"""

from playwright.sync_api import Page, expect

MOST_TABS = 90
# The thing in focus by its name, and what is wrong with how it is shown. The heading of a sheet that has just opened is
# where a reader goes on, and is nothing to press.
FOCUS = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return null;
  const told = one.getAttribute("aria-label") ?? one.labels?.[0]?.textContent ?? one.textContent;
  const name = told.trim().replace(/\\s+/g, " ");
  const isRinged = [one, one.closest("label")].filter(Boolean).some((it) => {
    const look = getComputedStyle(it);
    return look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2;
  });
  const { left, right, top, bottom } = one.getBoundingClientRect();
  const isInside = right > 0 && left < innerWidth && bottom > 0 && top < innerHeight;
  const middle = document.elementFromPoint(
    (Math.max(left, 0) + Math.min(right, innerWidth)) / 2, (Math.max(top, 0) + Math.min(bottom, innerHeight)) / 2);
  const isBare = middle && (one.contains(middle) || middle.contains(one) || one.closest("label")?.contains(middle));
  const isHeading = one.tabIndex < 0;
  return [name, !isRinged && !isHeading ? "has no ring" : !isInside ? "is out of sight" : !isBare ? "is covered" : ""];
}"""


class Keys:
    """The keyboard of one page."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def focus(self) -> str:
        """The name of the focused element; AssertionError where its focus does not show."""
        name = self._reached()
        assert name is not None, f"{self.page.url}: nothing is in focus"
        return name

    def round(self) -> list[str]:
        """Tab once through the page: the names of all that can be reached."""
        names = []
        self.page.keyboard.press("Tab")
        while (name := self._reached()) is not None:
            names.append(name)
            assert len(names) <= MOST_TABS, names
            self.page.keyboard.press("Tab")
        return names

    def to(self, name: str, key: str = "Tab") -> None:
        """Press Tab until something whose name begins so is in focus; beyond the last comes the first again."""
        passed: list[str] = []
        for _ in range(MOST_TABS):
            self.page.keyboard.press(key)
            if (reached := self._reached()) is None:
                continue
            passed.append(reached)
            if reached.startswith(name):
                return
        raise AssertionError(f"{self.page.url}: no {key} leads to “{name}”, only to {passed}")

    def press(self, *keys: str) -> None:
        """Press these keys on what is in focus."""
        for key in keys:
            self.page.keyboard.press(key)

    def follow(self, name: str, path: str) -> None:
        """Tab to a link or button and press Enter, which leads to another page, and wait for that page's script."""
        self.to(name)
        self.press("Enter")
        self.page.wait_for_url(f"**{path}")
        expect(self.page.locator("body.scripted")).to_be_attached()

    def _reached(self) -> str | None:
        """The name of what is in focus, if anything is; AssertionError where its focus does not show."""
        name, wrong = self.page.evaluate(FOCUS) or (None, "")
        assert not wrong, f"{self.page.url}: “{name}” {wrong}"
        return name
