"""A third unit of length costs one entry: it is added to a copy of the program, and everything goes by it.

The factor of the foot is exact (international yard and pound agreement of 1959: a foot is 0.3048 m).
"""

import json
import re
import shutil
import subprocess
import sys

import pytest

from .found import ROOT, found_in

ENTRY = '    "m": LengthUnit(1.0, "metres", "kmh"),\n'
FEET = '    "ft": LengthUnit(FOOT_M, "feet", "mph"),\n'

# What a player and a reader of the command line do, in the copy: the whole output is JSON, a name and a text each.
WALK = """
import json, sys
from pathlib import Path
from click.testing import CliRunner
from webapp import create_app, rule_constants
from webapp.cli import main

data, said = Path(sys.argv[1]), {}
app = create_app({"DATA": data, "SECRET": "a secret for tests only, 0123456789abcdef", "TESTING": True})
client = app.test_client()

def send(path, **fields):
    told = client.get("/api/session").get_json()
    token = told["csrf"] if "csrf" in told else told["error"]["csrf"]
    return client.post(path, data={**fields, "csrf_token": token}, follow_redirects=True).text

set_up = {"hand": "right", "unit": "ft", "loft_1": "46", "loft_2": "56"}
said["too far"] = send("/start", **set_up, known_loft="56", known_carry="1201")
said["card"] = send("/start", **set_up, known_loft="56", known_carry="255")
begin = dict(surface="mat", ball="range", judged_by="laser", place="", wind="calm", wind_force="light",
             temperature_unit="c", monitor_note="", flags_checked="")
said["offset"] = send("/bucket/start", **begin, bay_offset="200")
send("/bucket/start", **begin, bay_offset="-3")
for path in ("/bag", "/settings", "/practice", "/yardage", "/fits/leave", "/trends", "/eye-check", "/round/notes",
             "/print"):
    said[path] = client.get(path).text
said["fits"] = client.get("/fits?flag=200").text
said["conditions"] = client.get("/conditions?carry=165&wind=30&speed_unit=mph").text
said["csv"] = client.get("/export/shots.csv").text
said["constants"] = "".join(map(rule_constants.script, rule_constants.SCRIPTS))

def run(*words):
    done = CliRunner().invoke(main, [*words, "--data", str(data)])
    assert done.exit_code == 0, (words, done.output, done.exception)
    return done.stdout

said["card command"] = run("card")
said["fits command"] = run("fits", "--carry", "165")
print(json.dumps(said))
"""


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """What a program with one entry more says."""
    copy = tmp_path_factory.mktemp("feet")
    for name in ("webapp", "static"):
        shutil.copytree(ROOT / name, copy / name, ignore=shutil.ignore_patterns("__pycache__"))
    units = copy / "webapp" / "units.py"
    text = units.read_text()
    assert text.count(ENTRY) == 1
    units.write_text(text.replace(ENTRY, ENTRY + FEET))
    done = subprocess.run(
        [sys.executable, "-c", WALK, str(copy / "data")], cwd=copy, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return dict(json.loads(done.stdout))


def text_of(page: str) -> str:
    return " ".join(re.sub(r"<script.*?</script>|<[^>]*>", " ", page, flags=re.DOTALL).split())


@pytest.mark.parametrize("page", ["/bag", "/settings", "/eye-check", "/round/notes", "fits", "conditions", "card"])
def test_pages_name_the_unit_and_never_another(said: dict[str, str], page: str) -> None:
    words = text_of(said[page])
    assert "feet" in words
    offered = re.sub(r"yards (or )?metres (or )?feet|yards metres", "", words)
    assert not re.search(r"\b(yards|metres)\b", offered), page


def test_a_stated_carry_stands_on_the_card_as_it_was_typed(said: dict[str, str]) -> None:
    assert re.search(r'data-m="77\.72[^"]*"[^>]*>255<', said["card"])  # 255 ft x 0.3048 m
    assert "255" in said["card command"]


def test_ranges_are_told_in_the_unit(said: dict[str, str]) -> None:
    assert "Its full carry must be from 1 to 1200 feet." in text_of(said["too far"])  # 400 yd, three feet each
    assert "Bay offset must be from −164 to 164 feet." in text_of(said["offset"])  # 50 m / 0.3048


def test_what_fits_and_conditions_answer_in_the_unit(said: dict[str, str]) -> None:
    assert "Carry 200, in from 184 to 216" in text_of(said["fits"])
    assert "outside" in text_of(said["conditions"])
    assert "mph" in text_of(said["conditions"])
    assert "Carry 165, in from 150 to 180 ft" in said["fits command"]


def test_the_phones_rules_get_the_unit_with_their_constants(said: dict[str, str]) -> None:
    assert '"ft":0.3048' in said["constants"]
    assert '"ft":"feet"' in said["constants"]


def test_no_file_asks_which_of_two_units_it_is() -> None:
    asks = re.compile(
        r"""unit\s*(?:==|!=|===|!==|is)\s*["'](?:yd|m)["']|in \(["']yd["'], ["']m["']\)|unit\]?=["']?(?:yd|m)\b"""
        r"|365\.76|9\.144|0\.9144"
    )
    kinds = (".py", ".js", ".css", ".html")
    written = [path for top in ("webapp", "static") for path in (ROOT / top).rglob("*") if path.suffix in kinds]
    others = [path for path in written if path != ROOT / "webapp" / "units.py"]
    assert found_in(others, lambda path: asks.findall(path.read_text())) == {}
