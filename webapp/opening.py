"""How a server opens the directory of its data folder for a request.

Knows the settings; decides nothing about who may open what.
"""

from contextlib import suppress
from pathlib import Path

from flask import current_app

from .moments import moved
from .store.directory import Directory
from .store.faults import StoreFault
from .store.open_directory import open_directory as opened_directory

_LATEST = "clockyard-latest-moment"
_LEAST_SECONDS = 60


def open_directory(now: str) -> Directory:
    """The server's directory; about once a minute it is told the time, so that it notices a clock set back."""
    config = current_app.config
    opened = opened_directory(config["DATA"], journal_folder(config["JOURNAL"]), config["STORE_URL"])
    told = current_app.extensions.get(_LATEST, "")
    if not told or not moved(told, seconds=-_LEAST_SECONDS) < now < moved(told, seconds=_LEAST_SECONDS):
        with suppress(StoreFault):  # a full disk must keep nobody from reading
            opened.saw(now)
        current_app.extensions[_LATEST] = now
    return opened


def journal_folder(setting: str) -> Path | None:
    """The second folder of the revocation journal; None when there is none."""
    return Path(setting) if setting else None
