"""Why a file is no table that balls could be read from.

Knows nothing else.
"""


class NoTable(ValueError):
    """A file of which nothing is taken; the text says why, to stand after "Nothing was taken:"."""
