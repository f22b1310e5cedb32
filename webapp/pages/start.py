"""The first page: a book in two touches, without an account.

Knows what a book cannot do without; the rest waits in the bag and the settings.
"""

import hmac
import tempfile
from pathlib import Path

from flask import Blueprint, Flask, current_app, flash, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from .. import clock, codes, doors, present, throttle, units, working
from ..books import make_facts
from ..books.demo import own_demo
from ..books.first_card import first_card
from ..books.take_file import (
    OF_A_COPY,
    OF_A_DATABASE,
    NotTaken,
    is_a_book,
    is_a_copy,
    is_a_database,
    is_long,
    take_file,
)
from ..draw.svg import Svg
from ..forms.setup import StartFileForm, StartForm
from ..store.clinics import ClinicClosed
from ..store.directory import Directory
from ..store.jobs import IMPORT, Crowded, Job
from ..views.card_view import view_of

start = Blueprint("start", __name__)
_NO_SUCH_CODE = 404
COMMON_LOFTS_DEG = (46, 52, 56, 60)  # common practice, no source: only where the boxes start


def register(app: Flask) -> None:
    """Add the first page."""
    app.register_blueprint(start)


@start.get("/")
def first() -> Response | str:
    """The card of the phone's book, or the start of one."""
    if doors.is_known():
        return redirect(url_for("card.show"))
    return _page(_common())


@start.get("/start/without-signal")
def without_signal() -> str:
    """What the worker shows instead of the first page: what needs signal, and the guesses for usual wedges."""
    return render_template("start_without_signal.html", dial=_dial(_common()))


@start.get("/clinic")
def clinic() -> Response | str:
    """The start of a book with a clinic's code, which is typed or stands in the address's fragment."""
    if doors.is_known():
        return _open_already()
    return _page(_common(), clinic=True)


@start.get("/start/dial")
def guessed() -> Response | tuple[str, int]:
    """The dial of the answers so far, drawn anew while the first page is filled in; empty where they make no set."""
    form = StartForm(formdata=request.args, meta={"csrf": False})
    if not form.validate():
        return "", 204
    response = make_response(_dial(form))
    response.mimetype = "image/svg+xml"
    return response


def _brings_a_code() -> bool:
    return bool(codes.as_typed(request.form.get("clinic", "")))


@start.post("/start")
@throttle.limiter.limit(throttle.starts, exempt_when=throttle.spared(_brings_a_code))
@throttle.limiter.limit(
    throttle.CLINICS,
    exempt_when=throttle.spared(lambda: not _brings_a_code()),
    deduct_when=lambda answer: bool(answer.status_code == _NO_SUCH_CODE),
)
def begin() -> Response | str | tuple[str, int]:
    """Make a book and open it on this phone; a second touch, or an old page, starts no second one.

    A clinic's code stands for the word of a private server, and for the limit on what one address may start.
    """
    if doors.is_known():
        return _open_already()
    form = StartForm()
    if not form.validate() or not (_brings_a_code() or _may_join(form)):
        return _page(form, _brings_a_code()), 400
    now = present.now()
    directory = doors.directory()
    try:
        book_id = directory.new_book(now, clinic=codes.as_typed(form.clinic.data or ""))
    except ClinicClosed:
        form.clinic.errors = ["This code starts no book: it is not known here, it is used up, or its time is over."]
        return _page(form, clinic=True), _NO_SUCH_CODE
    with directory.open_book(book_id) as book:
        book.add(_facts(form, now), None, now)
    return _opened(directory, book_id, now)


@start.get("/start/file")
def ask_file() -> Response | str:
    """The start of a book with the file of one that was taken away."""
    if doors.is_known():
        return _open_already()
    return _file_page(StartFileForm(formdata=None))


@start.post("/start/file")
@throttle.limiter.limit(throttle.starts)
@throttle.limiter.limit(throttle.IMPORTS)
def begin_from_file() -> Response | tuple[str, int]:
    """Make a book out of a file alone, so that no wedge stands in it that the file does not hold."""
    if doors.is_known():
        return _open_already()
    form = StartFileForm()
    if not form.validate() or not _may_join(form):
        return _file_page(form), 400
    if is_a_database(form.file.data.stream):
        form.file.errors = [OF_A_DATABASE]
        return _file_page(form), 400
    if not is_a_book(form.file.data.stream):
        form.file.errors = [
            "This file is no book as JSON. Balls in a table come in later: start with your wedges, then open Your data."
        ]
        return _file_page(form), 400
    if is_a_copy(form.file.data.stream):
        form.file.errors = [OF_A_COPY]
        return _file_page(form), 400
    directory, now = doors.directory(), present.now()
    book_id = directory.new_book(now)
    try:
        return _with_file(directory, book_id, form, now)
    except NotTaken as error:
        directory.delete_book(book_id, now)
        form.file.errors = list(working.named(error.reasons))
        return _file_page(form), 400
    except Crowded as error:
        directory.delete_book(book_id, now)
        message = "As many files wait here as this server works on. No book was started; try again in some minutes."
        raise doors.Refused(503, "crowded", message) from error


