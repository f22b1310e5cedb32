"""One small fault: a piece of text in one file and what takes its place.

Knows nothing of the tests beyond their names.
"""

from typing import NamedTuple


class Fault(NamedTuple):
    """`before` stands once in `file` and becomes `after`; one of `tests` has to fail then.

    `survives` says why no test can notice it, for the few where that is so.
    """

    file: str
    name: str
    before: str
    after: str
    tests: tuple[str, ...]
    survives: str = ""

    def planted(self, whole: str) -> str:
        """The file's text with the fault in it."""
        return whole.replace(self.before, self.after, 1)
