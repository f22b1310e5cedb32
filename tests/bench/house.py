"""What the house costs: `python -m tests.bench.house`, of the checkout that is the working folder.

Counts the files on the way of a shot and of "what fits 66", lines of code and of tests, the start and its memory.
"""

import re
import subprocess
import sys
import tempfile
from pathlib import Path
from types import FrameType
from typing import Any

HERE = Path.cwd()
IMPORT = re.compile(r"""(?:from|import)\s*\(?["'](\.[^"']+)["']|import\(`(\./[^`]+)`\)""")
STARTS = 7

START = """
import resource, sys, time
begun = time.process_time()
from pathlib import Path
from webapp import create_app
app = create_app({"DATA": Path(sys.argv[1]), "SECRET": "a secret for benches only, 0123456789abcdef"})
client = app.test_client()
started = time.process_time() - begun
client.get("/")
answered = time.process_time() - begun
print(started, answered, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def main() -> None:
    """Print every figure."""
    for top, ending in (("webapp", ".py"), ("webapp/templates", ".html"), ("static", ".js"), ("tests", ".py")):
        told = [path for path in (HERE / top).rglob(f"*{ending}") if "__pycache__" not in path.parts]
        lines = sum(len(path.read_text(encoding="utf-8").splitlines()) for path in told)
        print(f"{top} {ending}: {len(told)} files, {lines} lines")
    for name, page, ask in (("a shot", "bucket", _shot), ("what fits 66", "fits", _fits)):
        python, scripts = _python_files(ask), _scripts(page)
        print(f"way of {name}: {len(python)} files of Python that run, {len(scripts)} scripts that the page loads")
    print("processor time of the start and of start and first answer [s], memory [MiB], medians of", STARTS, *_start())


def _python_files(ask: Any) -> set[str]:
    """Our files of which a function runs while a request is answered."""
    from webapp import create_app

    seen: set[str] = set()

    def watch(frame: FrameType, event: str, _: Any) -> None:
        if event == "call" and (name := frame.f_code.co_filename).startswith(f"{HERE}/webapp"):
            seen.add(name)

    with tempfile.TemporaryDirectory() as folder:
        secret = "a secret for benches only, 0123456789abcdef"
        client = create_app({"DATA": Path(folder), "SECRET": secret, "TESTING": True}).test_client()
        token = client.get("/api/session").get_json()["error"]["csrf"]
        answers = {"hand": "right", "unit": "yd", "loft_1": "46", "loft_2": "56", "csrf_token": token}
        client.post("/start", data=answers)
        ask(client)  # what is made once for a process is not counted
        sys.setprofile(watch)
        try:
            ask(client)
        finally:
            sys.setprofile(None)
    return seen


def _shot(client: Any) -> None:
    told = client.get("/api/session").get_json()
    club = re.search(r'"club_id": "([0-9a-f-]{36})"', client.get("/bucket").text + client.get("/fits").text)
    bucket, shot = (f"00000000-0000-7000-8000-00000000000{n}" for n in (1, 2))
    now = "2026-01-01T09:30:00.000Z"
    bodies = {
        bucket: ("bucket", {"surface": "mat", "ball": "range", "judged_by": "eye"}),
        shot: (
            "shot",
            {"bucket_id": bucket, "club_id": club[1] if club else "", "swing_deg": 90, "mode": "swing",
             "judged_by": "eye", "carry_m": 50.0, "contact": "clean"},
        ),
    }  # fmt: skip
    facts = [{"id": id, "root": id, "kind": kind, "made_at": now, "body": body} for id, (kind, body) in bodies.items()]
    taken = client.post("/api/facts", json={"facts": facts}, headers={"X-CSRFToken": told["csrf"]}).get_json()
    assert len(taken["taken"]) == len(facts), taken
    assert client.get("/card").status_code == 200


def _fits(client: Any) -> None:
    assert client.get("/fits?flag=66").status_code == 200


def _scripts(page: str) -> set[Path]:
    """The scripts that a page loads: the app's and the page's own, with all that they import."""
    found: set[Path] = set()
    waiting = [HERE / "static" / "app.js", HERE / "static" / "pages" / f"{page}.js"]
    while waiting:
        script = waiting.pop().resolve()
        if script not in found and script.exists():
            found.add(script)
            named = [one for pair in IMPORT.findall(script.read_text(encoding="utf-8")) for one in pair if one]
            waiting += [script.parent / name for name in named if "${" not in name]
    return found


def _start() -> list[str]:
    runs = []
    for _ in range(STARTS):
        with tempfile.TemporaryDirectory() as folder:
            done = subprocess.run(
                [sys.executable, "-c", START, folder], cwd=HERE, capture_output=True, text=True, check=True
            )
        runs.append([float(figure) for figure in done.stdout.split()])
    return [f"{sorted(figures)[STARTS // 2]:.2f}" for figures in zip(*runs, strict=True)]


if __name__ == "__main__":
    main()
