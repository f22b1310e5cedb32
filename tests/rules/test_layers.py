"""Imports go down only, in Python and in JavaScript; the code map and docstrings follow the files."""

import ast
import gzip
import re
import sys
import tomllib
from collections.abc import Collection
from functools import cache
from pathlib import Path

import pytest

from webapp import rule_constants
from webapp.pages.shell import joined_scripts

from .found import ROOT, found_in

PACKAGE, STATIC = ROOT / "webapp", ROOT / "static"
MODULES = sorted(path.relative_to(PACKAGE) for path in PACKAGE.rglob("*.py"))
SCRIPTS = sorted(path.relative_to(STATIC) for path in STATIC.rglob("*.js"))
IMPORTS = re.compile(r"""(?:from|import)\s*\(?["'](\.[^"']+)["']""")
MOST_LINES, MOST_WORKER_LINES = 400, 100
READ_BY_A_BROWSER, NEVER_FOLLOWED = {".css", ".html", ".js", ".svg"}, {".png", ".txt", ".woff2"}
MOST_SCRIPT_BYTES = {"app.js": 30_000, "later.js": 52_000}
SQL = re.compile(r"\b(SELECT\s.+\sFROM|INSERT\s+INTO|UPDATE\s+\w+\s+SET|DELETE\s+FROM)\b", re.DOTALL)
# Calls that read a file, a clock or chance; `random.Random` is handed in with its seed.
OUTSIDE = re.compile(
    r"open|(?:io|time|secrets|uuid)\.\w+|(?:.+\.)?(?:now|utcnow|today|default_rng|urandom|getrandbits|uuid[14])"
    r"|random\.(?!Random$).+|(?:np|numpy)\.random\..+"
)


def part_of(path: Path) -> str:
    """The package or module of webapp that a file belongs to."""
    return path.parts[0].removesuffix(".py")


# What of other people's each layer may load when it is imported itself; nothing named means: only Python's own.
PURE_BASE = {"units", "clock", "facts", "fields", "moments", "days", "touch", "link_profile", "typed"}
NUMBERS = {"estimate", "physics"}
ARITHMETIC = {"numpy"}
PACKAGES = {
    **{name: set() for name in PURE_BASE},
    **dict.fromkeys(NUMBERS, ARITHMETIC),
    "store": {"sqlite_utils", "psycopg", "psycopg_pool"},  # the latter two in store/log/ alone
}
WEB_AND_TABLES = {"flask", "flask_wtf", "wtforms", "werkzeug", "sqlite3", "sqlite_utils"}
FILES_AND_CLOCK = {"pathlib", "os", "io", "logging", "time"}
OF_A_LOG = {"psycopg", "psycopg_pool"}
WHEN_NEEDED = {"pandas", "altair", "vl_convert", "segno"}
ASKER = re.compile(r"(?:urllib(?!\.parse)|http(?!\.cookies)|requests|httpx|socket|aiohttp)\b")
OF_FORMS = {"flask_wtf", "wtforms", "markupsafe"}  # Flask-WTF stands on the other two
FEATURES = {"card", "fits", "practice", "trends", "conditions", "delivery", "draw", "views"}


def modules_of(parts: Collection[str]) -> list[Path]:
    """Every module of these packages and modules of webapp."""
    return [path for path in MODULES if part_of(path) in parts]


