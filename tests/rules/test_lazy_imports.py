"""Drawing libraries are slow to load, so they wait for the first plot; what reaches a log is loaded with one alone."""

import subprocess
import sys
from pathlib import Path

import pytest

ASKED = """
import sys
from webapp import create_app
from webapp.books.demo import load_demo
from webapp.store.directory import Directory

now, data = "2025-05-01T09:30:00.000Z", sys.argv[1]
app = create_app({"DATA": data, "SECRET": "a secret for tests only, 0123456789abcdef"})
with Directory(app.config["DATA"]) as directory:
    token = directory.new_device(load_demo(directory, now), "phone", now)
client = app.test_client()
client.set_cookie("book", token)
for path in sys.argv[2].split():
    assert client.get(path).status_code == 200, path
print(*sorted({"altair", "psycopg", "psycopg_pool", "vl_convert"} & set(sys.modules)))
"""


@pytest.mark.parametrize(
    ("paths", "loaded"),
    [("/card /bucket /practice /visits /bag", ""), ("/trends", "altair vl_convert")],
)
def test_plots_load_their_libraries_when_first_drawn(tmp_path: Path, paths: str, loaded: str) -> None:
    done = subprocess.run([sys.executable, "-c", ASKED, str(tmp_path / "data"), paths], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == loaded
