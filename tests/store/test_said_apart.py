"""Whatever two phones and the pages say of one bucket in whatever order they hear of it, each last word holds.

Source: the project's design, what two phones say of one thing is never lost; every history is invented.
"""

from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

from hypothesis import given
from hypothesis import strategies as st

from tests.factories import NOW, Raw, a_bucket, corrected
from webapp.books import make_facts
from webapp.books.both_said import both_said
from webapp.facts import Fact, latest
from webapp.moments import moved
from webapp.store.book import Book

# Two phones say things without signal, a page says them to the book at once; a phone that syncs hears of all.
EVENTS = st.lists(
    st.tuples(
        st.sampled_from(["first phone", "second phone", "page", "first syncs", "second syncs", "first is cut short"]),
        st.sampled_from(["place", "aside_reason", "warm_up_balls", "plan"]),
    ),
    max_size=14,
)
WORDS = {"place": "Field {}", "aside_reason": "reason {}"}


@dataclass
class Phone:
    """What a phone has heard of one bucket, what it has not sent yet, and of which version it made each change."""

    device: bytes
    facts: list[Raw]
    unsent: list[Raw] = field(default_factory=list)
    made_of: dict[str, str] = field(default_factory=dict)

    def say(self, bucket: Raw, now: str, said: dict[str, Any]) -> None:
        """Change what it shows of the bucket."""
        shown = latest(map(Fact.of, [*self.facts, *self.unsent]))
        assert shown
        change = corrected({**bucket, "body": shown.body}, now, **said)
        self.made_of[change["id"]] = shown.made_at
        self.unsent.append(change)

    def sync(self, book: Book, bucket: Raw, now: str, hears: bool) -> None:
        """Send what is due; unless the exchange breaks off, hear of all that the book holds."""
        batch = self.unsent
        book.add(batch, self.device, now, then=lambda: both_said(book, batch, self.made_of, self.device, now))
        self.facts, self.unsent = book.history(bucket["root"]) if hears else [*self.facts, *batch], []


@given(EVENTS)
def test_the_last_word_on_each_field_holds(tmp_path_factory: Any, events: list[tuple[str, str]]) -> None:
    with Book(tmp_path_factory.mktemp("book") / f"{uuid4()}.sqlite") as book:
        bucket = a_bucket()
        book.add([bucket], None, NOW)
        phones = {name: Phone(name.encode() * 16, [bucket]) for name in ("first", "second")}
        last: dict[str, Any] = {}
        for minute, (who, name) in enumerate(events, 1):
            now, said = moved(NOW, minutes=minute), _new(name, minute)
            phone = phones.get(who.split()[0])
            if phone and not who.endswith("phone"):
                phone.sync(book, bucket, now, hears=who.endswith("syncs"))
                continue
            last |= said
            if phone:
                phone.say(bucket, now, said)
            else:
                book.add([make_facts.changed(book, "bucket", bucket["root"], now, **said)], None, now)
        for minute, phone in enumerate([*phones.values(), *phones.values()], len(events) + 1):
            phone.sync(book, bucket, moved(NOW, minutes=minute), hears=True)
        shown = latest(map(Fact.of, book.history(bucket["root"])))
        assert shown
        assert shown.filled() == Fact.of(bucket).filled() | last


def _new(name: str, minute: int) -> dict[str, Any]:
    """A value that a field never had before."""
    if name == "plan":
        return {name: [f"call {minute}"]}
    return {name: WORDS[name].format(minute) if name in WORDS else minute}
