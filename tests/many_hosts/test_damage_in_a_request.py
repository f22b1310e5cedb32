"""Damage that a page or a coach's link meets in a host's copy is mended before the answer."""

import os
from pathlib import Path

import pytest

from webapp.store.log.numbers import numbers
from webapp.store.open_directory import open_directory

from .test_log_away import a_phone


@pytest.mark.parametrize("page", ["/card", "/visits", "/api/facts", "/w/LINK"])
@pytest.mark.parametrize("kept_share", [0.2, 0.5, 0.7])
def test_whoever_reads_is_answered_from_a_new_copy(tmp_path: Path, log_url: str, page: str, kept_share: float) -> None:
    """The file is as it was when it was last looked over, so only the reading itself finds what is broken."""
    client, link, _ = a_phone(tmp_path / "host", log_url)
    address = page.replace("LINK", link)
    before = client.get(address)
    with open_directory(tmp_path / "host", store_url=log_url) as directory:
        copy = directory.book_path(directory.books()[0]["id"]).resolve()
    healed, told = numbers.healed, copy.stat()
    whole = copy.read_bytes()
    kept = int(len(whole) * kept_share)
    with copy.open("r+b") as file:
        file.seek(kept)
        file.write(b"\x5a" * (len(whole) - kept))
    os.utime(copy, ns=(told.st_atime_ns, told.st_mtime_ns))
    after = client.get(address)
    assert after.status_code == before.status_code == 200
    assert len(after.data) == pytest.approx(len(before.data), abs=200)
    assert numbers.healed in (healed, healed + 1)  # the page may not have read what is broken
    assert client.get("/api/facts").get_json()["cursor"] == 12
    assert client.get("/card").status_code == 200
    assert numbers.healed == healed + 1
