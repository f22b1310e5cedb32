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

    from . import access, config as settings, pages

    app = Flask(__name__, static_folder=None)
    app.config.update(settings.settings(config))
    app.json.sort_keys = False
    Compress(app)
    CSRFProtect(app)
    pages.register(app)
    app.after_request(access.renew)
    app.teardown_appcontext(access.close)
    return app
