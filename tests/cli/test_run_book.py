"""The run book's commands, pasted as they stand into a shell, in a clean folder with another prefix.

Programs that change the machine (packages, users, services, proxies) are stood in for; ours are run for real.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.factories import NOW, the_demo_set
from webapp.store.directory import Directory

from .conftest import a_program

ROOT = Path(__file__).resolve().parents[2]
TEXT = (ROOT / "deploy" / "RUNBOOK.md").read_text()
BLOCKS = re.findall(r"^## (.+?)\n|^```sh\n(.*?)^```", TEXT, re.MULTILINE | re.DOTALL)
FOLDERS = ("/opt", "/etc", "/var", "/usr/local/bin", "/root")
STOOD_IN = ("apt-get", "useradd", "systemctl", "certbot", "nginx", "chown", "pip")
# What the folders of a machine with these packages hold.
THERE = (
    "opt",
    "etc/systemd/system",
    "etc/caddy",
    "etc/nginx/sites-enabled",
    "usr/local/bin",
    "root",
    "var/lib",
    "var/backups",
)
CERTIFICATE = "var/lib/caddy/.local/share/caddy/pki/authorities/local/root.crt"


def blocks() -> dict[str, list[str]]:
    """The pasted blocks by the section they stand in."""
    found: dict[str, list[str]] = {}
    section = ""
    for name, block in BLOCKS:
        if name:
            section = name
        else:
            found.setdefault(section, []).append(block)
    return found


@pytest.fixture(scope="module")
def machine(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that stands for a fresh machine: its root, and programs that only say what they were asked."""
    root = tmp_path_factory.mktemp("machine")
    for name in (*THERE, Path(CERTIFICATE).parent, "bin", "checkout"):
        (root / name).mkdir(parents=True, exist_ok=True)
    (root / CERTIFICATE).write_text("a certificate\n")
    for name in ("deploy", "static"):
        shutil.copytree(ROOT / name, root / "checkout" / name)
    for name in STOOD_IN:
        a_program(root / "bin" / name, f'echo "{name} $*" >> {root}/asked')
    git(root, "init", "--quiet", "--bare", "--initial-branch=main", "origin")
    git(root / "checkout", "init", "--quiet", "--initial-branch=main")
    git(root / "checkout", "remote", "add", "origin", f"{root}/origin")
    a_new_version(root)
    a_program(root / "bin" / "runuser", 'shift 3; exec "$@"')
    # Without the owner, which only root may give away.
    a_program(root / "bin" / "install", 'words=(); while [ $# -gt 0 ]; do case $1 in -o|-g) shift 2;; '
             '*) words+=("$1"); shift;; esac; done; exec /usr/bin/install "${words[@]}"')  # fmt: skip
    a_program(root / "bin" / "python3", f'mkdir -p .venv/bin && ln -sf {root}/bin/clockyard .venv/bin/clockyard '
             f"&& ln -sf {root}/bin/pip .venv/bin/pip")  # fmt: skip
    a_program(root / "bin" / "clockyard", f'exec {sys.executable} -m webapp.cli "$@"')
    return root


def git(folder: Path, *words: str) -> str:
    """Git itself, with no settings of this machine."""
    ours = ["-c", "user.name=keeper", "-c", "user.email=keeper@range.example"]
    told = {**os.environ, "GIT_CONFIG_GLOBAL": os.devnull}
    return subprocess.run(
        ["git", *ours, *words], cwd=folder, env=told, check=True, capture_output=True, text=True
    ).stdout.strip()


def a_new_version(machine: Path) -> None:
    """Commit in the checkout and push where an installed copy pulls from."""
    git(machine / "checkout", "add", "--all")
    git(machine / "checkout", "commit", "--quiet", "--allow-empty", "--message", "another version")
    git(machine / "checkout", "push", "--quiet", "--set-upstream", "origin", "main")


