"""Small faults of the Python side: rules of facts, units, plans, scores, strikes, fits, conditions and the store.

Knows the text of each place; tests/rules/test_mutants.py keeps it current.
"""

from .fault import Fault

FACTS = ("tests/core/test_facts.py",)
FITTING = ("tests/core/test_fitting.py", "tests/core/test_estimate_chance.py")
PRACTICE = ("tests/core/test_practice.py",)
SCORES = ("tests/core/test_scores.py",)
BALLS = ("tests/core/test_balls.py",)
STRIKE = ("tests/core/test_strike.py",)
LIMITS = ("tests/core/test_limits.py",)
DELIVERY = ("tests/core/test_delivery.py",)
CONDITIONS = ("tests/core/test_conditions.py", "tests/core/test_launches.py")
FLIGHT = ("tests/published/test_physics.py", "tests/published/test_wedges_in_wind.py")
UNITS = ("tests/core/test_units.py",)
CLOCK = ("tests/core/test_clock.py",)
MOMENTS = ("tests/core/test_moments.py",)
STORE = ("tests/store/test_book.py", "tests/store/test_derived.py")

IN_PYTHON = (
    Fault("webapp/units.py", "a yard of three feet and a bit", "YARD_M = 0.9144", "YARD_M = 0.9154", UNITS),
    Fault("webapp/units.py", "a kilometre an hour too fast", "KMH_MPS = 1000.0", "KMH_MPS = 1010.0", UNITS),
    Fault("webapp/units.py", "Fahrenheit without its 32", "(temperature - DEGF_AT_0_DEGC)", "(temperature)", UNITS),
    Fault("webapp/clock.py", "half an hour for 30 degrees", "6.0 + swing_deg / 30.0", "6.0 + swing_deg / 60.0", CLOCK),
    Fault("webapp/clock.py", "mirrored for the wrong hand", '(hand == "left") != (', '(hand == "left") == (', CLOCK),
    Fault(
        "webapp/moments.py",
        "a ball from tomorrow",
        "return max(0.0, (moment_of(later)",
        "return max(-9.0, (moment_of(later)",
        MOMENTS,
    ),
    Fault(
        "webapp/facts.py",
        "the smaller id wins a tie",
        "fact.body is None, fact.made_at, fact.id",
        "fact.body is None, fact.made_at",
        FACTS,
    ),
    Fault(
        "webapp/facts.py",
        "a void that can be corrected",
        "return fact.body is None, fact.made_at",
        "return False, fact.made_at",
        FACTS,
    ),
    Fault(
        "webapp/facts.py",
        "a seen ball needs no carry",
        'body.get("landed", "seen") == "seen" and',
        'body.get("landed", "") == "seen" and',
        FACTS,
    ),
    Fault(
        "webapp/facts.py",
        "a shot may say what it likes",
        "if name not in known:\n",
        "if name not in known and kind != 'shot':\n",
        FACTS,
    ),
    Fault(
        "webapp/store/placing.py",
        "a club corrects a bucket",
        'not in (None, raw["kind"])',
        'not in (None, raw["kind"], "bucket")',
        STORE,
    ),
    Fault(
        "webapp/store/placing.py",
        "another club's id for a bucket",
        '"bucket_id": "bucket", ',
        '"bucket_id": "club", ',
        STORE,
    ),
    Fault(
        "webapp/store/placing.py",
        "an id taken twice",
        "return None if _is_same(held, raw) else",
        "return None if held else",
        STORE,
    ),
    Fault("webapp/fits/fitting.py", "a fit of three in ten", "FEWEST_IN = 0.25", "FEWEST_IN = 0.30", FITTING),
    Fault(
        "webapp/fits/fitting.py", "roll added twice", "carry_m = flag_m - roll_m", "carry_m = flag_m + roll_m", FITTING
    ),
    Fault(
        "webapp/fits/fitting.py",
        "what is missing turned round",
        "question.carry_m - closest.candidate.carry_m)",
        "closest.candidate.carry_m - question.carry_m)",
        FITTING,
    ),
    Fault(
        "webapp/estimate/chance.py",
        "the longer side breaks a tie",
        "max(fit.chances.short, fit.chances.long)),",
        "fit.chances.long),",
        FITTING,
    ),
    Fault(
        "webapp/estimate/chance.py",
        "what clears comes last",
        "key=lambda fit: (not fit.clears,",
        "key=lambda fit: (fit.clears,",
        FITTING,
    ),
    Fault(
        "webapp/estimate/chance.py",
        "the smallest remainder is rounded up",
        "key=lambda i: whole[i] - parts[i]",
        "key=lambda i: parts[i] - whole[i]",
        FITTING,
    ),
    Fault(
        "webapp/practice/limits.py",
        "nine fat balls off a mat",
        "LEAST_FAT_ON_MATS = 8",
        "LEAST_FAT_ON_MATS = 9",
        LIMITS,
    ),
    Fault("webapp/practice/limits.py", "a third of them fat", "MUCH_FAT = 0.25", "MUCH_FAT = 0.33", LIMITS),
    Fault("webapp/practice/limits.py", "a rest every 25 balls", "REST_EVERY = 20", "REST_EVERY = 25", LIMITS),
    Fault("webapp/practice/limits.py", "warm-up balls cost nothing", '(bucket["warm_up_balls"] or 0)', "0", LIMITS),
    Fault(
        "webapp/practice/plans.py",
        "one cell twice running",
        "free = [cell for cell in pack if cell != last]",
        "free = list(pack)",
        PRACTICE,
    ),
    Fault(
        "webapp/practice/plans.py",
        "the nine an hour later",
        "NINE_AFTER_DAYS = 0.5",
        "NINE_AFTER_DAYS = 0.55",
        PRACTICE,
    ),
    Fault(
        "webapp/practice/plans.py",
        "an old number is not worth a block",
        '("guess", "told", "old")',
        '("guess", "told")',
        PRACTICE,
    ),
    Fault(
        "webapp/practice/plans.py",
        "out of order is not worth a word",
        "if cell.out_of_order:",
        "if not cell.n:",
        PRACTICE,
    ),
    Fault(
        "webapp/practice/scores.py",
        "a nine after practice is compared",
        "if not newest.cold:",
        "if newest.n < 0:",
        SCORES,
    ),
    Fault(
        "webapp/practice/scores.py",
        "balls set aside count in the nine",
        'kept = [shot for shot in nine if not shot["aside"]]',
        "kept = list(nine)",
        SCORES,
    ),
    Fault(
        "webapp/card/balls.py",
        "a swing counts as aimed",
        'if shot["mode"] == "distance" and reaches(shot)',
        "if reaches(shot)",
        (*BALLS, *SCORES, *STRIKE),
    ),
    Fault(
        "webapp/card/strike.py",
        "a margin of a tenth",
        "MARGIN_SHARE, LEAST_MARGIN_M = 0.08",
        "MARGIN_SHARE, LEAST_MARGIN_M = 0.10",
        STRIKE,
    ),
    Fault(
        "webapp/card/strike.py",
        "short and long change places",
        '"short" if miss_m < -wide_m',
        '"long" if miss_m < -wide_m',
        STRIKE,
    ),
    Fault(
        "webapp/card/balls.py", "a rough lie costs strike", 'return shot["lie"] == "level" and not', "return not", BALLS
    ),
    Fault("webapp/delivery/findings.py", "a touch of six degrees", "TOUCH_DEG = 5.0", "TOUCH_DEG = 6.0", DELIVERY),
    Fault(
        "webapp/delivery/findings.py",
        "draw and fade change hands",
        '(side == "left") == (hand == "right")',
        '(side == "left") == (hand == "left")',
        DELIVERY,
    ),
    Fault(
        "webapp/delivery/findings.py",
        "no question about speed and carry",
        "asked += _vacuum_questions(",
        "_vacuum_questions(",
        DELIVERY,
    ),
    Fault("webapp/conditions/today.py", "a quarter is left open", "OPEN_SHARE = 0.40", "OPEN_SHARE = 0.25", CONDITIONS),
    Fault(
        "webapp/conditions/today.py",
        "half a yard for a yard is enough",
        "LEAST_GAIN = 0.6",
        "LEAST_GAIN = 0.5",
        CONDITIONS,
    ),
    Fault(
        "webapp/conditions/today.py",
        "wind may leave a fifth open",
        "WIDEST_SHARE = 0.12",
        "WIDEST_SHARE = 0.20",
        CONDITIONS,
    ),
    Fault(
        "webapp/conditions/today.py",
        "a cold ball at 9 degrees colder",
        "COLD_BALL_DEGC = 5.0",
        "COLD_BALL_DEGC = 17.0",
        CONDITIONS,
    ),
    Fault(
        "webapp/conditions/launches.py",
        "launch rises half as fast",
        "LAUNCH_PER_LOFT, LAUNCH_DEG_RANGE = 29.0, 0.5,",
        "LAUNCH_PER_LOFT, LAUNCH_DEG_RANGE = 29.0, 0.25,",
        CONDITIONS,
    ),
    Fault(
        "webapp/conditions/launches.py",
        "six readings replace the rule",
        "FEWEST_READINGS = 5",
        "FEWEST_READINGS = 6",
        CONDITIONS,
    ),
    Fault(
        "webapp/conditions/rungs.py", "the ladder ends at its shortest number", "[*below, *known]", "known", CONDITIONS
    ),
    Fault("webapp/physics/impact.py", "a heavier head", "HEAD_KG = 0.30", "HEAD_KG = 0.40", FLIGHT),
    Fault("webapp/physics/impact.py", "nearly no loss of speed", "SPEED_SHARE = 0.945", "SPEED_SHARE = 0.99", FLIGHT),
    Fault(
        "webapp/physics/ball.py",
        "drag as it was measured",
        "DRAG_CALIBRATION = 0.90",
        "DRAG_CALIBRATION = 1.00",
        FLIGHT,
    ),
    Fault("webapp/physics/ball.py", "spin that hardly decays", "SPIN_DECAY = 2.0e-5", "SPIN_DECAY = 1.0e-5", FLIGHT),
    Fault(
        "webapp/physics/air.py",
        "wind grows faster with height",
        "FORECAST_EXPONENT = 0.16",
        "FORECAST_EXPONENT = 0.20",
        FLIGHT,
    ),
    Fault(
        "webapp/physics/air.py",
        "air that cools faster",
        "STANDARD_LAPSE_K_M = 0.0065",
        "STANDARD_LAPSE_K_M = 0.0070",
        FLIGHT,
    ),
)
