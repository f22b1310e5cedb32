"""What of the scripts travels to the phone: two files, without the comments and indents that are for their readers.

A page needs up to sixty scripts; asked for one by one, each costs a phone with weak signal a wait and a cheap phone
work. APP holds what the bucket's page needs before it can be touched and what every page asks for as it opens; LATER
holds all others. In both each script is a function that runs when the script is first asked for, once a page, as a
module would. Its lines follow the one that names it and stay lines, so that faults still name a place.
"""

import hashlib
import posixpath
import re
from collections.abc import Iterable, Mapping

APP, LATER = "app.js", "later.js"
AT_ONCE = (
    APP, "pages/bucket.js", "keeping.js", "ui/preference_controls.js", "ui/relabel.js", "ui/update.js"
)  # fmt: skip
_COMMENTS = re.compile(r"^\s*(?://[^\n]*|/\*\*.*?\*/)$", re.MULTILINE | re.DOTALL)
_COMMENTS_AT_ENDS = re.compile(r"(?<=\S)[ \t]+// [^\n\"`]*$", re.MULTILINE)  # a text ends in a quote
_INDENTS = re.compile(r"^[ \t]+", re.MULTILINE)
_IMPORT = re.compile(r'^import (?:(?P<names>\{[^}]*\}|\* as \w+) from )?"(?P<script>\.[^"]+)";', re.MULTILINE)
_ASKED_LATER = re.compile(r"\bimport\((?P<quote>[\"`])(?P<script>\.[^\"`]+)(?P=quote)\)")
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function|const|class) (?P<name>\w+))", re.MULTILINE)
_TAKING = """\
const $mark = "%s", $defined = {}, $made = {};
const $need = (name) => ($made[name] ??= $defined[name]());
async function $take(name) {
if (!$defined[name]) {
const later = await import("./later.js");
if (later.mark !== $mark) throw new DOMException("These scripts are of two versions.", "VersionError");
later.define($defined, $need, $take);
}
return $need(name);
}
export { $take as take };
"""


def served(script: str) -> str:
    """A script without comments and indents; a line that a comment filled stays, empty.

    A comment behind code stays where it quotes something. Only safe for scripts without text over several lines
    (template literals) or within single quotes; a test holds the scripts to that.
    """
    bare = _COMMENTS.sub(lambda comment: "\n" * comment[0].count("\n"), script)
    return _INDENTS.sub("", _COMMENTS_AT_ENDS.sub("", bare))


def joined(scripts: Mapping[str, str]) -> dict[str, str]:
    """The text of APP and of LATER, out of every script's own text by its name.

    Only safe for scripts that import names or all of another, export what they declare, and have no circle of imports;
    of all scripts only APP waits at its top. Tests hold the scripts to that. `take` of APP gives what a script exports.
    """
    at_once = _with_imported(AT_ONCE, scripts)
    first = "".join(_defined(name, scripts[name]) for name in sorted(at_once))
    later = "".join(_defined(name, scripts[name]) for name in sorted(scripts.keys() - at_once))
    mark = hashlib.sha256((first + later).encode()).hexdigest()[:12]  # what came of another version is not mixed in
    return {
        APP: f'{_TAKING % mark}{first}await $need("{APP}");\n',
        LATER: f'export const mark = "{mark}";\nexport function define($defined, $need, $take) {{\n{later}}}\n',
    }


def imported(name: str, script: str) -> list[str]:
    """The names of the scripts that one imports at its top."""
    return [_name(name, found["script"]) for found in _IMPORT.finditer(script)]


def _with_imported(names: Iterable[str], scripts: Mapping[str, str]) -> set[str]:
    found, waiting = set[str](), [*names]
    while waiting:
        if (name := waiting.pop()) not in found:
            found.add(name)
            waiting += imported(name, scripts[name])
    return found


def _defined(name: str, script: str) -> str:
    """A script as the function that makes it, which gives what it exports."""
    exported = ", ".join(found["name"] for found in _EXPORT.finditer(script))
    body = _IMPORT.sub(lambda found: _needed(name, found), _EXPORT.sub("", script))
    body = _ASKED_LATER.sub(
        lambda found: f"$take({found['quote']}{_name(name, found['script'])}{found['quote']})", body
    )
    begun = "async () =>" if name == APP else "() =>"
    return f'$defined["{name}"] = {begun} {{\n{body}\nreturn {{ {exported} }};\n}};\n'


def _needed(name: str, found: re.Match[str]) -> str:
    need = f'$need("{_name(name, found["script"])}");'
    names = found["names"]
    if not names:
        return need
    return f"const {names.removeprefix('* as ').replace(' as ', ': ')} = {need}"


def _name(asking: str, script: str) -> str:
    """The name of a script that another asks for by the way from its own folder to it."""
    return posixpath.normpath(posixpath.join(posixpath.dirname(asking), script))
