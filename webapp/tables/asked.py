"""What is asked of a player about the columns and the words of a table, and what the answers say.

Knows no book: a page hands in what there is to choose from. The boxes follow the table, so they are read by name.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..delivery.readings import FIELD_OF, is_speed
from ..files.ball_row import folded
from ..typed import number_typed
from ..units import LENGTH_M, SPEED_NAMES
from .chosen import ASKED, CHOICES, LEAVE_OUT, NEEDED, OF_VISIT, Chosen
from .looking import MOST_WORDS, Column, Look
from .matching import Known, loft_of
from .told_moment import day_told
from .told_number import SIGNS
from .told_swing import swing_told

NEW_WEDGE = "new"
_DEFAULTS = {"surface": "mat", "ball": "range"}


@dataclass
class Question:
    """A word of the table that is asked for: the name of its box, how many rows hold it, and the answers."""

    box: str
    word: str
    text: str
    n: int
    answers: dict[str, str] = field(default_factory=dict)
    chosen: str = ""
    loft: str = ""


def label(word: str) -> str:
    """What a word of ours is called beside its box."""
    plain = {"club": "wedge", "made_at": "day and time", "date": "day", "time": "time of day", "ball": "kind of ball"}
    ending = next((ending for ending in ("_deg", "_rpm", "_c", "_min") if word.endswith(ending)), "")
    return plain.get(word, word.removesuffix(ending).replace("_", " "))


def columns_said(form: Mapping[str, str], look: Look) -> tuple[Chosen, list[str]]:
    """What the form of columns says, and what is wrong with it in sentences."""
    columns = {
        word: int(form[f"col-{word}"]) for word in ASKED if _is_place(form.get(f"col-{word}", ""), len(look.columns))
    }
    unit, dates, day = form.get("unit", ""), form.get("dates", ""), form.get("day", "").strip()
    decimal = form.get("decimal", "")
    said = Chosen(columns, unit if unit in LENGTH_M else "", dates, decimal if decimal in SIGNS else "", day)
    wrong = [f"Say which column is the {label(word)}." for word in NEEDED if word not in columns]
    if not said.unit and "unit" not in columns:
        wrong.append("Say in which unit the carries are.")
    for word, place in columns.items():
        column = look.columns[place]
        if word in (*CHOICES, "club", "swing") and column.n and not column.words:
            wrong.append(
                f"\u201c{column.name}\u201d holds more than {MOST_WORDS} different words: is it the {label(word)}?"
            )
    if not said.tells_when and not day_told(day, "ymd"):
        wrong.append("No column says when: give the day on which these balls were hit.")
    orders = look.columns[columns[said.when_column]].orders if said.tells_when else ()
    if len(orders) > 1 and dates not in orders:
        wrong.append("The days can be read in more than one way: say in which order they stand.")
    elif orders and dates not in orders:
        said = Chosen(columns, said.unit, orders[0], said.decimal, day)
    return said, wrong


def questions(
    look: Look, chosen: Chosen, bag: Sequence[Known], swings: Mapping[str, str],
    before: Mapping[str, Mapping[str, str]], read_as: Mapping[str, Mapping[str, str]],
) -> list[Question]:  # fmt: skip
    """Every word of the table that somebody has to answer for.

    `before` are the answers given for a table with these headings, `read_as` what the book says of words of wedges and
    swings. `swings` are those that can be answered, each under its clock in files with what its player calls it.
    """
    found: list[Question] = []
    for word, place in chosen.columns.items():
        column = look.columns[place]
        for text, n in _texts(word, column, look.n_rows):
            known = before.get(word, {}).get(folded(text), "")
            asked = Question(f"{word}-{len(found)}", word, text, n, chosen=known)
            if word == "club":
                asked.answers = {club.id: f"{club.name} ({club.loft_deg:g}\u00b0)" for club in bag}
                asked.answers |= {NEW_WEDGE: "a new wedge, of the loft beside", LEAVE_OUT: "leave its rows out"}
                is_said = known in asked.answers or folded(text) in chosen.answers.get(word, {})
                answer = known if is_said else read_as["club"].get(text, "") or _loft(known)
                is_loft = bool(answer) and answer not in asked.answers
                asked.chosen, asked.loft = (NEW_WEDGE, answer) if is_loft else (answer, "")
                if not asked.loft and (loft := loft_of(text)):
                    asked.loft = f"{loft:g}"
            elif word == "swing":
                asked.answers = {**swings, LEAVE_OUT: "leave its rows out"}
                asked.chosen = known or read_as["swing"].get(text, "")
            else:
                unsaid = {} if word in OF_VISIT else {"": "not noted"}
                asked.answers = {**{one: one for one in CHOICES[word]}, **unsaid, LEAVE_OUT: "leave its rows out"}
            found.append(asked)
    return found


def of_all_asked(chosen: Chosen, named: Mapping[str, Mapping[str, str]], judged_by: str) -> list[Question]:
    """What is asked for all rows because no column tells it: swing, surface, kind of ball, judging, unit of speed.

    `named` are the answers of all but surface and unit, each with what a player calls it.
    """
    answers = {"swing": named["swing"], "surface": {one: one for one in CHOICES["surface"]}}
    answers |= {"ball": named["ball"], "judged_by": named["judged_by"]}
    if any(word in chosen.columns and is_speed(word) for word in FIELD_OF):
        answers["speed_unit"] = SPEED_NAMES
    usual = {"swing": "full", **_DEFAULTS, "judged_by": judged_by, **chosen.of_all}
    return [
        Question(f"all-{word}", word, "", 0, dict(offered), usual.get(word, ""))
        for word, offered in answers.items()
        if word not in chosen.columns
    ]


def words_said(
    form: Mapping[str, str], chosen: Chosen, asked: Sequence[Question], of_all: Sequence[Question]
) -> tuple[Chosen, list[str]]:
    """What the form of words says, and what is wrong with it in sentences."""
    answers: dict[str, dict[str, str]] = {}
    wrong = []
    for one in asked:
        one.chosen = form.get(one.box, "")
        if one.box not in form or one.chosen not in one.answers:
            wrong.append(f"Say what \u201c{one.text or '(empty)'}\u201d is.")
            continue
        answer = one.chosen
        if answer == NEW_WEDGE:
            one.loft = form.get(f"{one.box}-loft", "").strip()
            answer = _loft(one.loft)
            if not answer:
                wrong.append(f"Give the loft of the new wedge \u201c{one.text}\u201d, from 36 to 70\u00b0.")
        answers.setdefault(one.word, {})[folded(one.text)] = answer
    said = {}
    for one in of_all:
        one.chosen = form.get(one.box, "")
        if one.chosen not in one.answers:
            wrong.append(f"Say the {one.word.replace('_', ' ')} of these balls.")
        said[one.word] = one.chosen
    return Chosen(**{**chosen.plain(), "answers": answers, "of_all": said}), wrong


def _texts(word: str, column: Column, n_rows: int) -> list[tuple[str, int]]:
    """The texts of a column that do not say by themselves what they mean; of wedges all."""
    texts = sorted(column.words.items(), key=lambda item: (-item[1], item[0]))
    if word == "club":
        return texts
    if word == "swing":
        empty = [("", n_rows - column.n)] if column.n < n_rows else []
        return [(text, n) for text, n in texts if swing_told(text) is None] + empty
    if word in CHOICES:
        return [(text, n) for text, n in texts if text.lower() not in CHOICES[word]]
    return []


def _is_place(text: str, n_columns: int) -> bool:
    return text.isdecimal() and len(text) < 4 and int(text) < n_columns


def _loft(text: str) -> str:
    try:
        loft = number_typed(text)
    except ValueError:
        return ""
    return f"{float(loft):g}" if loft is not None and loft_of(f"{float(loft):g}") else ""