def _with_file(directory: Directory, book_id: str, form: StartFileForm, now: str) -> Response:
    """Take the file into the new book, or have a job take it where it is long; a page then tells how far it is."""
    config, file = current_app.config, form.file.data
    if is_long(file.stream, config["BALLS_AT_ONCE"]):
        job = Job(book_id, IMPORT, now, most_bytes=config["MOST_BOOK"])
        working.ask(config["DATA"], job, file.save, config["STORE_URL"])
        return _opened(directory, book_id, now, "jobs.show")
    with tempfile.NamedTemporaryFile() as kept, directory.open_book(book_id) as book:
        file.save(kept)
        kept.flush()
        flash(take_file(book, Path(kept.name), now, config["MOST_BOOK"]))
    return _opened(directory, book_id, now)


@start.post("/demo")
@throttle.limiter.limit(throttle.DEMOS)
def demo() -> Response:
    """Open a demo book of this phone's own, where the server offers one."""
    if doors.is_known():
        return _open_already()
    if not current_app.config["DEMO"]:
        raise doors.Refused(404, "not_found", "This server offers no demo book. Nothing was changed.")
    directory, now = doors.directory(), present.now()
    return _opened(directory, own_demo(directory, now), now)


def _may_join(form: StartForm | StartFileForm) -> bool:
    """Whether the server is open to all, or the word that its owner gives out was typed."""
    word = current_app.config["JOIN_CODE"]
    if not word or hmac.compare_digest((form.join_code.data or "").strip().encode(), word.encode()):
        return True
    form.join_code.errors = ["This server is private: ask its owner for the word that starts a book here."]
    return False


def _open_already() -> Response:
    """A phone opens one book: another cookie would shut it out of the one it has."""
    flash("This phone has a book open already, so no other was opened. This is its card.")
    return redirect(url_for("card.show"))


def _page(form: StartForm, clinic: bool = False) -> str:
    config = current_app.config
    return render_template(
        "start.html",
        form=form,
        dial=_dial(form if _tells_a_set(form) else _common()),
        demo=config["DEMO"],
        private=bool(config["JOIN_CODE"]) and not clinic,
        clinic=clinic,
        unit_names=units.UNIT_NAMES,
    )


def _file_page(form: StartFileForm) -> str:
    config = current_app.config
    most_mb = config["MOST_IMPORT"] // 1_000_000
    return render_template("start_file.html", form=form, private=bool(config["JOIN_CODE"]), most_mb=most_mb)


def _common() -> StartForm:
    form = StartForm(formdata=None)
    for place, loft_deg in enumerate(COMMON_LOFTS_DEG, start=1):
        form[f"loft_{place}"].data = loft_deg
    form.known_loft.data = COMMON_LOFTS_DEG[2]
    return form


def _tells_a_set(form: StartForm) -> bool:
    """Whether the lofts, the hand and the unit can be drawn, whatever else of the answers is refused."""
    lofts = form.lofts()
    wrong = {*form.errors} - {"known_loft", "known_carry", "join_code", "clinic", "csrf_token"}
    return not wrong and len(lofts) == len(set(lofts)) > 0


def _dial(form: StartForm) -> Svg:
    """The first face of the card that these answers would begin with."""
    unit, hand = form.unit.data, form.hand.data
    mirrored = clock.mirrors(hand, "front")
    known = None
    is_sound = not form.errors.keys() & {"known_loft", "known_carry"}
    if is_sound and form.known_carry.data is not None and form.known_loft.data is not None:
        known = float(form.known_loft.data), units.to_m(float(form.known_carry.data), unit)
    faces = view_of(first_card(form.lofts(), known, present.now(), mirrored), unit, mirrored)["faces"]
    return Svg(faces[0].dial)


def _opened(directory: Directory, book_id: str, now: str, page: str = "card.show") -> Response:
    token = directory.new_device(book_id, doors.device_name(), now)
    response = redirect(url_for(page))
    doors.remember_device(response, token)
    return response


def _facts(form: StartForm, now: str) -> list[dict[str, object]]:
    unit = form.unit.data
    facts = [
        make_facts.fact("setting", {"name": "hand", "value": form.hand.data}, now),
        make_facts.fact("setting", {"name": "unit", "value": unit}, now),
    ]
    for loft_deg in form.lofts():
        club = make_facts.fact("club", {"name": f"{loft_deg:g}", "loft_deg": loft_deg}, now)
        facts.append(club)
        if form.known_carry.data is not None and float(form.known_loft.data) == loft_deg:
            carry_m = units.to_m(float(form.known_carry.data), unit)
            facts.append(make_facts.fact("full_carry", {"club_id": club["id"], "carry_m": carry_m}, now))
    return facts