def paste(
    machine: Path, block: str, folder: str = "checkout", stops_at_a_fault: bool = True
) -> subprocess.CompletedProcess[str]:
    """Run a block as the shell takes it, its folders moved below the machine's.

    A terminal goes on with the next line when one failed; a block that must not is pasted so.
    """
    moved = re.sub(r"(?<![\w/.$}])(" + "|".join(FOLDERS) + r")(?=[/\s\"])", lambda found: f"{machine}{found[1]}", block)
    moved = moved.replace("--owner clockyard", "")
    told = {name: value for name, value in os.environ.items() if not name.startswith("CLOCKYARD_")}
    return subprocess.run(
        ["bash", *(["-euo", "pipefail"] if stops_at_a_fault else []), "-c", moved],
        cwd=machine / folder,
        env={**told, "PATH": f"{machine}/bin:{os.environ['PATH']}", "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
        timeout=200,
    )


@pytest.fixture(scope="module")
def installed(machine: Path) -> Path:
    """The machine after the install, whose commands read its own file of settings."""
    (install,) = blocks()["Install"]
    assert not _problem(done := paste(machine, install)), done
    # The settings' file names the folder of the books; moved as all folders are.
    settings = machine / "etc" / "clockyard.env"
    settings.write_text(settings.read_text().replace("=/var", f"={machine}/var"))
    a_program(machine / "bin" / "clockyard", f'exec {sys.executable} -c "import sys; from pathlib import Path; '
             f"import webapp.cli.options as o; o.SERVICE_FILE = Path('{settings}'); "
             'from webapp.cli import main; main(sys.argv[1:])" "$@"')  # fmt: skip
    return machine


def test_the_blocks_run_one_after_the_other_on_a_clean_machine(installed: Path) -> None:
    machine, told = installed, blocks()
    del told["Install"]
    with Directory(machine / "var" / "lib" / "clockyard") as directory:
        for name in ("mine", "damaged"):
            with directory.open_book(directory.new_book(NOW, name)) as book:
                book.add(the_demo_set(), None, NOW)
        damaged = book.path
    said = {}
    for section in ("HTTPS that a phone trusts", "Back up"):
        said[section] = [paste(machine, block) for block in told.pop(section)]
    for section, rest in told.items():
        if section in ("Restore", "One damaged book"):
            damaged.write_bytes(b"")
        said[section] = [paste(machine, block) for block in rest]
    for section, answers in said.items():
        for done in answers:
            # Nobody answers at range.example here; that the doctor says so is all that may go wrong.
            asked_outside = "range.example" in done.stdout and "BAD  address" in done.stdout
            assert asked_outside or not _problem(done), (section, done.args, done.stdout, done.stderr)
    restored = "".join(done.stdout for done in said["Restore"])
    assert "Restored:" in restored
    with Directory(machine / "var" / "lib" / "clockyard") as directory:
        for row in directory.books():
            with directory.open_book(row["id"]) as book:
                assert book.cursor == len(the_demo_set())
    asked = (machine / "asked").read_text()
    assert "systemctl enable --now clockyard clockyard-backup.timer" in asked


def test_a_damaged_book_stays_where_it_is_until_a_backup_is_found_that_holds_it(installed: Path) -> None:
    (back_up, *_), (mend,) = blocks()["Back up"], blocks()["One damaged book"]
    backups = installed / "var" / "backups" / "clockyard"
    with Directory(installed / "var" / "lib" / "clockyard") as directory:
        with directory.open_book(directory.new_book(NOW, "late")) as book:
            book.add(the_demo_set(), None, NOW)
        path = book.path
        for _ in range(2):
            assert not _problem(done := paste(installed, back_up)), done
        path.write_bytes(b"")
        older, newest = sorted(backups.glob("*Z/books/" + path.name))
        newest.unlink()
        assert not _problem(done := paste(installed, mend)), done
        with directory.open_book(book.id) as put_back:
            assert put_back.cursor == len(the_demo_set())
        path.write_bytes(b"")
        older.unlink()
        assert "Nothing was moved" in paste(installed, mend).stdout
        assert path.exists()
        directory.delete_book(book.id, NOW)


def test_an_upgrade_is_gone_back_from_to_the_version_and_the_books_before_it(installed: Path) -> None:
    upgrade, back = blocks()["Upgrade and go back"]
    program, data = installed / "opt" / "clockyard", installed / "var" / "lib" / "clockyard"
    before = git(program, "rev-parse", "HEAD")
    with Directory(data) as directory:
        book_id = directory.new_book(NOW)
    a_new_version(installed)
    assert not _problem(done := paste(installed, upgrade)), done
    assert git(program, "rev-parse", "HEAD") == git(installed / "checkout", "rev-parse", "HEAD") != before
    with Directory(data) as directory:
        directory.new_book(NOW)
    (back_up, *_) = blocks()["Back up"]
    assert not _problem(done := paste(installed, back_up)), done
    assert not _problem(done := paste(installed, back)), done
    assert git(program, "rev-parse", "HEAD") == before
    with Directory(data) as directory:
        assert directory.books()[-1]["id"] == book_id
    assert not _problem(done := paste(installed, upgrade)), done  # it still stands on its branch
    assert git(program, "rev-parse", "HEAD") == git(installed / "checkout", "rev-parse", "HEAD")


@pytest.mark.parametrize("place", [0, 1])
def test_an_upgrade_and_a_way_back_stop_at_the_first_line_that_fails(installed: Path, place: int) -> None:
    with Directory(installed / "var" / "lib" / "clockyard") as directory:
        directory.new_book(NOW)
    assert not _problem(done := paste(installed, blocks()["Upgrade and go back"][0])), done  # it writes what was before
    away = [installed / "origin", installed / "root" / "clockyard-before"][place]
    kept = away.rename(away.with_name("away"))
    asked = (installed / "asked").read_text()
    done = paste(installed, blocks()["Upgrade and go back"][place], stops_at_a_fault=False)
    kept.rename(away)
    assert _problem(done), done
    assert (installed / "asked").read_text() == asked


def test_no_block_holds_a_word_to_be_filled_in() -> None:
    assert [block for _, block in BLOCKS if re.search(r"<[a-z ]+>|YOUR|MOMENT", block)] == []


def _problem(done: subprocess.CompletedProcess[str]) -> bool:
    return done.returncode != 0
