"""What may be wrong with an installation: clock, secret, HTTPS, worker, disk, permissions, versions.

Knows the settings and the data folder; changes nothing.
"""

import importlib.metadata
import shutil
import sqlite3
import ssl
import stat
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from pathlib import Path

from .config import LEAST_SECRET, SECRET_FILE, BadSetting, is_weak, settings

LEAST_FREE_BYTES = 200_000_000
LEAST_SQLITE = (3, 37, 0)  # STRICT tables came with 3.37.0 (SQLite release log, from memory)
MOST_CLOCK_ERROR_S = 120.0
_BUILT = datetime(2025, 1, 1, tzinfo=UTC)  # no right clock shows an earlier day than this program


@dataclass(frozen=True)
class Finding:
    """One thing looked at: whether it is well, and the words for it."""

    what: str
    well: bool
    words: str


def examine(data: Path, url: str | None, now: datetime) -> Iterator[Finding]:
    """Look at everything; `url` is the address phones use, asked for its worker when given."""
    yield from _versions()
    yield _clock(now)
    yield from _folder(data)
    try:
        config = settings({"DATA": data})
    except (BadSetting, OSError) as error:
        yield Finding("settings", False, str(error))
        return
    yield _secret(data, config["SECRET"])
    yield _https(bool(config["HTTPS"]), bool(config["BEHIND_PROXY"]))
    if url:
        yield from _from_outside(url.rstrip("/") + "/", now)


def _versions() -> Iterator[Finding]:
    python = sys.version_info[:3]
    yield Finding("Python", python >= (3, 11), ".".join(map(str, python)) + " (3.11 or later is needed)")
    yield Finding(
        "SQLite", sqlite3.sqlite_version_info >= LEAST_SQLITE, f"{sqlite3.sqlite_version} (3.37 or later is needed)"
    )
    names = ("clockyard", "flask", "waitress", "sqlite-utils", "numpy")
    yield Finding("packages", True, ", ".join(f"{name} {importlib.metadata.version(name)}" for name in names))


def _clock(now: datetime) -> Finding:
    return Finding("clock", now > _BUILT, f"{now.isoformat(timespec='seconds')}; ages of balls rest on it")


def _folder(data: Path) -> Iterator[Finding]:
    if not data.is_dir():
        yield Finding("data folder", False, f"{data} is not there yet; the first start makes it")
        return
    mode = stat.S_IMODE(data.stat().st_mode)
    yield Finding("data folder", not mode & stat.S_IWOTH, f"{data}, mode {mode:o}; others must not write in it")
    free = shutil.disk_usage(data).free
    yield Finding("disk", free >= LEAST_FREE_BYTES, f"{free // 1_000_000} MB free")
    damaged = [path.name for path in sorted(data.glob("**/*.sqlite")) if not _opens(path)]
    yield Finding("files", not damaged, f"cannot be read: {', '.join(damaged)}" if damaged else "every book opens")


def _opens(path: Path) -> bool:
    from .store.connect import DamagedFile, connect

    try:
        connect(path, read_only=True).close()
    except (DamagedFile, sqlite3.Error):
        return False
    return True


def _secret(data: Path, secret: str) -> Finding:
    if is_weak(secret):
        return Finding(
            "secret", False, f"too short or too plain; at least {LEAST_SECRET} characters, best made at random"
        )
    kept = data / SECRET_FILE
    mode = stat.S_IMODE(kept.stat().st_mode) if kept.exists() else 0o600
    return Finding("secret", not mode & 0o077, "strong" if not mode & 0o077 else f"others may read {kept}: chmod 600")


def _https(https: bool, behind_proxy: bool) -> Finding:
    if https and not behind_proxy:
        return Finding(
            "HTTPS", False, "CLOCKYARD_HTTPS=1 needs the proxy that does it: set CLOCKYARD_BEHIND_PROXY=1 too"
        )
    words = "expected from the proxy in front" if https else "off: well for this machine alone, not for phones"
    return Finding("HTTPS", True, words)


def _from_outside(url: str, now: datetime) -> Iterator[Finding]:
    if not url.startswith(("http://", "https://")):
        yield Finding("address", False, f"{url} is no http or https address")
        return
    try:
        with urllib.request.urlopen(url + "sw.js", timeout=10) as answer:
            kind, date = answer.headers.get_content_type(), answer.headers.get("Date")
    except (urllib.error.URLError, OSError) as error:
        trust = isinstance(getattr(error, "reason", None), ssl.SSLError)
        yield Finding("address", False, f"{url} {'is not trusted' if trust else 'does not answer'}: {error}")
        return
    secure = url.startswith("https://") or url.startswith(("http://localhost", "http://127.0.0.1"))
    yield Finding("address", secure, url if secure else f"{url} is not HTTPS: phones will keep nothing")
    yield Finding("worker", kind == "text/javascript", f"/sw.js is {kind}, so it may look after every page below /")
    if date:
        off_s = abs((parsedate_to_datetime(date) - now).total_seconds())
        yield Finding("clock of the address", off_s < MOST_CLOCK_ERROR_S, f"{off_s:.0f} s from this machine's")
