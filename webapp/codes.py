"""Codes that open a book on another phone: made, written in groups, read as people type them.

Knows nothing of who may use them.
"""

import secrets
from base64 import b32encode

LENGTH = 26  # base32 characters (RFC 4648): 130 bits
CLINIC_LENGTH = 10  # 50 bits: typed by many, good for starting books alone, for hours, and wrong tries are slowed down
GROUP = 5
# Digits that base32 does not use, for the letters they resemble.
_MISREAD = str.maketrans({"0": "O", "1": "I", "8": "B"})


def new_code(length: int = LENGTH) -> str:
    """A new code of 26 base32 characters, or of fewer."""
    return b32encode(secrets.token_bytes(17)).decode()[:length]


def in_groups(code: str) -> str:
    """The code as it is printed: groups of five, so that an eye keeps its place."""
    return " ".join(code[at : at + GROUP] for at in range(0, len(code), GROUP))


def as_typed(text: str) -> str:
    """The code meant by what somebody typed: case, spaces, dashes and the usual misreadings do not matter.

    The whole address that a code's picture holds does too: the code stands behind its "#".
    """
    return "".join(sign for sign in text.rpartition("#")[2].upper().translate(_MISREAD) if sign.isalnum())
