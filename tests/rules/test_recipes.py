"""The recipe "A field of a shot" of DEVELOPERS.md, followed literally in a copy of the program.

Every file that the recipe names is needed: where one step is left out, what the field promises does not hold.
"""

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
RECIPE = re.compile(r"^\* \*\*A field of a shot\*\*.*?(?=^\* \*\*|^$)", re.MULTILINE | re.DOTALL)
MOST_FILES = 6

# What each step puts before which line.
STEPS = {
    "webapp/facts.py": (
        '        "coarse": fields.flag(',
        '        "turf": fields.choice("turf", ("firm", "soft"), ""),\n',
    ),
    "webapp/store/migrations.py": (
        "@directory()\ndef m001_directory",
        '@book()\ndef m999_turf(db: Database) -> None:\n    """A ball says how firm the turf was."""\n'
        '    db.conn.execute("ALTER TABLE shots ADD COLUMN turf TEXT")\n\n\n',
    ),
    "webapp/store/book.py": ("VERSION = ", None),
    "webapp/files/columns.py": ('    "coarse": "1 when', '    "turf": "firm or soft, or empty when not noted",\n'),
}

# An older book gets a ball with the field; it is read, written to a file and brought into another book.
USE = """
import csv, json, sys
from pathlib import Path
from webapp.books.import_balls import import_balls
from webapp.files.exporting import shots_csv
from webapp.store import reading
from webapp.store.directory import Directory

old, club, bucket = json.loads(sys.argv[2])
NOW = "2025-05-01T09:30:00.000Z"
ball = {"bucket_id": bucket, "club_id": club, "swing_deg": 90.0, "mode": "swing", "carry_m": 50.0, "judged_by": "laser"}
with Directory(Path(sys.argv[1])) as directory:
    fact_id = "00000000-0000-4000-8000-000000000009"
    fact = {"id": fact_id, "root": fact_id, "kind": "shot", "made_at": NOW, "body": {**ball, "turf": "soft"}}
    with directory.open_book(old) as book:
        assert book.add([fact], None, NOW).refused == []
        shots = reading.shots(book)
        assert [shot["turf"] for shot in shots] == ["soft", ""]
        clubs = {one.id: one for one in reading.clubs(book)}
        text = shots_csv(shots, clubs, {one["id"]: one for one in reading.buckets(book)}, "m")
    with directory.open_book(directory.new_book(NOW)) as other:
        import_balls(other, enumerate(csv.reader(text), 1), NOW)
        assert [shot["turf"] for shot in reading.shots(other)] == ["soft", ""]
"""

MAKE = """
import json, sys
from pathlib import Path
from tests.factories import NOW, a_bucket, a_club, a_shot
from webapp.store.directory import Directory

club, bucket = a_club(), a_bucket()
with Directory(Path(sys.argv[1])) as directory:
    book_id = directory.new_book(NOW)
    with directory.open_book(book_id) as book:
        book.add([club, bucket, a_shot(bucket, club, made_at="2025-04-01T09:30:00.000Z")], None, NOW)
print(json.dumps([book_id, club["id"], bucket["id"]]))
"""


def run(where: Path, script: str, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-W", "error", "-c", script, *words]
    return subprocess.run(command, cwd=where, capture_output=True, text=True, check=False)


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The program as it is, with a book that it made."""
    for name in ("webapp", "static"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path


def follow(copy: Path, left_out: str = "") -> subprocess.CompletedProcess[str]:
    """A book of before, every step but one, and the field used."""
    made = run(ROOT, MAKE, str(copy / "data"))
    assert made.returncode == 0, made.stderr
    for name, (before, put) in STEPS.items():
        if name != left_out:
            text = (copy / name).read_text()
            assert text.count(before) == 1, name
            put = put or ""
            changed = text.replace(before, put + before)
            if not put:
                changed = re.sub(r"^VERSION = (\d+)", lambda found: f"VERSION = {int(found[1]) + 1}", text, flags=re.M)
            (copy / name).write_text(changed)
    return run(copy, USE, str(copy / "data"), made.stdout)


def test_the_recipe_for_a_field_of_a_shot_is_enough(copy: Path) -> None:
    done = follow(copy)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("left_out", STEPS)
def test_no_step_of_the_recipe_can_be_left_out(copy: Path, left_out: str) -> None:
    assert follow(copy, left_out).returncode != 0


def test_the_recipe_names_the_files_of_these_steps_and_at_most_six() -> None:
    told = RECIPE.search((ROOT / "DEVELOPERS.md").read_text())
    assert told
    named = set(re.findall(r"\b(?:webapp|static|tests)/[\w/.]+", told[0]))
    assert set(STEPS) <= named
    assert len(named) <= MOST_FILES
    assert json.dumps(sorted(name for name in named - set(STEPS) if name.startswith("webapp"))) == "[]"
