"""Why a file is no table that balls could be read from.

Knows nothing else.
"""


class NoTable(ValueError):
    """A file of which nothing is taken; the text says why, to stand after "Nothing was taken:"."""


class BrokenLine(NoTable):
    """A line that cannot be read as a row, and with it whatever follows."""

    def __init__(self, line: int, reason: str) -> None:
        super().__init__(f"line {line} {reason}")
        self.line, self.reason = line, reason
