"""The scripts of deploy/ that can run anywhere: they parse, and the nightly backup keeps what it should."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.factories import NOW
from webapp.store.directory import Directory

from .conftest import Command, a_program

DEPLOY = Path(__file__).resolve().parents[2] / "deploy"


@pytest.mark.parametrize("name", ["start", "test", "many-hosts", "environment.sh", "back-up", "../.ci/run"])
def test_every_script_can_be_read_by_the_shell(name: str) -> None:
    assert subprocess.run(["bash", "-n", DEPLOY / name], check=False).returncode == 0
    assert name == "environment.sh" or os.access(DEPLOY / name, os.X_OK)


@pytest.mark.parametrize("name", ["requirements.txt", "requirements-postgres.txt", "requirements-test.txt"])
def test_every_package_is_locked_with_its_hash(name: str) -> None:
    blocks = [block for block in (DEPLOY / name).read_text().split("\n") if block and block[0].isalnum()]
    assert len(blocks) > 20
    assert all("==" in block and block.endswith("\\") for block in blocks)


def test_all_locks_name_the_same_versions() -> None:
    run, host, test = (
        {line.split(" ")[0] for line in (DEPLOY / name).read_text().splitlines() if "==" in line and line[0].isalnum()}
        for name in ("requirements.txt", "requirements-postgres.txt", "requirements-test.txt")
    )
    assert run < host <= test


@pytest.fixture
def script(tmp_path: Path) -> Path:
    """The nightly backup, which looks for its command beside itself, as after the installation of the run book."""
    (tmp_path / "deploy").mkdir()
    (tmp_path / ".venv" / "bin").mkdir(parents=True)
    a_program(tmp_path / ".venv" / "bin" / "clockyard", f'exec {sys.executable} -m webapp.cli "$@"')
    script = tmp_path / "deploy" / "back-up"
    script.write_bytes((DEPLOY / "back-up").read_bytes())
    script.chmod(0o755)
    return script


@pytest.fixture
def environment(clockyard: Command, data: Path, store_url: str) -> dict[str, str]:
    """Where the demo book lies and the program is found."""
    clockyard("demo")
    return {**os.environ, "CLOCKYARD_DATA": str(data), "STORE_URL": store_url, "PYTHONPATH": str(DEPLOY.parent)}


def test_the_nightly_backup_lets_go_of_the_oldest_only_and_touches_nothing_else(
    script: Path, environment: dict[str, str], clockyard: Command, tmp_path: Path
) -> None:
    copies = tmp_path / "copies"
    for name in ("2020-01-01T031000Z", "2021-01-01T031000Z", "2022-01-01T031000Z", "photographs"):
        (copies / name).mkdir(parents=True)
    subprocess.run([script, copies, "2"], check=True, env=environment, capture_output=True, timeout=120)
    left = sorted(path.name for path in copies.iterdir())
    assert left[0] == "2022-01-01T031000Z"
    assert left[-1] == "photographs"
    assert len(left) == 3
    assert "whole" in clockyard("restore-check", copies / left[1]).stdout


def test_a_backup_begun_in_the_same_second_as_another_waits_for_the_next(
    script: Path, environment: dict[str, str], tmp_path: Path
) -> None:
    copies, clock = tmp_path / "copies", tmp_path / "clock"
    clock.mkdir()
    a_program(clock / "date", """echo >> "$0.asked"; echo 2026-11-27T08135$((5 + $(wc -l < "$0.asked") / 3))Z""")
    ours = {**environment, "PATH": f"{clock}:{environment['PATH']}"}
    for _ in range(2):
        subprocess.run([script, copies], check=True, env=ours, capture_output=True, timeout=120)
    assert sorted(path.name for path in copies.iterdir()) == ["2026-11-27T081355Z", "2026-11-27T081356Z"]


def test_a_failed_backup_bears_no_finished_name_lets_nothing_go_and_is_swept_by_the_next(
    script: Path, environment: dict[str, str], tmp_path: Path
) -> None:
    copies = tmp_path / "copies"
    earlier = ["2021-01-01T031000Z", "2022-01-01T031000Z"]
    for name in earlier:
        (copies / name).mkdir(parents=True)
    # The system lets no file grow beyond 128 kB, so the copy of the demo's book ends in its middle.
    narrow = ["bash", "-c", 'ulimit -f 128; exec "$@"', "bash", script, copies, "2"]
    failed = subprocess.run(narrow, check=False, env=environment, capture_output=True, text=True, timeout=120)
    assert failed.returncode == 1, failed
    *kept, left = sorted(path.name for path in copies.iterdir())
    assert (kept, left.endswith("Z.part")) == (earlier, True)
    subprocess.run([script, copies, "2"], check=True, env=environment, capture_output=True, timeout=120)
    oldest, newest = sorted(path.name for path in copies.iterdir())
    assert (oldest, newest.endswith("Z")) == (earlier[1], True)
    assert subprocess.run([script.parents[1] / ".venv/bin/clockyard", "restore-check", copies / newest],
                          check=False, env=environment, capture_output=True, timeout=120).returncode == 0  # fmt: skip


@pytest.mark.files_only
def test_no_backup_is_let_go_while_a_book_is_damaged_and_the_others_are_copied(
    script: Path, environment: dict[str, str], data: Path, tmp_path: Path
) -> None:
    copies = tmp_path / "copies"
    for name in ("2021-01-01T031000Z", "2022-01-01T031000Z"):
        (copies / name).mkdir(parents=True)
    with Directory(data) as directory:
        demo, damaged = directory.books()[0]["id"], directory.new_book(NOW)
    directory.book_path(damaged).write_bytes(b"")
    done = subprocess.run([script, copies, "2"], check=False, env=environment, capture_output=True, timeout=120)
    assert done.returncode == 1
    assert len(list(copies.iterdir())) == 3
    assert [path.stem for path in copies.glob("*Z/books/*.sqlite")] == [demo]


def test_two_backups_begun_at_once_are_made_one_after_the_other(
    script: Path, environment: dict[str, str], tmp_path: Path
) -> None:
    copies = tmp_path / "copies"
    both = [subprocess.Popen([script, copies], env=environment, stderr=subprocess.DEVNULL) for _ in range(2)]
    assert [one.wait(120) for one in both] == [0, 0]
    assert [path.name[-1] for path in copies.iterdir()] == ["Z", "Z"]
