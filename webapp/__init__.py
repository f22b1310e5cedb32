"""Clockyard: know how far each wedge carries. This file puts the web application together and does nothing else."""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from flask import Flask


def create_app(config: dict[str, Any] | None = None) -> "Flask":
    """The application; `config` overrides the settings of config.py.

    Everything of the web is imported here, so that the numbers (estimate/, physics/) can be used without it.
    """
    from flask import Flask
    from flask_compress import Compress
    from flask_wtf import CSRFProtect
    from werkzeug.middleware.proxy_fix import ProxyFix

    from . import config as settings
    from . import doors, pages, throttle

    app = Flask(__name__, static_folder=None)
    app.config.update(settings.settings(config))
    app.json.sort_keys = False  # type: ignore[attr-defined]  # Flask's own provider has it
    if app.config["BEHIND_PROXY"]:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=1, x_proto=1, x_host=1)  # type: ignore[method-assign]
    Compress(app)
    CSRFProtect(app)
    throttle.limiter.init_app(app)
    app.before_request(doors.refuse_another_books_form)
    pages.register(app)
    app.after_request(doors.renew)
    app.teardown_appcontext(doors.close)
    return app
