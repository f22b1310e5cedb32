"""How the app is put behind a web server: safe to start, said on the terminal, stopped without dropping a request.

Knows no page; what the server answers is made by create_app.
"""

import ipaddress
import os
import signal
import threading
from collections.abc import Mapping
from contextlib import ExitStack, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .config import DAY_S, BadSetting, environment_file, is_weak, settings, unknown_settings
from .fault_words import words_of
from .moments import text_of
from .opening import journal_folder
from .store.faults import LogAway, StoreFault
from .store.folder_lock import FolderInUse, side_by_side
from .store.open_directory import open_directory

if TYPE_CHECKING:
    from flask import Flask

THREADS = 8
# Waitress' own limits, said here because slow and oversized requests rest on them.
CHANNEL_TIMEOUT_S = 30
MOST_HEADER_BYTES = 32_768
CONNECTIONS = 200
# So long after the server is ready the libraries that draw plots are loaded: phones that waited for it come first.
PLOTS_AFTER_S = 15


_held = ExitStack()  # what a server holds until its process ends, above all the lock of its data folder


def serve_until_stopped(
    host: str, port: int, data: Path, environment: Mapping[str, str], demo: bool, plain_http: bool
) -> None:
    """Serve on `host` and `port` until SIGTERM or Ctrl-C; click.ClickException when that would be unsafe."""
    overrides: dict[str, Any] = {"DATA": data}
    if demo:
        overrides["DEMO"] = True
    try:
        config = settings(overrides, environment)
    except BadSetting as error:
        raise click.ClickException(str(error)) from error
    except LogAway as error:
        raise click.ClickException(f"Not started: the log of STORE_URL cannot be reached ({error}).") from error
    except StoreFault as error:
        raise click.ClickException(f"Not started: {words_of(error).message} ({error})") from error
    _say_unknown(environment)
    reached = not is_loopback(host)
    _refuse_weak_secret(config, reached)
    if reached and not plain_http:
        _refuse_plain_http(config)
    _begin(config)
    from waitress.server import create_server

    from . import create_app

    app = create_app(config)
    try:
        server = create_server(
            app,
            host=host,
            port=port,
            threads=THREADS,
            channel_timeout=CHANNEL_TIMEOUT_S,
            connection_limit=CONNECTIONS,
            max_request_header_size=MOST_HEADER_BYTES,
            # Up to here the app itself refuses what is too large, in words; beyond, nothing is read and a line says so.
            max_request_body_size=2 * config["MOST_IMPORT"] + config["MOST_BODY"],
            ident=None,
            clear_untrusted_proxy_headers=False,  # the app itself decides, by BEHIND_PROXY, whether they are believed
        )
    except OSError as error:
        raise click.ClickException(f"Not started: port {port} of {host} cannot be used ({error.strerror}).") from error
    # Waitress drops requests in flight when the process is told to end, but finishes them when it is asked to leave.
    signal.signal(signal.SIGTERM, _leave)
    _say_what_to_open(host, port, bool(config["DEMO"]))
    _load_plots_meanwhile()
    server.run()


def app_of(env_file: str) -> "Flask":
    """The app with the settings of an environment file, for another web server that runs it (gunicorn)."""
    from . import create_app

    environment = {**environment_file(Path(env_file)), **os.environ}
    config = settings(environment=environment)
    _say_unknown(environment)
    _refuse_weak_secret(config)
    _begin(config)
    return create_app(config)


def load_demo(data: Path, store_url: str = "") -> str:
    """Load the demo book into a data folder, or into a log, unless it is there; gives its id."""
    from .books import demo

    with open_directory(data, store_url=store_url) as directory:
        return demo.load_demo(directory, text_of(datetime.now(UTC)))


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach a server on `host`."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _begin(config: dict[str, Any]) -> None:
    """Hold the data folder, go on with what a kill left half done, load the demo if it is wanted."""
    from .working import see_to

    try:
        _held.enter_context(side_by_side(config["DATA"]))
        with open_directory(config["DATA"], journal_folder(config["JOURNAL"]), config["STORE_URL"]) as directory:
            directory.copy_off_journal()
            directory.remove_deleted_files()
        if config["STORE_URL"]:
            _sweep_later(config)
        see_to(config["DATA"], config["STORE_URL"])
        if config["DEMO"]:
            load_demo(config["DATA"], config["STORE_URL"])
    except FolderInUse as error:
        raise click.ClickException(f"Not started: {config['DATA']} is being restored. Try again when it is.") from error
    except StoreFault as error:
        # It starts all the same: every page then says what is wrong, and phones keep what they hold.
        click.echo(f"The data folder cannot be used: {words_of(error).message} ({error})", err=True)


def _sweep_later(config: dict[str, Any]) -> None:
    """Once a day drop what other hosts deleted and nobody opened here since."""

    def sweep() -> None:
        with suppress(StoreFault), open_directory(config["DATA"], store_url=config["STORE_URL"]) as directory:
            directory.remove_deleted_files()
        _sweep_later(config)

    timer = threading.Timer(DAY_S, sweep)
    timer.daemon = True
    timer.start()


def _say_unknown(environment: Mapping[str, str]) -> None:
    for words in unknown_settings(environment):
        click.echo(f"{words}: it changes nothing.", err=True)


def _refuse_weak_secret(config: dict[str, Any], reached: bool = False) -> None:
    """`reached` when others reach the server itself; they do through a proxy that stands before it."""
    if is_weak(config["SECRET"]) and (reached or config["HTTPS"] or config["BEHIND_PROXY"]):
        raise click.ClickException(
            "Not started: the secret is too short or too plain for a server that others can reach. "
            "Give a longer one in CLOCKYARD_SECRET, or leave it empty and one is made."
        )


def _refuse_plain_http(config: dict[str, Any]) -> None:
    if not config["HTTPS"]:
        raise click.ClickException(
            "Not started: without HTTPS a phone can neither keep pages nor work without signal, and anyone on the way "
            "can read along. Put a proxy with HTTPS in front (deploy/RUNBOOK.md) and set CLOCKYARD_HTTPS=1, or say "
            "--plain-http."
        )


def _load_plots_meanwhile() -> None:
    """Load the libraries of the plots while nobody waits for them; the first page is let go first."""
    from .draw import charts

    timer = threading.Timer(PLOTS_AFTER_S, charts.load_libraries)
    timer.daemon = True
    timer.start()


def _say_what_to_open(host: str, port: int, demo: bool) -> None:
    shown = "localhost" if is_loopback(host) or host in ("0.0.0.0", "::") else host
    click.echo(f"Clockyard is ready: open http://{shown}:{port}/ in a browser.")
    if demo:
        click.echo("The demo book, Heron's wedges at Pellow Fen: touch “See a filled-in book” there.")
    click.echo("Stop it with Ctrl-C.")


def _leave(*_: Any) -> None:
    raise SystemExit(0)
