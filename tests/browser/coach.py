"""What a coach does with a link, in the coach's words, in a browser that never saw the app.

Finds things by role and label; knows no cookie of the player's.
"""

from playwright.sync_api import BrowserContext, Response


class Coach:
    """One reader of one link; `seen` holds every answer the network gave."""

    def __init__(self, context: BrowserContext) -> None:
        self.context, self.page, self.seen = context, context.new_page(), list[Response]()
        self.page.on("response", lambda answer: self.seen.append(answer))

    def open(self, link: str) -> int:
        """Go to the link; the status of its answer."""
        answer = self.page.goto(link)
        assert answer
        return answer.status

    def open_again(self) -> int:
        """Load the page once more; the status of its answer."""
        answer = self.page.reload()
        assert answer
        return answer.status

    def controls(self) -> int:
        """How many things on the page could send something.

        The choice of a view is not one: it stands in no form, and the page has no script.
        """
        return self.page.locator("form, input:not([name=view]), textarea, select, main button, script").count()
