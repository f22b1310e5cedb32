"""Real PostgreSQL servers on loopback that a test may stop, kill, promote and let follow one another.

Knows Debian's programs and no table; fixtures.py hands them out.
"""

import os
import pwd
import shutil
import signal
import subprocess
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

import psycopg

from tests.browser.server import ROOT, free_port
from tests.processes import children_of

# Debian's own place, and where deploy/test unpacks the packages when the machine has none.
UNPACKED = ROOT / ".venv" / "postgresql"
PROGRAMS = "usr/lib/postgresql/15/bin"
ROLE, PASSWORD, DATABASE = "clockyard", "for tests only", "clockyard"
OWNER = "postgres"
DEADLINE_S = 60
_SETTINGS = {
    "listen_addresses": "127.0.0.1",
    "unix_socket_directories": "",
    "shared_buffers": "16MB",
    "max_connections": "80",
    "dynamic_shared_memory_type": "mmap",  # in its folder: what a killed server leaves behind goes with it
    "max_wal_size": "128MB",
    "wal_log_hints": "on",  # pg_rewind needs it
    "wal_retrieve_retry_interval": "200ms",  # a standby looks again that soon for a primary that was away
    "include_if_exists": "test.conf",
}


def programs() -> Path | None:
    """The folder of PostgreSQL's programs that whoever runs the server can start; None where there is none."""
    return next((top / PROGRAMS for top in (Path("/"), UNPACKED) if _can_start(top / PROGRAMS)), None)


def until(what: Callable[[], Any], said: Callable[[], str] = str, deadline_s: float = DEADLINE_S) -> Any:
    """Ask until the answer is true and give it; AssertionError with what is `said` when that takes too long."""
    gives_up = time.monotonic() + deadline_s
    while not (answer := what()):
        assert time.monotonic() < gives_up, said()
    return answer


class Cluster:
    """One server with a folder and a port of its own."""

    def __init__(self, place: Path, folder: Path) -> None:
        self.place, self.folder, self.port = place, folder, free_port()
        self.process: subprocess.Popen[bytes] | None = None

    def url(self, database: str = DATABASE, port: int = 0, password: str = PASSWORD) -> str:
        """The address as a server of the app is given it."""
        return f"postgresql://{ROLE}:{password.replace(' ', '%20')}@127.0.0.1:{port or self.port}/{database}"

    def start(self) -> "Cluster":
        """Start, and return when it answers."""
        with (self.folder.parent / f"{self.folder.name}.log").open("a") as said:
            self.process = subprocess.Popen(
                [self.place / "postgres", "-D", self.folder, "-p", str(self.port)],
                stdout=said, stderr=said, cwd=self.folder, **as_owner(self.place),
            )  # fmt: skip
        until(self._answers, self.said)
        return self

    def stop(self, mode: str = "fast") -> None:
        """Ask it to end, the connections with it ("immediate": without a checkpoint); stopping twice is fine."""
        if self.process and self.process.poll() is None:
            self.process.send_signal({"fast": signal.SIGINT, "immediate": signal.SIGQUIT}[mode])
            self.process.wait(DEADLINE_S)

    def kill(self) -> None:
        """Let all its processes die in one blow, as when the machine's power fails."""
        assert self.process
        self.process.send_signal(signal.SIGSTOP)  # it must not see its children die
        for child in children_of(self.process.pid):
            with suppress(ProcessLookupError):
                os.kill(child, signal.SIGKILL)
        self.process.kill()
        self.process.wait(DEADLINE_S)

    def hold_still(self) -> None:
        """Stop all its processes where they are, as when its machine hangs."""
        self._tell_all(signal.SIGSTOP)

    def go_on(self) -> None:
        """Let them go on."""
        self._tell_all(signal.SIGCONT)

    def follow(self, primary: "Cluster", name: str) -> "Cluster":
        """Become a copy of another server that follows it by this name, from whatever lay here; started."""
        shutil.rmtree(self.folder, ignore_errors=True)
        self._run("pg_basebackup", "-D", self.folder, "-d", f"{primary._owners_url()} application_name={name}", "-R",
                  "-X", "stream", "--checkpoint=fast", "--no-sync")  # fmt: skip
        (self.folder / "test.conf").unlink(missing_ok=True)
        self.start()
        until(lambda: name in primary.followers(), self.said)
        return self

    def wait_for(self, *names: str) -> None:
        """From now on a commit waits for any one of these followers; without names for none."""
        self.set(synchronous_standby_names=f"ANY 1 ({', '.join(names)})" if names else "")
        want = set(names)
        until(lambda: want <= {name for name, how in self.followers().items() if how == "quorum"}, self.said)

    def followers(self) -> dict[str, str]:
        """Who follows it now, and whether commits wait for them ("quorum") or not ("async")."""
        told = self.sql("SELECT application_name, sync_state FROM pg_stat_replication WHERE state = 'streaming'")
        return dict(told)

    def promote(self) -> None:
        """Make a follower a primary that takes writes, waiting for nobody."""
        self._run("pg_ctl", "promote", "-w", "-D", self.folder)

    def set(self, **settings: str) -> None:
        """Change settings of the running server."""
        with self.owner() as line:
            for name, value in settings.items():
                line.execute(psycopg.sql.SQL("ALTER SYSTEM SET {} = {}").format(psycopg.sql.Identifier(name), value))
            line.execute("SELECT pg_reload_conf()")
            until(lambda: all(_shown(line, name) == value for name, value in settings.items()), self.said)

    def new_database(self, name: str) -> str:
        """Make an empty database that the app's role owns; its address."""
        self.sql(psycopg.sql.SQL("CREATE DATABASE {} OWNER {}").format(*map(psycopg.sql.Identifier, (name, ROLE))))
        return self.url(name)

    def sql(self, statement: Any, told: Any = None, database: str = "postgres") -> list[tuple[Any, ...]]:
        """Run one statement as the owner of the whole server; the rows it gives."""
        with self.owner(database) as line:
            found = line.execute(statement, told)
            return found.fetchall() if found.description else []

    def owner(self, database: str = "postgres") -> "psycopg.Connection[tuple[Any, ...]]":
        """A line of the owner of the whole server, in autocommit mode."""
        return psycopg.connect(self._owners_url(database), autocommit=True, connect_timeout=DEADLINE_S)

    def said(self) -> str:
        """What it said of itself."""
        return (self.folder.parent / f"{self.folder.name}.log").read_text()

    def _owners_url(self, database: str = "postgres") -> str:
        return f"host=127.0.0.1 port={self.port} user={OWNER} password='{PASSWORD}' dbname={database}"

    def _answers(self) -> bool:
        assert self.process
        assert self.process.poll() is None, self.said()
        asked = [str(self.place / "pg_isready"), "-q", "-h", "127.0.0.1", "-p", str(self.port)]
        return subprocess.run(asked, check=False, **as_owner(self.place)).returncode == 0

    def _run(self, program: str, *words: str | Path) -> None:
        _checked([self.place / program, *words], self.folder.parent)

    def _tell_all(self, what: signal.Signals) -> None:
        assert self.process
        for one in (self.process.pid, *children_of(self.process.pid)):
            with suppress(ProcessLookupError):
                os.kill(one, what)


