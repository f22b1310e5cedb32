"""What of a script travels to the phone: the program without the comments and indents that are for its readers.

Knows no page and no script by name; every line that is left stays a line, so that faults still name a place.
"""

import re

_COMMENTS = re.compile(r"^\s*(?://[^\n]*|/\*\*.*?\*/)$", re.MULTILINE | re.DOTALL)
_INDENTS = re.compile(r"^[ \t]+", re.MULTILINE)


def served(script: str) -> str:
    """A script without comments that fill whole lines, and without indents; those lines stay, empty.

    Only safe for scripts without text over several lines (template literals); a test holds the scripts to that.
    """
    bare = _COMMENTS.sub(lambda comment: "\n" * comment[0].count("\n"), script)
    return _INDENTS.sub("", bare)