@cache
def imports(path: Path, only_at_import: bool = False) -> list[tuple[str, bool]]:
    """Every module a file imports and whether it is ours, as a path from webapp such as "store.book"."""
    tree = ast.parse((PACKAGE / path).read_text())
    found = []
    typing_only = {
        id(node)
        for guard in ast.walk(tree)
        if isinstance(guard, ast.If) and "TYPE_CHECKING" in ast.dump(guard.test)
        for node in ast.walk(guard)
    }
    nodes = tree.body if only_at_import else list(ast.walk(tree))
    for node in nodes:
        if id(node) in typing_only:
            continue
        if isinstance(node, ast.Import):
            found += [(name.name, False) for name in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level:
            base = list(path.parts[: len(path.parts) - node.level])
            base += node.module.split(".") if node.module else []
            found += [(".".join([*base, name.name]), True) for name in node.names]
        elif isinstance(node, ast.ImportFrom):
            found.append((node.module or "", False))
    return [
        (name.removeprefix("webapp."), True) if name.split(".")[0] == "webapp" else (name, ours) for name, ours in found
    ]


def ours(path: Path) -> set[str]:
    return {name.split(".")[0] for name, is_ours in imports(path) if is_ours}


def others(path: Path, only_at_import: bool = False) -> set[str]:
    return {name.split(".")[0] for name, is_ours in imports(path, only_at_import) if not is_ours}


def foreign(path: Path) -> set[str]:
    """What a file imports that is neither ours nor Python's own."""
    return others(path) - set(sys.stdlib_module_names)


def test_a_lower_layer_loads_only_what_it_may() -> None:
    assert found_in(modules_of(PACKAGES), lambda path: foreign(path) - PACKAGES[part_of(path)]) == {}


def test_the_base_knows_only_the_base() -> None:
    assert found_in(modules_of(PURE_BASE), lambda path: ours(path) - PURE_BASE) == {}


def test_numbers_know_the_base_and_not_each_other() -> None:
    assert found_in(modules_of(NUMBERS), lambda path: ours(path) - {*PURE_BASE, part_of(path)}) == {}


def test_the_core_knows_no_web_table_file_or_clock() -> None:
    core = modules_of(PURE_BASE | NUMBERS | FEATURES)
    above = {"pages", "store", "forms", "doors", "reader", "notes", "present", "books", "files", "cli"}
    assert found_in(core, lambda path: others(path) & (WEB_AND_TABLES | FILES_AND_CLOCK)) == {}
    assert found_in(core, lambda path: ours(path) & above) == {}
    assert found_in(core, lambda path: reaching_out(_text(path))) == {}


@pytest.mark.parametrize(
    ("code", "called"),
    [
        ("kept = open(name).read()", ["open"]),
        ("now = datetime.utcnow()", ["datetime.utcnow"]),
        ("now = datetime.now(\n    UTC\n)", ["datetime.now"]),
        ("from random import choice, Random", ["random.choice"]),
        ("one, other = random.choice(some), chance.choice(some)", ["random.choice"]),
        ("chance = random.Random(seed)", []),
        ("chance = np.random.default_rng()", ["np.random.default_rng"]),
        ("def opened(now: str) -> str: return reopen(now)", []),
    ],
)
def test_a_call_that_reads_a_file_a_clock_or_chance_is_found_however_it_is_written(
    code: str, called: list[str]
) -> None:
    assert reaching_out(code) == called


def test_no_two_parts_of_the_program_import_each_other_even_by_a_way_round() -> None:
    """A part is a folder of webapp, or a module that lies beside them."""
    asks: dict[str, set[str]] = {}
    for path in MODULES:
        if len(path.parts) > 1 or path.name != "__init__.py":
            asks.setdefault(part_of(path), set()).update(ours(path) - {part_of(path), ""})
    circles = [part for part in asks if part in _reached_from(asks, part)]
    assert circles == []


def test_drawings_take_plain_shapes() -> None:
    assert found_in(modules_of({"draw"}), lambda path: ours(path) - {*PURE_BASE, "draw"}) == {}


def test_the_store_knows_facts_and_no_estimate_or_page() -> None:
    assert found_in(modules_of({"store"}), lambda path: ours(path) - {*PURE_BASE, "store"}) == {}


def test_a_page_never_imports_another_page() -> None:
    def named(path: Path) -> list[str]:
        return [name for name, is_ours in imports(path) if is_ours and name.startswith("pages.")]

    assert found_in(modules_of({"pages"}), named) == {}


def test_forms_know_features_and_no_book_table_or_page() -> None:
    assert found_in(modules_of({"forms"}), lambda path: foreign(path) - OF_FORMS) == {}
    assert found_in(modules_of({"forms"}), lambda path: ours(path) - (PURE_BASE | FEATURES | {"forms"})) == {}


def test_a_feature_loads_only_what_it_may() -> None:
    assert found_in(modules_of(FEATURES), lambda path: foreign(path) - (ARITHMETIC | WHEN_NEEDED)) == {}
    assert found_in(modules_of(FEATURES), lambda path: ours(path) - (PURE_BASE | NUMBERS | FEATURES)) == {}


def test_the_table_of_layers_names_the_layers_that_are_held_here() -> None:
    told = re.findall(r"^\| [1-5] (.+?) \| (.+?) \|$", (ROOT / "DEVELOPERS.md").read_text(), re.M)
    names = [set(re.findall(r"\w+", layer)) for layer, _ in told]
    assert names[:4] == [PURE_BASE, NUMBERS, FEATURES, {"store", "forms"}]
    assert [one for one in WHEN_NEEDED | ARITHMETIC if one not in told[2][1]] == []
    assert [one for one in ("sqlite_utils", "psycopg", "flask_wtf") if one not in told[3][1]] == []


def test_sql_is_in_the_store_only() -> None:
    outside = [path for path in MODULES if part_of(path) != "store"]
    assert found_in(outside, lambda path: statements(_text(path))) == {}


@pytest.mark.parametrize(
    "code",
    [
        'rows = "SELECT id FROM clubs"',
        'rows = """SELECT id,\n    name\n    FROM clubs"""',
        'rows = f"SELECT {name} FROM clubs"',
        'row = """INSERT\n    INTO clubs VALUES (1)"""',
        'gone = "DELETE " "FROM clubs"',
        'row = f"UPDATE {table} SET name = 1"',
    ],
)
def test_a_statement_is_found_however_it_is_written(code: str) -> None:
    assert len(statements(code)) == 1


def test_packages_that_few_pages_need_are_imported_where_they_are_first_needed() -> None:
    assert found_in(MODULES, lambda path: others(path, only_at_import=True) & WHEN_NEEDED) == {}


def test_postgresql_is_known_to_the_log_alone() -> None:
    """config.py alone looks, once a log is named, whether what reaches it is installed."""
    outside = [path for path in MODULES if path.parts[:2] != ("store", "log")]
    assert found_in(outside, lambda path: others(path, only_at_import=path.name == "config.py") & OF_A_LOG) == {}


def test_a_module_says_what_it_owns_and_what_it_must_not_know() -> None:
    """One sentence each; a folder that only gathers its modules says nothing."""

    def says_too_little(path: Path) -> bool:
        docstring = ast.get_docstring(ast.parse(_text(path))) or ""
        return len(re.findall(r"[.:|](?:\s|$)", docstring)) < 2

    spoken = [path for path in MODULES if path.name != "__init__.py" or _text(path)]
    assert found_in(spoken, says_too_little) == {}


def test_a_module_is_split_before_it_is_long() -> None:
    lengths = {str(path): len(_text(path).splitlines()) for path in MODULES}
    assert {name: length for name, length in lengths.items() if length > MOST_LINES} == {}
    assert {path.stem for path in MODULES} & {"utils", "helpers", "manager", "common", "misc"} == set()


def test_no_file_holds_a_note_left_for_later() -> None:
    marks = "|".join(("TO" + "DO", "FIX" + "ME", "X" * 3, "HA" + "CK"))
    found = {
        str(path.relative_to(ROOT)): re.findall(rf"\b(?:{marks})\b", path.read_text(errors="replace"))
        for name in ("webapp", "static", "tests", "deploy", "seed_data")
        for path in sorted((ROOT / name).rglob("*"))
        if path.is_file() and "__pycache__" not in path.parts and path.suffix not in (".png", ".sqlite")
    }
    assert {name: marked for name, marked in found.items() if marked} == {}


def level_of(script: Path) -> int:
    """rules/ and db below outbox and api, then what sync asks for, sync, pages/ with ui/; app.js may load all."""
    if script.parts[0] == "rules":
        return 0
    if len(script.parts) > 1:
        return 4
    low = {"db": 0, "outbox": 1, "api": 1, "bringing": 2, "pruning": 2, "keeping": 2, "taking_off": 3, "sync": 3}
    return 5 if script.stem == "app" else low.get(script.stem, 4)


def test_layers_of_the_scripts_go_down_only() -> None:
    for path in SCRIPTS:
        own = level_of(path)
        for target in IMPORTS.findall((STATIC / path).read_text()):
            named = ((STATIC / path).parent / target).resolve().relative_to(STATIC)
            made = named.as_posix() in rule_constants.SCRIPTS
            assert made or (STATIC / named).is_file(), f"{path} imports {target}, which is not there"
            level = level_of(named)
            same = own == 4 or path.parts[0] == named.parts[0] == "rules"
            assert level < own or (same and level == own), f"{path} imports {named}"


def test_each_door_of_the_browser_is_used_in_one_place() -> None:
    def doors(path: Path) -> list[str]:
        text = re.sub(r"//[^\n]*|/\*.*?\*/", "", (STATIC / path).read_text(), flags=re.DOTALL)
        name = path.as_posix()
        shut = []
        if name != "db.js":
            shut.append("indexedDB")
        if name not in ("api.js", "sw.js"):
            shut += [r"\bfetch\(", "XMLHttpRequest"]
        if name != "app.js" and path.parts[0] not in ("pages", "ui"):
            shut.append(r"\bdocument\b")
        return [door for door in shut if re.search(door, text)]

    assert found_in(SCRIPTS, doors) == {}


def test_the_worker_is_short_and_never_sees_a_fact() -> None:
    text = (STATIC / "sw.js").read_text()
    assert len(text.splitlines()) <= MOST_WORKER_LINES
    assert not re.search(r"/api/facts|indexedDB|outbox", text)


@pytest.mark.parametrize("name", MOST_SCRIPT_BYTES)
def test_each_file_that_scripts_travel_in_is_small(name: str) -> None:
    assert len(gzip.compress(joined_scripts()[name].encode())) <= MOST_SCRIPT_BYTES[name]


def test_nothing_that_is_served_names_another_host() -> None:
    """A licence is read, never followed, and a namespace is a name, never asked for."""

    def addresses(path: Path) -> set[str]:
        named = set(re.findall(r"""(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}[^\s"'<>)]*""", path.read_text()))
        return {address for address in named if "www.w3.org" not in address}

    served = [path for folder in ("static", "webapp/templates") for path in (ROOT / folder).rglob("*")]
    read = [path for path in served if path.suffix in READ_BY_A_BROWSER]
    assert {path.suffix for path in served if path.is_file()} - READ_BY_A_BROWSER == NEVER_FOLLOWED
    assert found_in(read, addresses) == {}


def test_the_server_asks_no_other_host() -> None:
    """doctor.py and watchdog.py ask the address they are told to; opens none, shuts the log's."""

    def asks(path: Path) -> list[str]:
        return [name for name, is_ours in imports(path) if not is_ours and ASKER.match(name)]

    assert found_in([path for path in MODULES if path.name not in ("doctor.py", "watchdog.py")], asks) == {}


def test_the_wheel_lists_every_folder_of_the_program() -> None:
    packages = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]["packages"]
    folders = {path.parent for path in PACKAGE.rglob("*") if path.is_file() and path.suffix in (".py", ".html")}
    wanted = {".".join(folder.relative_to(ROOT).parts) for folder in folders}
    wanted |= {
        ".".join(("webapp", *path.parent.relative_to(ROOT).parts)) for path in STATIC.rglob("*") if path.is_file()
    }
    assert {name for name in wanted if "__pycache__" not in name} <= set(packages)


