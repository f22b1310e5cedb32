"""Opens the directory that the settings name: the file of a data folder, or the one beside a log of many hosts.

Knows which of the two is meant and nothing of either; without a log nothing of PostgreSQL is loaded.
"""

from pathlib import Path

from .directory import Directory


def open_directory(folder: Path, journal: Path | None = None, store_url: str = "") -> Directory:
    """The directory for a host whose data folder is `folder`; a fault of faults.py when it cannot be used."""
    if not store_url:
        return Directory(folder, journal)
    from .log.log_directory import LogDirectory

    return LogDirectory(folder, store_url)