def make_template(place: Path, folder: Path) -> None:
    """Make the folder of a server that holds the app's role and an empty database of it; copied for each server."""
    secret = folder.with_name("password")
    secret.write_text(f"{PASSWORD}\n")
    secret.chmod(0o644)
    opened = ["-U", OWNER, f"--pwfile={secret}", "--auth=scram-sha-256"]
    holds = ["-E", "UTF8", "--locale=C", "--wal-segsize=1", "--no-sync"]
    _checked([place / "initdb", "-D", folder, *opened, *holds], folder.parent)
    with (folder / "postgresql.conf").open("a") as settings:
        for name, value in _SETTINGS.items():
            settings.write(f"{name} '{value}'\n")
    words = (
        f"CREATE ROLE {ROLE} LOGIN PASSWORD '{PASSWORD}';",
        f"CREATE DATABASE {DATABASE} OWNER {ROLE};",
    )
    _checked([place / "postgres", "--single", "-D", folder, "postgres"], folder.parent, "\n".join(words))


def own_folder(folder: Path) -> Path:
    """Give a folder to whoever runs the server, who is never root."""
    if os.geteuid() == 0:
        owner = pwd.getpwnam("nobody")
        os.chown(folder, owner.pw_uid, owner.pw_gid)
    return folder


def copied(template: Path, folder: Path) -> Path:
    """A copy of the template that its server can use."""
    subprocess.run(["cp", "-a", template, folder], check=True, timeout=DEADLINE_S)
    return folder


def _shown(line: "psycopg.Connection[tuple[Any, ...]]", name: str) -> Any:
    row = line.execute("SELECT current_setting(%s)", (name,)).fetchone()
    return row and row[0]


def _can_start(place: Path) -> bool:
    """Whether its owner may run it: an unpacked one may lie below a folder that is closed to others."""
    if not (place / "postgres").exists():
        return False
    try:
        done = subprocess.run([place / "pg_basebackup", "-V"], capture_output=True, check=False, **as_owner(place))
    except OSError:
        return False
    return done.returncode == 0


def as_owner(place: Path) -> dict[str, Any]:
    """Whom programs run as: PostgreSQL refuses root, so then the user who owns nothing; unpacked ones bring libpq."""
    libraries = ":".join(map(str, place.parents[3].glob("lib/*-linux-gnu"))) if UNPACKED in place.parents else ""
    told: dict[str, Any] = {"env": {**os.environ, "LD_LIBRARY_PATH": libraries}} if libraries else {}
    if os.geteuid() == 0:
        told |= {"user": "nobody", "group": pwd.getpwnam("nobody").pw_gid, "extra_groups": []}
    return told


def _checked(words: Sequence[str | Path], folder: Path, told: str = "") -> None:
    done = subprocess.run(
        [str(word) for word in words], input=told, capture_output=True, text=True, cwd=folder, timeout=DEADLINE_S,
        check=False, **as_owner(Path(words[0]).parent),
    )  # fmt: skip
    assert done.returncode == 0, f"{done.stdout}{done.stderr}"
