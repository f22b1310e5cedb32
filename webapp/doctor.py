"""What may be wrong with an installation: clock, secret, HTTPS, worker, disk, permissions, versions, backups.

Knows the settings and the data folder; changes nothing, not even a secret that is missing.
"""

import importlib.metadata
import os
import pwd
import shutil
import sqlite3
import ssl
import stat
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from pathlib import Path
from typing import Any

from .card.card_words import count
from .config import LEAST_SECRET, SECRET_FILE, BadSetting, is_weak, settings, unknown_settings
from .fault_words import words_of
from .moments import days_between, text_of
from .store.faults import LogAway, StoreFault
from .store.looking_over import Look, look_over

LEAST_FREE_BYTES = 200_000_000
LEAST_SQLITE = (3, 37, 0)  # STRICT tables came with 3.37.0 (SQLite release log, from memory)
MOST_CLOCK_ERROR_S = 120.0
_BUILT = datetime(2025, 1, 1, tzinfo=UTC)  # a right clock shows no day before this program was written
_HOURS_A_DAY = 24
MOST_LOG_CLOCK_S = 30.0  # a clock a minute behind the latest moment ends codes for all hosts
_LOSES = (
    "what was acknowledged may be lost with the server: fsync must be on, and synchronous_commit neither off nor local"
)
_COUNTED_ALONE = "each host counts for itself: name a place that all share in CLOCKYARD_LIMITS_STORAGE, such as redis://cache.example"

_NO_SECOND_JOURNAL = (
    "CLOCKYARD_JOURNAL is not used with STORE_URL, so leave it empty: what was closed for good is noted in the log"
)


@dataclass(frozen=True)
class Finding:
    """One thing looked at: whether it is well, and the words for it."""

    what: str
    well: bool
    words: str


def examine(data: Path, url: str | None, now: datetime, environment: Mapping[str, str]) -> Iterator[Finding]:
    """Look at everything; `url` is the address phones use, asked for its worker when given."""
    yield from _versions()
    yield Finding("clock", now > _BUILT, f"{now.isoformat(timespec='seconds')}; ages of balls rest on it")
    try:
        config = settings({"DATA": data}, environment, make_secret=False)
    except (BadSetting, OSError) as error:
        yield Finding("settings", False, str(error))
        return
    except StoreFault as error:
        yield _no_log(error)
        return
    unknown = unknown_settings(environment)
    yield Finding("settings", not unknown, "; ".join(unknown) or "each one that is given is known")
    if config["STORE_URL"]:
        yield from _host(data)
        yield from _log(config, now)
    else:
        yield from _folder(data, config, text_of(now))
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


def _host(data: Path) -> Iterator[Finding]:
    if not data.is_dir():
        yield Finding("data folder", False, f"{data} is not there yet; the first start makes it")
        return
    files = [data, *sorted(data.glob("**/*"))]
    open_to_others = [path for path in files if stat.S_IMODE(path.lstat().st_mode) & 0o077 and not path.is_symlink()]
    yield Finding(
        "permissions",
        not open_to_others,
        f"others can read {len(open_to_others)} of its files, such as {open_to_others[0]}: chmod -R u=rwX,go= {data}"
        if open_to_others
        else f"{data} and its books are closed to others",
    )
    yield _owner(files)
    yield _disk(data)


def _disk(data: Path) -> Finding:
    if os.statvfs(data).f_flag & os.ST_RDONLY:
        return Finding("disk", False, f"{data} takes no writing: mount its disk for writing; the files are whole")
    free = shutil.disk_usage(data).free
    return Finding("disk", free >= LEAST_FREE_BYTES, f"{free // 1_000_000} MB free")


def _log(config: Mapping[str, Any], now: datetime) -> Iterator[Finding]:
    """What many hosts share; their files of books are copies and are made again by themselves."""
    from .store.log.looking import look_at

    try:
        look = look_at(config["STORE_URL"], now)
    except StoreFault as error:
        yield _no_log(error)
        return
    holds = "no tables yet; the first start makes them" if look.books is None else f"{look.books} books"
    yield Finding("log", True, f"PostgreSQL {look.server}, {look.size_bytes // 1_000_000} MB, {holds}")
    keeps = look.syncs and look.waits not in ("off", "local")
    waits = f"a commit waits for {look.standbys}" if look.standbys else "no commit waits for a second server"
    yield Finding("log's commits", keeps, waits if keeps else _LOSES)
    off_s = abs(look.clock_off_s)
    yield Finding(
        "log's clock", off_s < MOST_LOG_CLOCK_S, f"{off_s:.0f} s from this machine's; ends of codes rest on it"
    )
    if config["JOURNAL"]:
        yield Finding("journal", False, _NO_SECOND_JOURNAL)
    shared = not config["LIMITS_STORAGE"].startswith("memory:")
    yield Finding("limits", shared, "counted by all hosts together" if shared else _COUNTED_ALONE)