def _reached_from(asks: dict[str, set[str]], part: str) -> set[str]:
    """Every part that a part imports, itself or by others."""
    reached: set[str] = set()
    waiting = set(asks[part])
    while waiting:
        one = waiting.pop()
        reached.add(one)
        waiting |= asks.get(one, set()) - reached
    return reached


def _text(path: Path) -> str:
    return (PACKAGE / path).read_text()


def reaching_out(code: str) -> list[str]:
    """What a module calls, or takes from `random`, that reads a file, a clock or chance."""
    nodes = list(ast.walk(ast.parse(code)))
    called = [ast.unparse(node.func) for node in nodes if isinstance(node, ast.Call)]
    for node in nodes:
        if isinstance(node, ast.ImportFrom) and node.module == "random":
            called += [f"random.{one.name}" for one in node.names]
    return [name for name in called if OUTSIDE.fullmatch(name)]


def statements(code: str) -> list[str]:
    """The texts of a module that hold a statement of SQL; a value that is put in is read as a word."""
    nodes = list(ast.walk(ast.parse(code)))
    of_parts = {id(part) for node in nodes if isinstance(node, ast.JoinedStr) for part in node.values}
    texts = [_told(node) for node in nodes if id(node) not in of_parts]
    return [text for text in texts if SQL.search(text)]


def _told(node: ast.AST) -> str:
    if isinstance(node, ast.JoinedStr):
        return "".join(_told(part) if isinstance(part, ast.Constant) else "value" for part in node.values)
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
