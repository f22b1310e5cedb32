"""The service and timer of deploy/, looked over by systemd itself.

Source: systemd-analyze verify and security of the machine's own systemd; it rates 0 (shut in) to 10 (unguarded).
"""

import re
import subprocess
from pathlib import Path

import pytest

DEPLOY = Path(__file__).resolve().parents[2] / "deploy"
SERVICES = ("clockyard.service", "clockyard-backup.service")
MOST_EXPOSED = 1.5


def analyze(*words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["systemd-analyze", *map(str, words)], capture_output=True, text=True, check=False)


def test_systemd_finds_no_fault_in_the_units(tmp_path: Path) -> None:
    """What is started is not installed on a machine that tests, so another program stands in for it."""
    units = []
    for name in (*SERVICES, "clockyard-backup.timer"):
        text = re.sub(r"^ExecStart=\S+", "ExecStart=/bin/true", (DEPLOY / name).read_text(), flags=re.MULTILINE)
        units.append(tmp_path / name)
        units[-1].write_text(text)
    said = analyze("verify", *units)
    assert (said.returncode, said.stderr) == (0, "")


@pytest.mark.parametrize("name", SERVICES)
def test_a_service_is_shut_in_as_far_as_it_can_be(name: str) -> None:
    said = analyze("security", "--offline=true", "--no-pager", f"--threshold={MOST_EXPOSED * 10:.0f}", DEPLOY / name)
    assert said.returncode == 0, said.stdout + said.stderr
    assert re.search(r"Overall exposure level for \S+: \d", said.stdout)


def test_a_service_without_its_walls_would_be_noticed(tmp_path: Path) -> None:
    bare = tmp_path / SERVICES[0]
    bare.write_text(
        re.sub(r"^(Protect|Private|System|Restrict)\S+\n", "", (DEPLOY / SERVICES[0]).read_text(), flags=re.M)
    )
    assert analyze("security", "--offline=true", "--no-pager", f"--threshold={MOST_EXPOSED * 10:.0f}", bare).returncode


def test_the_backup_runs_every_night() -> None:
    when = re.search(r"^OnCalendar=(.+)$", (DEPLOY / "clockyard-backup.timer").read_text(), re.MULTILINE)
    assert when
    told = analyze("calendar", "--iterations=3", when[1]).stdout
    nights = re.findall(r"(?:Next elapse|Iter\S* #\d): \w+ (\S+) (\S+)", told)
    assert len({day for day, _ in nights}) == 3
    assert {hour for _, hour in nights} == {"03:10:00"}
