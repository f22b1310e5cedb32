"""How a page is looked at for what must not be in it: foreign elements, inline code, other hosts.

Knows HTML and no page.
"""

from dataclasses import dataclass, field
from html.parser import HTMLParser

_ADDRESSES = ("src", "href", "action", "formaction", "srcset", "poster", "data", "xlink:href")


@dataclass
class Looked(HTMLParser):
    """What was found: every attribute name, inline code and style, and addresses on other hosts."""

    attributes: set[str] = field(default_factory=set)
    tags: set[str] = field(default_factory=set)
    inline: list[str] = field(default_factory=list)
    elsewhere: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin with nothing."""
        super().__init__()
        self._script = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Look at one element."""
        told = dict(attrs)
        self.tags.add(tag)
        self.attributes |= set(told)
        self.inline += [f"{tag} {name}" for name in told if name == "style" or name.startswith("on")]
        if tag == "style" or (tag == "script" and "src" not in told and told.get("type") != "application/json"):
            self.inline.append(tag)
        for name in _ADDRESSES:
            value = (told.get(name) or "").strip().lower()
            if value.startswith(("http:", "https:", "//", "javascript:", "data:")) and "localhost" not in value:
                self.elsewhere.append(value)


def looked_at(page: str) -> Looked:
    """What is in a page."""
    seen = Looked()
    seen.feed(page)
    seen.close()
    return seen
