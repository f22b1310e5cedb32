"""What tests share: a data folder, an open book, the app on that folder and a client of it.

Knows no page; fact makers are in factories.py.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, settings

from webapp import create_app
from webapp.store.book import Book
from webapp.store.directory import Directory
from webapp.store.open_directory import open_directory
from webapp.throttle import limiter

from .browser.server import Server
from .factories import NOW
from .prepared import shared_templates

# Loaded once for all folders of tests: a process can hold only one driver of browsers, and one PostgreSQL is enough.
pytest_plugins = ("tests.browser.chromium", "tests.browser.ready", "tests.many_hosts.fixtures")

# How long an example takes, or making one up, is a matter for tests/bench: a busy machine must not turn it red.
UNTIMED = [HealthCheck.too_slow]
settings.register_profile("untimed", deadline=None, suppress_health_check=UNTIMED)
settings.load_profile("untimed")
shared_templates()
Server.prepared = True


def pytest_addoption(parser: pytest.Parser) -> None:
    """What may be asked of a run."""
    parser.addoption("--all", action="store_true", help="every browser test in the whole Chromium")
    parser.addoption("--log", action="store_true", help="books and directory in PostgreSQL, where a test can have both")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put what takes long first, so that no worker begins it when the other has nothing left to do."""
    if config.getoption("--log"):
        items[:] = filter(_can_have_a_log, items)
    slow = ("browser", "faults", "proxied", "cli", "attacks")
    place = {folder: at for at, folder in enumerate(slow)}
    items.sort(key=lambda item: place.get(item.path.parent.name, len(slow)))


def _can_have_a_log(item: pytest.Item) -> bool:
    """Whether a test or its servers work on whatever log they are told of, and not on files of their own."""
    works_on = {"store_url", "log_of_servers"} & {*getattr(item, "fixturenames", ())}
    return bool(works_on) and not item.get_closest_marker("files_only")


SECRET = "a secret for tests only, 0123456789abcdef"


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """An empty data folder."""
    return tmp_path / "data"


@pytest.fixture(scope="session")
def shared_log(request: pytest.FixtureRequest) -> str:
    """The log that tests share one after the other, with --log: to make one takes longer than most tests."""
    url: str = request.getfixturevalue("cluster").new_database("shared_log")
    return url


@pytest.fixture
def store_url(request: pytest.FixtureRequest) -> Iterator[str]:
    """The log of many hosts that a test works with: none, or with --log an empty one."""
    if not request.config.getoption("--log"):
        yield ""
        return
    from webapp.store.log.directory_tables import COLUMNS
    from webapp.store.log.line import line_to
    from webapp.store.log.postgres_tables import make_current

    url: str = request.getfixturevalue("shared_log")
    make_current(line_to(url))
    yield url
    with line_to(url).transaction() as conn:
        for table in (*COLUMNS, "facts"):
            conn.execute(f"DELETE FROM {table}")
        conn.execute("UPDATE told SET value = '' WHERE name = 'latest_moment'")


@pytest.fixture(scope="session")
def log_of_servers(request: pytest.FixtureRequest) -> Iterator[str]:
    """The log that the servers of tests share, as hosts do: none, or one with --log."""
    if request.config.getoption("--log"):
        Server.log = request.getfixturevalue("cluster").new_database("log_of_servers")
    yield Server.log
    Server.log = ""


@pytest.fixture
def directory(data: Path, store_url: str) -> Iterator[Directory]:
    """The open directory of the data folder, or of the log."""
    with open_directory(data, store_url=store_url) as opened:
        yield opened


@pytest.fixture
def book(directory: Directory) -> Iterator[Book]:
    """A fresh open book of the data folder; its id is `book.id`."""
    with directory.open_book(directory.new_book(NOW)) as opened:
        yield opened


@pytest.fixture(scope="session")
def made_app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """The app that tests share: making it and compiling its templates takes longer than most of them."""
    return create_app({"DATA": tmp_path_factory.mktemp("unused"), "SECRET": SECRET, "TESTING": True})


@pytest.fixture
def app(made_app: Flask, data: Path, store_url: str) -> Iterator[Flask]:
    """The app on the data folder, as on a plain local server; its settings and counts are those it was made with."""
    settings_before, extensions_before = dict(made_app.config), dict(made_app.extensions)
    made_app.config["DATA"] = data
    made_app.config["STORE_URL"] = store_url
    limiter.enabled = True  # the last app that was made says whether limits hold
    limiter.reset()
    yield made_app
    made_app.config.clear()
    made_app.config.update(settings_before)
    made_app.extensions = extensions_before


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """A browser that has no book yet."""
    return app.test_client()


@pytest.fixture
def player(app: Flask, directory: Directory, book: Book) -> FlaskClient:
    """A phone that opens `book`."""
    client = app.test_client()
    client.set_cookie("book", directory.new_device(book.id, "Phone", NOW))
    return client
