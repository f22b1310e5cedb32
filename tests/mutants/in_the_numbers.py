"""Small faults of the estimate and of the physics: an assumed number, a sign, a step left out.

Knows the text of each place; tests/rules/test_mutants.py keeps it current.
"""

from .fault import Fault

ASSUMED = ("tests/published/test_estimate_assumed.py",)
PUBLISHED = (
    "tests/published/test_estimate_assumed.py",
    "tests/published/test_estimate_datasets.py",
    "tests/published/test_estimate_joint.py",
    "tests/published/test_estimate_tables.py",
)
DENSE = ("tests/core/test_estimate_joint.py", "tests/published/test_estimate_joint.py")
ROUNDS = (
    "tests/core/test_estimate_pool.py",
    "tests/core/test_estimate_joint.py",
    "tests/core/test_estimate_changing.py",
)
FOLLOWS = (
    "tests/core/test_estimate_figures.py",
    "tests/core/test_estimate_chance.py",
    "tests/core/test_estimate_gaps.py",
    "tests/core/test_estimate_next_cell.py",
    "tests/core/test_estimate_drift.py",
    "tests/published/test_estimate_datasets.py",
)
PHONE = ("tests/core/test_estimate_phone.py",)
FLIGHT = ("tests/published/test_physics.py", "tests/published/test_wedges_in_wind.py")
CONDITIONS = ("tests/core/test_conditions.py", "tests/core/test_launches.py", *FLIGHT)

_MODEL, _JOINT, _LEARNED = "webapp/estimate/model.py", "webapp/estimate/joint.py", "webapp/estimate/learned.py"

