"""The numbers that Python and the phone's rules share, as two scripts in static/rules/ that the server makes.

Each is written once, in the module that owns it; this one knows their names and no rule. The first script holds what
the bucket's page needs before it can be touched, the second what only other pages and later parts need.
"""

import json
from functools import cache
from typing import Any

from . import facts, touch, typed, units
from .conditions import told
from .estimate import doubt, model
from .estimate.chance import TWENTY
from .estimate.student import t_by_df
from .fits import leave, leave_words
from .fits.fitting import FEWEST_IN, GUARDS_M
from .practice import homework, homework_code, plan_words
from .practice.limits import REST_EVERY, STILL_TODAY_DAYS, WEEK_DAYS
from .practice.plans import MOST_WARM_UP, NINE_AFTER_DAYS
from .store.reading import MOST_BALLS_A_CELL, MOST_OF_A_VISIT
from .store.visits import APART_DAYS
from .trends import eye_check

_DAY_MS = 24 * 3600 * 1000


def of_the_bucket() -> dict[str, Any]:
    """What the bucket's page needs at once, by its name in the scripts."""
    return {
        "LENGTH_M": units.LENGTH_M,
        "UNIT_NAMES": units.UNIT_NAMES,
        "CLOSE": units.CLOSE,
        "NO_NUMBER": typed.NO_NUMBER,
        "LONGEST_CARRY_M": facts.LONGEST_CARRY_M,
        "MODES": facts.MODES,
        "WHY": plan_words.WHY,
        "LASTING_WHY": plan_words.LASTING_WHY,
        "NO_BALL_YET": plan_words.NO_BALL_YET,
        "MOST_WARM_UP": MOST_WARM_UP,
        "OPEN_MS": APART_DAYS * _DAY_MS,
        "RINGED_BEYOND_SDS": doubt.RINGED_BEYOND_SDS,
        "FITS_WITHIN_SDS": doubt.FITS_WITHIN_SDS,
        "MOST_TENS": doubt.MOST_TENS,
        **{name: value for name, value in vars(touch).items() if name.isupper() and name != "CONTACTS"},
    }


def of_other_pages() -> dict[str, Any]:
    """What is needed beside it."""
    return {
        "SPEED_MPS": units.SPEED_MPS,
        "ALTITUDE_M": units.ALTITUDE_M,
        "TEMPERATURE_NAMES": units.TEMPERATURE_NAMES,
        "DEGF_AT_0_DEGC": units.DEGF_AT_0_DEGC,
        "DEGF_PER_DEGC": units.DEGF_PER_DEGC,
        "SPEED_BESIDE": units.SPEED_BESIDE,
        "SPEED_NAMES": units.SPEED_NAMES,
        "HOMEWORK": {**homework_code.CONSTANTS, **homework.CONSTANTS, "calls": plan_words.MOST_CALLS},
        "NINE_AFTER_MS": NINE_AFTER_DAYS * _DAY_MS,
        "MISHIT_DENSITY": model.MISHIT_DENSITY,
        "HIGHEST_LEVERAGE": model.HIGHEST_LEVERAGE,
        "WAY_SDS": model.WAY_SDS,
        "T_BY_DF": t_by_df(),
        "SPREAD_BALLS": model.SPREAD_BALLS,
        "CELL_SPREAD_BALLS": model.CELL_SPREAD_BALLS,
        "EARLY_BELOW_BALLS": model.EARLY_BELOW_BALLS,
        "EARLY_BELOW_VISITS": model.EARLY_BELOW_VISITS,
        "OLD_BELOW_BALLS": model.OLD_BELOW_BALLS,
        "SETTLED_HALF_WIDTH_M": model.SETTLED_HALF_WIDTH_M,
        "TWENTY": TWENTY,
        "FEWEST_IN": FEWEST_IN,
        "GUARDS_M": GUARDS_M,
        "AS_LOW": leave.AS_LOW,
        "LAY_UP_TIMES": leave.LAY_UP_TIMES,
        "LEAST_LAY_UP_M": leave.LEAST_LAY_UP_M,
        "FLAG_MISSING": leave_words.FLAG_MISSING,
        "ALIKE": leave_words.ALIKE,
        "MOST_PEAKS": leave.MOST_PEAKS,
        "MOST_VALLEYS": leave_words.MOST_VALLEYS,
        **told.CONSTANTS,
        "MOST_BALLS_A_CELL": MOST_BALLS_A_CELL,
        "MOST_OF_A_VISIT": MOST_OF_A_VISIT,
        "REST_EVERY": REST_EVERY,
        "STILL_TODAY_MS": STILL_TODAY_DAYS * _DAY_MS,
        "WEEK_MS": WEEK_DAYS * _DAY_MS,
        "EYE": {
            "pairs": eye_check.LEAST_PAIRS,
            "slip": eye_check.SLIP_RATIO,
            "errors": eye_check.SURE_ERRORS,
            "least_m": eye_check.LEAST_SPREAD_M,
        },
    }


SCRIPTS = {"rules/constants.js": of_the_bucket, "rules/more_constants.js": of_other_pages}


@cache
def script(filename: str) -> str:
    """One of SCRIPTS: one exported constant a line."""
    told = {name: json.dumps(value, separators=(",", ":")) for name, value in SCRIPTS[filename]().items()}
    return "".join(f"export const {name} = {value};\n" for name, value in told.items())
