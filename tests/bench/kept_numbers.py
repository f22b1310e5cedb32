"""What keeping a book's numbers saves: `python -m tests.bench.kept_numbers` prints processor time as a ratio.

A phone that noted a ball fetches every page it keeps; the pages of the demo book are asked for after one more ball,
with numbers kept and, in turns, with none kept. Beside it stands what a full process holds.
"""

import pickle
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import Any

from tests.factories import a_bucket, a_shot
from webapp import create_app
from webapp.books import read_card
from webapp.books.demo import demo_facts
from webapp.kept import Kept
from webapp.moments import moment_of, moved
from webapp.pages.shell import KEPT
from webapp.store import reading
from webapp.store.directory import Directory

NOW = "2025-05-01T09:30:00.000Z"
ROUNDS = 9


def main() -> None:
    """Print the ratio, the estimates each way took, and the size of one."""
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder)
        app = create_app(
            {"DATA": data, "SECRET": "a secret for benches only, 0123456789abcdef", "RATELIMIT_ENABLED": False}
        )
        with Directory(data) as directory:
            book_id = directory.new_book(NOW)
            client = app.test_client()
            client.set_cookie("book", directory.new_device(book_id, "phone", NOW))
            with directory.open_book(book_id) as book:
                book.add(demo_facts(NOW), None, NOW)
                club, bucket = reading.clubs(book)[0].id, a_bucket(NOW)
                book.add([bucket], None, NOW)
                app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
                times: dict[str, list[float]] = {"kept": [], "none": []}
                made = dict.fromkeys(times, 0)
                for at in range(2 * ROUNDS + 2):  # the first of each warms up
                    way = ("kept", "none")[at % 2]
                    read_card.estimates = Kept(32 if way == "kept" else 0)
                    book.add([a_shot(bucket, club, 70, moved(NOW, seconds=at))], None, NOW)
                    times[way].append(_fetch_all(client))
                    made[way] = read_card.estimates.made
                size = len(pickle.dumps(read_card.estimate_of(book, NOW)))
    kept, none = (median(values[1:]) for values in times.values())
    print(f"every kept page after a ball, numbers kept / none kept, processor time: {kept / none:.2f}")
    print(f"estimates made: {made['kept']} and {made['none']}; {1000 * kept:.0f} and {1000 * none:.0f} ms here")
    print(f"bytes of one estimate of the demo book: {size:,}")


def _fetch_all(client: Any) -> float:
    begun = time.process_time()
    for path in KEPT:
        assert client.get(path).status_code == 200
    return time.process_time() - begun


if __name__ == "__main__":
    main()
