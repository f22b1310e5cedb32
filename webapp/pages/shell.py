"""What makes the pages an app on the phone: the worker, the manifest, static files, headers and the health check.

Knows no book.
"""

import hashlib
import json
import re
from functools import cache
from pathlib import Path

import brotli
from flask import (
    Blueprint,
    Flask,
    Response,
    current_app,
    g,
    get_flashed_messages,
    jsonify,
    make_response,
    redirect,
    render_template,
    request,
    send_from_directory,
    url_for,
)
from werkzeug.wrappers import Response as AnyResponse

from .. import doors, folders, reader, rule_constants, scripts, units
from ..card.card_words import count
from ..facts import LANDED_WORDS
from ..phone_pages import FOOT, KEPT, SHUT_BY_CARD_ONLY

STATIC = folders.STATIC
shell = Blueprint("shell", __name__)
_YEAR_S = 31_536_000
_POLICY = "; ".join(
    (
        "default-src 'self'",
        "img-src 'self' data:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)
_PLAIN_SIDES = {"mirrored": False, "hand": "right", "thumb": "right"}
_PLAIN_VIEW = {"unit": units.USUAL_UNIT, **_PLAIN_SIDES, "card_only": False, "sun": False}
_WORKERS = ("sw.js", "sw_off.js")
_ALONE = (*_WORKERS, "ui/code.js")  # scripts that pages or the browser name themselves


def register(app: Flask) -> None:
    """Add the shell, its headers and what every template may use."""
    app.register_blueprint(shell)
    app.after_request(add_headers)
    app.add_url_rule("/static/<version>/<path:filename>", "static", static)
    app.context_processor(shown_everywhere)
    app.jinja_env.filters.update(whole=units.whole, tenths=units.tenths, so_many=count, landed=LANDED_WORDS.get)

    @app.url_defaults
    def with_version(endpoint: str, values: dict[str, str]) -> None:
        if endpoint == "static":
            values.setdefault("version", static_version())


def shown_everywhere() -> dict[str, object]:
    """What every page's frame goes by: whose book it shows, how its reader wants it, what the phone is to keep.

    A page fetched by the worker is kept on the phone, so it holds no form token; app.js gets one when it sends.
    What a coach reads is opened by its link and never by the reader's own cookie; what is said without signal stays
    true when the phone opens another book.
    """
    own = not request.path.startswith("/w/") and not request.path.endswith("/without-signal")
    if "refused_with" in g:  # the page of a refusal opens no book: opening may be what failed
        known = own and "device" in g
        view = g.get("view") or {**_PLAIN_VIEW, "card_only": reader.preferences().get("card_only") is True}
    else:
        known = own and doors.is_known()
        view = reader.view() if known else _PLAIN_VIEW
    shut = SHUT_BY_CARD_ONLY if view["card_only"] else ()
    return {
        "foot": [(address, name) for address, name in FOOT if address not in shut],
        "kept_pages": [address for address in KEPT if address not in shut],
        "book_id": doors.device().book_id if known else "",
        "view": view,
        "ground": grounds(),
        "kept": known and "X-Kept-Page" in request.headers,  # without a book nothing is kept
        "said_once": said_once,
    }


def said_once() -> list[str]:
    """The sentences of a page about what was just done; a page that says any is not the one to keep."""
    told = [str(sentence) for sentence in get_flashed_messages()]
    g.says_once = bool(told)
    return told


@shell.get("/healthz")
def healthz() -> Response:
    """Say that the server answers; it opens no file, so that a fault of one file ends no server."""
    return jsonify(status="ok")


@shell.get("/without-signal")
def without_signal() -> str:
    """What the worker shows instead of a page that the phone never had."""
    return render_template("without_signal.html")


@shell.get("/sw.js")
def worker() -> Response:
    """The worker, with the list of what it keeps put in front: static files, and what is said without signal."""
    kept = [url_for("static", filename=name) for name in kept_files()]
    kept += [url_for("shell.without_signal"), url_for("start.without_signal")]
    told = json.dumps({"version": static_version(), "files": kept})
    response = make_response(f"const SHELL = {told};\n{(STATIC / 'sw.js').read_text()}")
    response.mimetype = "text/javascript"
    response.headers["Cache-Control"] = "no-cache"
    return response


@shell.get("/manifest.webmanifest")
def manifest() -> Response:
    """What the phone needs to put the app on its home screen."""
    icons = [
        {"src": url_for("static", filename=f"icons/{name}.png"), "sizes": size, "type": "image/png", "purpose": purpose}
        for name, size, purpose in (
            ("icon-192", "192x192", "any"),
            ("icon-512", "512x512", "any"),
            ("maskable-512", "512x512", "maskable"),
        )
    ]
    response = jsonify(
        name="Clockyard",
        short_name="Clockyard",
        description="How far each wedge carries at each length of swing, and how far to trust the number.",
        id="/",
        start_url="/bucket",
        scope="/",
        display="standalone",
        background_color=grounds()["day"],
        theme_color=grounds()["day"],
        icons=icons,
    )
    response.mimetype = "application/manifest+json"
    return response


def static(version: str, filename: str) -> AnyResponse:
    """A static file; its address changes with the content of the whole folder, so it may be kept for ever."""
    if version != static_version():
        return redirect(url_for("static", filename=filename))
    if filename in joined_scripts():
        response = _joined(filename)
    elif filename.endswith(".js") and filename in static_files():
        response = _of_scripts(script(filename))
    else:
        response = send_from_directory(STATIC, filename, max_age=_YEAR_S)
    response.cache_control.immutable = True
    response.cache_control.public = True
    return response


def _joined(filename: str) -> Response:
    """What the scripts of pages travel in, compressed once for all phones that read brotli, for others as a page is."""
    if not request.accept_encodings["br"]:
        return _of_scripts(joined_scripts()[filename])
    response = _of_scripts(_compressed(filename))
    response.content_encoding = "br"
    response.vary.add("Accept-Encoding")
    return response


def _of_scripts(text: str | bytes) -> Response:
    response = Response(text, mimetype="text/javascript")
    response.cache_control.max_age = _YEAR_S
    return response


@cache
def _compressed(filename: str) -> bytes:
    """At a tenth of a second for both files once a process, and a sixth smaller than each answer made anew."""
    return bytes(brotli.compress(joined_scripts()[filename].encode(), quality=10))


@cache
def grounds() -> dict[str, str]:
    """The ground's colour by day and in the dark, for what the phone draws round the app; tokens.css says which."""
    found = re.findall(r"--ground: (#\w+)", (STATIC / "css" / "tokens.css").read_text())
    return {"day": found[0], "dark": found[1]}


@cache
def script(filename: str) -> str:
    """A script without what is only for its readers; the shared constants are made by the program."""
    if filename in rule_constants.SCRIPTS:
        return rule_constants.script(filename)
    return scripts.served((STATIC / filename).read_text())


@cache
def joined_scripts() -> dict[str, str]:
    """The two files that the scripts of pages travel in, by name."""
    return scripts.joined({name: script(name) for name in static_files() if _is_joined(name)})


def _is_joined(name: str) -> bool:
    return name.endswith(".js") and name not in _ALONE


@cache
def kept_files() -> tuple[str, ...]:
    """The names of what the phone keeps of static/: all but the workers, and the scripts of pages as they travel."""
    alone = (name for name in static_files() if name not in _WORKERS and not _is_joined(name))
    return tuple(sorted((*alone, *joined_scripts())))


@cache
def static_files() -> tuple[str, ...]:
    """Every static file's name below the folder, and those of the shared constants, sorted."""
    found = (path for path in STATIC.rglob("*") if path.is_file() and path.suffix != ".py")
    names = (path.relative_to(STATIC).as_posix() for path in found if "__pycache__" not in path.parts)
    return tuple(sorted((*names, *rule_constants.SCRIPTS)))


@cache
def static_version() -> str:
    """A hash of the static files' names and contents, and of what joins the scripts."""
    digest = hashlib.sha256(Path(scripts.__file__).read_bytes())
    for name in static_files():
        made = name in rule_constants.SCRIPTS
        digest.update(name.encode() + b"\0" + (script(name).encode() if made else (STATIC / name).read_bytes()))
    return digest.hexdigest()[:12]


def add_headers(response: Response) -> Response:
    """The headers that every answer carries; a page to be kept tells the worker whose book it is, as of which fact."""
    headers = response.headers
    headers.setdefault("Content-Security-Policy", _POLICY)
    headers.setdefault("X-Content-Type-Options", "nosniff")
    headers.setdefault("Referrer-Policy", "same-origin")
    headers.setdefault("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
    headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
    if request.is_secure or current_app.config["HTTPS"]:
        headers.setdefault("Strict-Transport-Security", f"max-age={_YEAR_S}")
    if response.mimetype == "text/html":
        headers.setdefault("Cache-Control", "no-store")
        seen = g.get("device")
        if seen and response.status_code == 200 and not g.get("says_once"):
            headers["X-Book"] = seen.book_id
            if "cursor" in g:
                headers["X-Cursor"] = str(g.cursor)
    elif request.path.startswith("/api/"):
        headers.setdefault("Cache-Control", "no-store")
    return response
