"""What travels of a script is the script: only comments and indents are left out, and scripts are joined."""

import posixpath
import re
from pathlib import Path

from webapp import scripts
from webapp.pages.shell import joined_scripts, script, static_files
from webapp.scripts import joined, served

from .found import ROOT, found_in

SCRIPTS = sorted((ROOT / "static").rglob("*.js"))


def test_every_line_of_the_program_travels_and_keeps_its_place() -> None:
    assert found_in(SCRIPTS, _travels_otherwise) == {}


def _travels_otherwise(path: Path) -> list[str]:
    """The lines of a script that travel as neither themselves nor without their comment."""
    written, travelling = path.read_text().splitlines(), served(path.read_text()).splitlines()
    assert len(travelling) == len(written), path
    return [before for before, after in zip(written, travelling, strict=True) if not _is_what_travels(before, after)]


def _is_what_travels(before: str, after: str) -> bool:
    code, cut, comment = before.strip().rpartition(" // ")
    if cut and after == code.rstrip():
        ends_a_text = any(code.count(quote) % 2 for quote in "\"'`")
        return not ends_a_text and not {'"', "`"} & {*comment}
    return after == before.strip() or (after == "" and bool(re.match(r"\s*(//|/\*\*|\*)", before)))


def test_no_script_holds_text_over_several_lines() -> None:
    def long_texts(path: Path) -> list[str]:
        return [text for text in re.findall(r"`[^`]*`", served(path.read_text())) if "\n" in text]

    assert found_in(SCRIPTS, long_texts) == {}


def test_a_comment_goes_and_what_looks_like_one_in_a_text_stays() -> None:
    written = '// why\nlet a = 1; // one\n  /** says\n   * more */\n  f(a, "b // c");\n'
    assert served(written) == '\nlet a = 1;\n\n\nf(a, "b // c");\n'


TRAVEL_ALONE = {"sw.js", "sw_off.js", "ui/code.js"}
JOINED = sorted({name for name in static_files() if name.endswith(".js")} - TRAVEL_ALONE)
# What a joined script may say at the start of a line of what it imports and exports.
KNOWN_IMPORT = re.compile(r'import (?:(?:\{[\w\s,]*\}|\* as \w+) from )?"\.[\w./]+";')
KNOWN_EXPORT = re.compile(r"export (?:(?:async )?function|const|class) \w+")


def test_a_script_that_is_joined_holds_nothing_that_joining_would_spoil() -> None:
    for name in JOINED:
        text = script(name)
        for known, word in ((KNOWN_IMPORT, "import"), (KNOWN_EXPORT, "export")):
            said = re.findall(rf"^{word}\b(?!\()", text, re.MULTILINE)
            assert len(known.findall(text)) == len(said), f"{name}: {word}"
        named = re.findall(r"\bimport\((?:\"\.[^\"]+\"|`\.[^`]+`)\)", text)
        assert len(re.findall(r"\bimport\(", text)) == len(named), name
        written = ROOT / "static" / name
        if name != "app.js" and written.exists():  # what waits at the top of a script stands at the edge of its file
            assert not re.search(r"^(?:const .* = )?await\b", written.read_text(), re.MULTILINE), name
        assert not re.search(r"^export const \w+ = (?:\w+|\d+|\"[^\"]*\"), \w+ =", text, re.MULTILINE), name
        assert "$need" not in text, name
        assert "$take" not in text, name


def test_no_script_needs_itself_by_way_of_others() -> None:
    needs = {name: scripts.imported(name, script(name)) for name in JOINED}
    while ready := [name for name, others in needs.items() if not needs.keys() & {*others}]:
        for name in ready:
            del needs[name]
    assert not needs


def test_every_name_that_a_script_imports_is_exported() -> None:
    for name in JOINED:
        for names, other in re.findall(r'^import \{([^}]*)\} from "(\.[^"]+)"', script(name), re.MULTILINE):
            asked = {one.split(" as ")[0].strip() for one in names.split(",") if one.strip()}
            given = re.findall(
                r"^export (?:(?:async )?function|const|class) (\w+)",
                script(posixpath.normpath(posixpath.join(posixpath.dirname(name), other))),
                re.MULTILINE,
            )
            assert asked <= {*given}, f"{name} imports {asked - {*given}} of {other}"


def test_every_script_is_in_one_file_line_by_line_below_its_name() -> None:
    both = [text.splitlines() for text in joined_scripts().values()]
    for name in JOINED:
        heads = [
            (lines, at) for lines in both for at, line in enumerate(lines) if line.startswith(f'$defined["{name}"]')
        ]
        assert len(heads) == 1, name
        lines, head = heads[0]
        for at, line in enumerate(script(name).splitlines(), head + 1):
            changed = re.match(r"import|export|\} from", line) or "import(" in line or " as " in line
            assert lines[at] == line or changed, f"{name}: {line}"


def test_names_that_are_imported_exported_and_asked_for_later_keep_their_meaning() -> None:
    written = dict.fromkeys(scripts.AT_ONCE, "")
    written["app.js"] = """import { one, two as zwei } from "./rules/few.js";
import * as all from "./rules/few.js";
import "./rules/few.js";
const later = await import(`./pages/${page}.js`);
"""
    written["rules/few.js"] = "export const one = 1;\nexport async function two() {}\nfunction own() {}\n"
    written["pages/card.js"] = 'import {\none,\n} from "../rules/few.js";\nimport("../ui/far.js");\n'
    written["ui/far.js"] = "export class Far {}\n"
    files = joined(written)
    assert """$defined["app.js"] = async () => {
const { one, two: zwei } = $need("rules/few.js");
const all = $need("rules/few.js");
$need("rules/few.js");
const later = await $take(`pages/${page}.js`);

return {  };
};
""" in files["app.js"]
    assert "const one = 1;\nasync function two() {}\nfunction own() {}\n\nreturn { one, two };" in files["app.js"]
    assert 'const {\none,\n} = $need("rules/few.js");\n$take("ui/far.js");' in files["later.js"]
    assert "class Far {}\n\nreturn { Far };" in files["later.js"]
    assert '$defined["ui/far.js"]' not in files["app.js"]


def test_the_second_file_says_which_first_one_it_goes_with() -> None:
    files = joined_scripts()
    mark = re.match(r'const \$mark = "(\w+)"', files["app.js"])
    assert mark
    assert files["later.js"].startswith(f'export const mark = "{mark[1]}";')
    changed = {name: script(name) for name in JOINED} | {"db.js": script("db.js") + "const more = 1;\n"}
    assert mark[1] not in joined(changed)["later.js"]
