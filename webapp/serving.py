"""How the app is put behind a web server: safe to start, said on the terminal, stopped without dropping a request.

Knows no page; what the server answers is made by create_app.
"""

import ipaddress
import signal
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from .config import BadSetting, is_weak, settings
from .moments import text_of
from .store.directory import Directory

THREADS = 8
# Waitress' own limits, said here because slow and oversized requests rest on them.
CHANNEL_TIMEOUT_S = 30
MOST_HEADER_BYTES = 32_768
CONNECTIONS = 200


def serve_until_stopped(host: str, port: int, data: Path, demo: bool, plain_http: bool) -> None:
    """Serve on `host` and `port` until SIGTERM or Ctrl-C; click.ClickException when that would be unsafe."""
    overrides: dict[str, Any] = {"DATA": data}
    if demo:
        overrides["DEMO"] = True
    try:
        config = settings(overrides)
    except BadSetting as error:
        raise click.ClickException(str(error)) from error
    if not is_loopback(host):
        _refuse_unsafe(config, plain_http)
    if config["DEMO"]:
        load_demo(data)
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
            max_request_body_size=config["MOST_IMPORT"] + config["MOST_BODY"],  # the app itself refuses what is smaller
            ident=None,
            clear_untrusted_proxy_headers=False,  # the app itself decides, by BEHIND_PROXY, whether they are believed
        )
    except OSError as error:
        raise click.ClickException(f"Not started: port {port} of {host} cannot be used ({error.strerror}).") from error
    # Waitress drops requests in flight when the process is told to end, but finishes them when it is asked to leave.
    signal.signal(signal.SIGTERM, _leave)
    _say_what_to_open(host, port, bool(config["DEMO"]))
    server.run()


def load_demo(data: Path) -> str:
    """Load the demo book into a data folder unless it is there; gives its id."""
    from .books import demo

    with Directory(data) as directory:
        return demo.load_demo(directory, text_of(datetime.now(UTC)))


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach a server on `host`."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _refuse_unsafe(config: dict[str, Any], plain_http: bool) -> None:
    if is_weak(config["SECRET"]):
        raise click.ClickException(
            "Not started: the secret is too short or too plain for a server that others can reach. "
            "Give a longer one in CLOCKYARD_SECRET, or leave it empty and one is made."
        )
    if not config["HTTPS"] and not plain_http:
        raise click.ClickException(
            "Not started: without HTTPS a phone can neither keep pages nor work without signal, and anyone on the way "
            "can read along. Put a proxy with HTTPS in front (deploy/RUNBOOK.md) and set CLOCKYARD_HTTPS=1, or say "
            "--plain-http."
        )


def _say_what_to_open(host: str, port: int, demo: bool) -> None:
    shown = "localhost" if is_loopback(host) or host in ("0.0.0.0", "::") else host
    click.echo(f"Clockyard is ready: open http://{shown}:{port}/ in a browser.")
    if demo:
        click.echo(f"The demo book: open http://{shown}:{port}/ and choose the demo, Heron's wedges at Pellow Fen.")
    click.echo("Stop it with Ctrl-C.")


def _leave(*_: Any) -> None:
    raise SystemExit(0)
