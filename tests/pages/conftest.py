"""What tests of several pages share: a phone with the demo book."""

from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.factories import NOW
from webapp.books.demo import load_demo
from webapp.moments import moment_of, moved
from webapp.store.directory import Directory


@pytest.fixture
def demo(app: Flask, data: Path, directory: Directory) -> FlaskClient:
    """A phone with the demo book."""
    app.config["NOW"] = lambda: moment_of(moved(NOW, hours=1))
    client = app.test_client()
    client.set_cookie("book", directory.new_device(load_demo(directory, NOW), "phone", NOW))
    return client
