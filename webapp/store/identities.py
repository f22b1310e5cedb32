"""Identities as a file keeps them: sixteen bytes, made from the text of a UUID and back.

Knows nothing of what they name. A batch and a card have thousands, for which the UUID class is slow.
"""

from functools import lru_cache


@lru_cache(maxsize=8192)  # a batch asks for each of its identities several times
def key_of(text: str) -> bytes:
    """The sixteen bytes of a UUID in its usual form."""
    return bytes.fromhex(text.replace("-", ""))


@lru_cache(maxsize=8192)  # each ball of a card names its club and its bucket
def text_of(key: bytes) -> str:
    """The UUID in its usual form."""
    text = key.hex()
    return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"