IN_THE_NUMBERS = (
    Fault(_MODEL, "nine o'clock is four fifths", "(9.0, 0.72)", "(9.0, 0.80)", ASSUMED),
    Fault(_MODEL, "days that shift three times as far", "VISIT_SHIFT_SD = 0.02", "VISIT_SHIFT_SD = 0.06", ASSUMED),
    Fault(_MODEL, "cells that shift three times as far", "\nCELL_SHIFT_SD = 0.02", "\nCELL_SHIFT_SD = 0.06", ASSUMED),
    Fault(_MODEL, "more balls turf first", "((0.55, -0.11, 0.08)", "((0.45, -0.11, 0.08)", ASSUMED),
    Fault(_MODEL, "fat balls fly farther", "(0.37, -0.33, 0.25)", "(0.37, -0.23, 0.25)", ASSUMED),
    Fault(_MODEL, "a trend twice as steep", "TREND_SD = 0.05", "TREND_SD = 0.10", ASSUMED),
    Fault(_MODEL, "a trend that is normal", "TREND_DF = 4.0", "TREND_DF = 400.0", ASSUMED),
    Fault(_MODEL, "a walk twice as far", "\nWALK_SD = 0.0", "\nWALK_SD = 2 * 0.0", ASSUMED),
    Fault(_MODEL, "a pause that never begins", "PAUSE_AFTER_DAYS = 30.0", "PAUSE_AFTER_DAYS = 3000.0", ASSUMED),
    Fault(_MODEL, "cells that drift apart faster", "OWN_DRIFT_SD = 0.02", "OWN_DRIFT_SD = 0.06", ASSUMED),
    Fault(_MODEL, "an eye hardly ever out", '"eye": 0.05', '"eye": 0.01', ASSUMED),
    Fault(_MODEL, "eye checks that prove little", "EYE_CHECK_SD = 0.08", "EYE_CHECK_SD = 0.16", ASSUMED),
    Fault(_MODEL, "a move of half the size", "MOVE_SHARED_SD = 0.05", "MOVE_SHARED_SD = 0.025", ASSUMED),
    Fault(_MODEL, "the wrong club one day in three", "WRONG_DAY_CHANCE = 0.03", "WRONG_DAY_CHANCE = 0.3", ASSUMED),
    Fault(_MODEL, "lofts that tell all", "PRIOR_LEVEL_SD = 0.22", "PRIOR_LEVEL_SD = 0.02", ASSUMED),
    Fault(
        _MODEL,
        "shifts learned from two visits",
        "LEARNED_FROM_VISITS = 3",
        "LEARNED_FROM_VISITS = 2",
        ASSUMED,
    ),
    Fault(_MODEL, "settled at four yards", "2.5 * YARD_M", "4.0 * YARD_M", FOLLOWS),
    Fault(_MODEL, "settled after two visits", "EARLY_BELOW_VISITS = 3", "EARLY_BELOW_VISITS = 2", FOLLOWS),
    Fault(_JOINT, "a visit's shift counted twice", "checks[0] - X_v.T @ SX_v", "checks[0] - 0.5 * X_v.T @ SX_v", DENSE),
    Fault(_JOINT, "what rows and occasions share is forgotten", "H[c:, :c] += across.T", "H[c:, :c] += 0", DENSE),
    Fault(_JOINT, "a shift without its prior", "S = 1 / omega_a2 + np", "S = 1e-9 / omega_a2 + np", DENSE),
    Fault(_JOINT, "the level's doubt counts its visit once", "- 2 * VX[c:]", "- 1 * VX[c:]", DENSE),
    Fault(_JOINT, "a cell's own shift is believed whole", "k = o * N / (o * N + s2)", "k = o * N / (o * N)", DENSE),
    Fault(_JOINT, "a ball judged by a forecast that holds it", "keep = 1 - np.minimum(", "keep = 1 - 0 * (", ROUNDS),
    Fault(_LEARNED, "a trend's t off by one", "(model.TREND_DF + 1)", "(model.TREND_DF + 0)", ASSUMED),
    Fault(
        _LEARNED,
        "what is not clean is clean",
        "(1 - likely) * mishit_density(r)",
        "likely * mishit_density(r)",
        PUBLISHED,
    ),
    Fault(
        _LEARNED,
        "known shifts count as unknown",
        "known = usual @ np.maximum(1 - var_a / omega_a2, 0.0)",
        "known = usual @ np.ones_like(a) * 2",
        ASSUMED,
    ),
    Fault(
        _LEARNED,
        "a wrong club is twice as likely again",
        "np.sqrt(S_usual / S_wrong)",
        "(S_wrong / S_usual)",
        ("tests/core/test_estimate_joint.py", "tests/core/test_estimate_pool.py"),
    ),
    Fault(
        "webapp/estimate/change.py", "time that goes on in a pause", "age_days - self.pause_days", "age_days", ASSUMED
    ),
    Fault(
        "webapp/estimate/change.py",
        "a walk that forgets its way",
        "np.minimum(at_years",
        "np.maximum(at_years",
        ASSUMED,
    ),
    Fault(
        "webapp/estimate/unknowns.py",
        "a trend that runs backwards",
        "-years[:, None]",
        "years[:, None]",
        ("tests/core/test_estimate_joint.py", "tests/core/test_estimate_pool.py"),
    ),
    Fault(
        "webapp/estimate/eye.py",
        "an eye check that adds up",
        "= 1.0, -1.0",
        "= 1.0, 1.0",
        ASSUMED,
    ),
    Fault(
        "webapp/estimate/pool.py",
        "spreads too small by what is not known",
        "heard * off**2) + N * C)",
        "heard * off**2))",
        ROUNDS,
    ),
    Fault("webapp/estimate/pool.py", "the next ball on a day like the last", "+ self.shift_variance +", "+", ASSUMED),
    Fault(
        "webapp/estimate/pool.py",
        "a range that does not age",
        "np.diag(self.V) + self.drift",
        "np.diag(self.V)",
        ASSUMED,
    ),
    Fault(
        "webapp/estimate/forecast.py",
        "mishits as often as clean balls",
        "(1 - q) * t_below",
        "t_below",
        FOLLOWS,
    ),
    Fault(
        _LEARNED, "every swing mishit as often", "worth * rate + missed) / (worth", "worth * rate) / (worth", FOLLOWS
    ),
    Fault(
        "webapp/estimate/forecast.py",
        "mishits of half the scatter",
        "return (off - mean) / sd",
        "return (off - mean) / sd / 2",
        FOLLOWS,
    ),
    Fault("webapp/estimate/gaps.py", "every gap is named certain", "CERTAIN = 0.8", "CERTAIN = 0.0", FOLLOWS),
    Fault(
        "webapp/estimate/gaps.py",
        "cells that are told apart as strangers",
        "slope = V[first, second]",
        "slope = 0 * V[first, second]",
        FOLLOWS,
    ),
    Fault(
        "webapp/estimate/next_cell.py", "the thinnest cell teaches nothing", "argmax(weight", "argmin(weight", FOLLOWS
    ),
    Fault(
        "webapp/estimate/drift.py", "a chart that never rings", "EWMA_LIMIT_SDS = 3.3", "EWMA_LIMIT_SDS = 35", FOLLOWS
    ),
    Fault(
        "webapp/estimate/drift.py",
        "a chart that takes a new way of judging for a move",
        "x = _places(pooled, WAYS[way])",
        "x = 0 * _places(pooled, WAYS[way])",
        FOLLOWS,
    ),
    Fault(
        "webapp/estimate/order.py",
        "only what the curve shows is out of order",
        "or plain_m[k] <= plain_m[i]",
        "or False",
        FOLLOWS,
    ),
    Fault(
        "webapp/estimate/phone.py",
        "a phone that hears balls twice",
        "kappa = w / (w * q + ball.s2)",
        "kappa = 2 * w / (w * q + ball.s2)",
        PHONE,
    ),
    Fault(
        "webapp/estimate/phone.py",
        "a phone on which one ball stays alone",
        "u = V[:, list(ball.places)].sum(axis=1)",
        "u = V[:, list(ball.places)].sum(axis=1) * (np.arange(len(V)) == ball.places[0])",
        PHONE,
    ),
    Fault(
        "webapp/physics/ball.py", "less lift", "LIFT_MOST, LIFT_HALF = 0.548", "LIFT_MOST, LIFT_HALF = 0.500", FLIGHT
    ),
    Fault(
        "webapp/physics/ball.py",
        "a ball that hardly drags with spin",
        "DRAG_SPUN, DRAG_HALF = 0.176, 0.618",
        "DRAG_SPUN, DRAG_HALF = 0.176, 0.518",
        FLIGHT,
    ),
    Fault("webapp/physics/ball.py", "a larger ball", "0.04267 / 2.0", "0.04367 / 2.0", FLIGHT),
    Fault("webapp/physics/impact.py", "a face without grip", "FRICTION = 0.20", "FRICTION = 0.10", FLIGHT),
    Fault(
        "webapp/physics/impact.py",
        "a bounce that does not tire",
        "BOUNCE_LOSS_PER_MPS = 0.86, 0.0029",
        "BOUNCE_LOSS_PER_MPS = 0.86, 0.0009",
        FLIGHT,
    ),
    Fault("webapp/physics/air.py", "wind over a rough sea", "ROUGHNESS_M = 0.2", "ROUGHNESS_M = 2.0", FLIGHT),
    Fault(
        "webapp/physics/motion.py",
        "wind from the wrong side",
        "sky.tail_mps, -sky.cross_mps",
        "-sky.tail_mps, -sky.cross_mps",
        FLIGHT,
    ),
    Fault(
        "webapp/conditions/launches.py",
        "a doubt of one degree",
        "LAUNCH_OFF_DEG = 4.0",
        "LAUNCH_OFF_DEG = 1.0",
        CONDITIONS,
    ),
    Fault(
        "webapp/conditions/launches.py",
        "spin that all wedges share",
        "SPIN_PER_LOFT, SPIN_RANGE = 205.0, 4.5",
        "SPIN_PER_LOFT, SPIN_RANGE = 205.0, 0.0",
        CONDITIONS,
    ),
    Fault(
        "webapp/conditions/today.py",
        "a range without the corners of the launch",
        "for flight in (OWN, *CORNERS)]\n    low_m",
        "for flight in (OWN,)]\n    low_m",
        CONDITIONS,
    ),
)
