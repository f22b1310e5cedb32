"""Every setting of a server: its name, what it means, its default and the environment variable that changes it.

Knows no page and no book; what a player sets is a fact of the player's book (facts.py).
"""

import os
import re
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

PREFIX = "CLOCKYARD_"
LEAST_SECRET = 32  # characters; 128 bits written as hexadecimal digits
SECRET_FILE = "secret"
DAY_S = 86_400
_NAME, _QUOTED, _COMMENT = re.compile("[A-Za-z_][A-Za-z0-9_]*"), re.compile(r"([\"']).*\1"), re.compile(r"\s#")


class BadSetting(ValueError):
    """A setting whose value cannot be used; the text says which and why."""


@dataclass(frozen=True)
class Setting:
    """One setting: `read` turns the text of its environment variable into a value."""

    name: str
    meaning: str
    default: Any
    read: Callable[[str], Any]
    prefix: str = PREFIX

    @property
    def variable(self) -> str:
        """The environment variable that changes it."""
        return self.prefix + self.name


def settings(
    overrides: Mapping[str, Any] | None = None,
    environment: Mapping[str, str] | None = None,
    make_secret: bool = True,
) -> dict[str, Any]:
    """Every setting by name, ready for Flask: `overrides` win over the environment, the environment over defaults.

    `environment` is os.environ unless another is given. Names that are no setting of ours are passed on to Flask.
    The secret is made and kept in the data folder when none is given, unless `make_secret` is False: then it is what
    is kept there, or empty. BadSetting for a value that cannot be read; a fault of the store where the secret lies in
    a log that cannot be used.
    """
    environment = os.environ if environment is None else environment
    values = {setting.name: _value(setting, environment) for setting in SETTINGS}
    values.update(overrides or {})
    values["DATA"] = Path(values["DATA"])
    values["SECRET"] = values["SECRET"] or _kept_secret(values, make_secret)
    https = values["HTTPS"]
    return {
        "SECRET_KEY": values["SECRET"],
        "MAX_CONTENT_LENGTH": values["MOST_BODY"],
        "RATELIMIT_STORAGE_URI": values["LIMITS_STORAGE"],
        "RATELIMIT_ENABLED": True,  # always set: the one limiter of a process keeps what the last app said
        "SESSION_COOKIE_NAME": cookie_name("session", https),
        "SESSION_COOKIE_SECURE": https,
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Lax",
        "SESSION_COOKIE_PATH": "/",
        "SESSION_REFRESH_EACH_REQUEST": False,
        "WTF_CSRF_TIME_LIMIT": None,  # a token dies with its session: a bucket may last longer than any fixed time
        "PREFERRED_URL_SCHEME": "https" if https else "http",
        **values,
    }


def store_url(environment: Mapping[str, str]) -> str:
    """The log of many hosts that an environment names; "" for none, BadSetting where it names none that can be."""
    return str(_value(STORE_URL, environment))


def cookie_name(name: str, https: bool) -> str:
    """A cookie's name; over HTTPS with the prefix that makes browsers insist on Secure, our host and path "/"."""
    return f"__Host-{name}" if https else name


def unknown_settings(environment: Mapping[str, str]) -> list[str]:
    """The variables that look like settings of ours and are none, each with the one that may be meant."""
    ours = [setting.name for setting in SETTINGS]
    told = sorted(name.removeprefix(PREFIX) for name in environment if name.startswith(PREFIX))
    return [
        f"{PREFIX}{name} is no setting"
        + "".join(f" ({PREFIX}{near}?)" for near in get_close_matches(name, ours, 1, 0.8))
        for name in told
        if name not in ours
    ]


def environment_file(path: Path) -> dict[str, str]:
    """The variables of a file such as deploy/clockyard.env, as the service reads it; BadSetting when it cannot be read.

    A line is NAME=value; spaces and quotes around the value are left out, as are empty lines and those with #.
    """
    try:
        lines = [line.strip() for line in path.read_text().splitlines()]
    except (OSError, UnicodeDecodeError) as error:
        raise BadSetting(f"The settings in {path} cannot be read ({error}).") from error
    told = {}
    for number, line in enumerate(lines, 1):
        if line and line[0] not in "#;":
            name, equals, value = (part.strip() for part in line.partition("="))
            problem = _misread(name, equals, value)
            if problem:
                raise BadSetting(f"Line {number} of {path} {problem}.")
            told[name] = value.strip("\"'")
    return told


def _misread(name: str, equals: str, value: str) -> str:
    """Why the service, which is no shell, would read a line otherwise than it looks; "" when it would not.

    systemd leaves out a line whose name is no plain word, and takes a # behind a value for a part of it
    (systemd.exec(5), EnvironmentFile; from memory).
    """
    if not equals:
        return "is no NAME=value"
    if not _NAME.fullmatch(name):
        return f"begins with {name!r}, which is no name of a variable: write NAME=value alone, without export or spaces"
    if not _QUOTED.fullmatch(value) and _COMMENT.search(value):
        return f"has a # behind the value of {name}, which would be a part of it: give the comment a line of its own"
    return ""