def _no_log(fault: StoreFault) -> Finding:
    away = isinstance(fault, LogAway)
    return Finding("log", False, f"it cannot be reached ({fault})" if away else f"{words_of(fault).message} ({fault})")


def _folder(data: Path, config: Mapping[str, Any], now: str) -> Iterator[Finding]:
    yield from _host(data)
    if not data.is_dir():
        return
    try:
        look = look_over(data)
    except StoreFault as error:
        yield Finding("directory", False, f"{words_of(error).message} ({error})")
        return
    bad = [f"{name}: {words_of(fault).code} ({fault})" for name, fault in look.faults]
    well = f"{count(look.books, 'book')} opened"
    yield Finding("files", not bad, f"cannot be used: {'; '.join(bad)}" if bad else well)
    yield _backup(look, now, config["BACKUP_HOURS"])
    behind = [f"{folder} lacks {lacking} entries" for folder, lacking in look.journal_lacks if lacking]
    if config["JOURNAL"] and not Path(config["JOURNAL"]).is_dir():
        behind.append(f"{config['JOURNAL']} is not there")
    yield Finding("journal", not behind, "; ".join(behind) or "what was closed is noted in every place")


def _owner(files: list[Path]) -> Finding:
    """A file of another owner than the folder's was left by a command run as somebody else: the service is shut out."""
    owner = files[0].stat().st_uid
    foreign = [path for path in files if path.stat().st_uid != owner]
    name = _user_name(owner)
    if foreign:
        return Finding("owner", False, f"{foreign[0]} is not {name}'s, as the folder is: chown -R {name}: {files[0]}")
    if os.geteuid() not in (0, owner):
        return Finding("owner", False, f"{files[0]} is {name}'s: run this as that user, as the service runs")
    return Finding("owner", True, f"everything is {name}'s")


def _backup(look: Look, now: str, most_hours: int) -> Finding:
    last = look.last_backup
    since = last.whole_at if last and last.whole_at else look.oldest_book_at
    overdue = bool(since) and days_between(since, now) * _HOURS_A_DAY > most_hours
    if last and last.problem:
        return Finding("backup", False, f"the one of {last.tried_at[:16]} failed: {last.problem}")
    if overdue:
        when = f"the last whole one was taken at {since[:16]}" if last and last.whole_at else "none was ever taken"
        return Finding("backup", False, f"overdue: {when}; every {most_hours} hours is asked for")
    return Finding("backup", True, f"the last whole one was taken at {since[:16]}" if last else "none was taken yet")


def _secret(data: Path, secret: str) -> Finding:
    if not secret:
        return Finding("secret", True, "none yet; the first start makes one")
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
        yield Finding("address", False, _why_not(url, getattr(error, "reason", error)))
        return
    secure = url.startswith("https://") or url.startswith(("http://localhost", "http://127.0.0.1"))
    yield Finding("address", secure, url if secure else f"{url} is not HTTPS: phones will keep nothing")
    yield Finding("worker", kind == "text/javascript", f"/sw.js is {kind}, so it may look after every page below /")
    if date:
        off_s = abs((parsedate_to_datetime(date) - now).total_seconds())
        yield Finding("clock of the address", off_s < MOST_CLOCK_ERROR_S, f"{off_s:.0f} s from this machine's")


def _why_not(url: str, reason: object) -> str:
    if isinstance(reason, ssl.SSLCertVerificationError):
        return (
            f"{url} answers with a certificate that this machine does not trust ({reason.verify_message}). A "
            "certificate of your own (tls internal) must be trusted by this machine as by every phone: name its "
            "root with SSL_CERT_FILE=... in front of this command; RUNBOOK.md says where it lies"
        )
    return f"{url} does not answer: {reason}"


def _user_name(number: int) -> str:
    try:
        return pwd.getpwuid(number).pw_name
    except KeyError:
        return str(number)