def kept_secret(data: Path, make: bool = True) -> str:
    """The secret kept in the data folder, made at the first start; only the owner of the file can read it."""
    path = data / SECRET_FILE
    if not make and not path.exists():
        return ""
    data.mkdir(mode=0o700, parents=True, exist_ok=True)
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        kept = path.read_text().strip()
        if not kept:
            raise BadSetting(f"{path} is empty: remove it, and a new secret is made at the next start.") from None
        return kept
    secret = secrets.token_hex(LEAST_SECRET)
    with os.fdopen(handle, "w") as file:
        file.write(secret + "\n")
    return secret


def _kept_secret(values: Mapping[str, Any], make: bool) -> str:
    if not values["STORE_URL"]:
        return kept_secret(values["DATA"], make)
    from .store.log.secret import kept_secret as secret_of_all_hosts

    return secret_of_all_hosts(values["STORE_URL"], LEAST_SECRET, make)


def is_weak(secret: str) -> bool:
    """Whether a secret is too short, or too plain, for a server that others can reach."""
    return len(secret) < LEAST_SECRET or len(set(secret)) < 8


def _value(setting: Setting, environment: Mapping[str, str]) -> Any:
    text = environment.get(setting.variable, "").strip()
    if not text:
        return setting.default
    try:
        return setting.read(text)
    except ValueError as error:
        raise BadSetting(f"{setting.variable} {error}.") from error


def _yes(text: str) -> bool:
    if text.lower() not in ("0", "1"):
        raise ValueError(f"must be 0 or 1, not {text!r}")
    return text == "1"


def _log(text: str) -> str:
    """The address of a log; what reaches it is installed only where one is used."""
    try:
        from psycopg import ProgrammingError
        from psycopg.conninfo import conninfo_to_dict
    except ImportError as error:
        raise ValueError(f"needs what reaches PostgreSQL ({error}): pip install 'clockyard[postgres]'") from error
    try:
        conninfo_to_dict(text)
    except ProgrammingError as error:
        raise ValueError(f"is no address of a PostgreSQL database ({str(error).strip()})") from error
    return text


def _whole(text: str) -> int:
    if not text.isdecimal() or not int(text):
        raise ValueError(f"must be a whole number above 0, not {text!r}")
    return int(text)


STORE_URL = Setting(
    "STORE_URL",
    "The PostgreSQL database that many hosts share as the log of all books, such as "
    "postgresql://clockyard@db.example/clockyard. Empty: the data folder holds everything.",
    "",
    _log,
    prefix="",
)
SETTINGS = (
    STORE_URL,
    Setting("DATA", "The folder that holds the books, the directory and the secret.", ".data", str),
    Setting(
        "SECRET",
        f"Signs what is kept in cookies; at least {LEAST_SECRET} characters. Empty: one is made and kept, readable "
        "only by its owner, in the data folder.",
        "",
        str,
    ),
    Setting("DEMO", "1: the start page offers the demo book to everyone.", False, _yes),
    Setting("JOIN_CODE", "A word that must be typed to start a book here. Empty: anyone may start one.", "", str),
    Setting(
        "BEHIND_PROXY",
        "1: exactly one proxy stands in front and writes the X-Forwarded headers itself; they are believed.",
        False,
        _yes,
    ),
    Setting("HTTPS", "1: phones reach the server over HTTPS; cookies are then sent over nothing else.", False, _yes),
    Setting(
        "LIMITS_STORAGE",
        "Where the counts behind the rate limits are kept; memory suits one process, more need a shared place.",
        "memory://",
        str,
    ),
    Setting("MOST_BODY", "The largest request taken, in bytes.", 1_000_000, _whole),
    Setting("MOST_IMPORT", "The largest file taken by an import page, in bytes.", 20_000_000, _whole),
    Setting(
        "STARTS_AN_HOUR",
        "How many books one address may start in an hour.",
        60,
        _whole,
    ),
    Setting("MOST_BOOK", "The largest file of a book that still takes balls, in bytes.", 50_000_000, _whole),
    Setting(
        "BALLS_AT_ONCE",
        "How many balls are imported or exported at once; more become a job.",
        2_000,
        _whole,
    ),
    Setting("MOST_FACTS_A_DAY", "How many entries a book takes from phones in a day.", 20_000, _whole),
    Setting(
        "JOURNAL",
        "A second folder for the journal of what was closed for good, best on another disk. Empty: none.",
        "",
        str,
    ),
    Setting("BACKUP_HOURS", "After how many hours without a whole backup the doctor complains.", 36, _whole),
    Setting(
        "METRICS_TOKEN",
        "A word that lets another machine read /metrics, sent as a Bearer token. Empty: this machine alone.",
        "",
        str,
    ),
    Setting("DEVICE_DAYS", "How many days a phone's cookie lasts after the book was last opened.", 400, _whole),
)
