"""Small faults of the phone's rules, which the shared cases have to notice in a real browser.

Knows the text of each place; tests/rules/test_mutants.py keeps it current.
"""

from .fault import Fault

RULES = ("tests/browser/test_rules.py",)
CHAIN = ("tests/browser/test_conditions.py::test_the_phone_gives_pythons_answers_and_sentences",)

ON_THE_PHONE = (
    Fault(
        "static/rules/plan.js",
        "a swing of nothing",
        "swing_deg >= 1 && swing_deg <= 180",
        "swing_deg >= 0 && swing_deg <= 180",
        RULES,
    ),
    Fault("static/rules/plan.js", "any kind of call", "&& MODES.includes(mode)", "", RULES),
    Fault("static/rules/plan.js", "a call to the moon", "|| meant_carry_m > LONGEST_CARRY_M", "", RULES),
    Fault("static/rules/plan.js", "why is whatever stands there", 'Object.hasOwn(WHY, why) ? why : ""', "why", RULES),
    Fault("static/rules/plan.js", "an empty end is written out", '.replace(/:+$/, "")', "", RULES),
    Fault(
        "static/rules/plan.js",
        "the place after the next",
        "plan_ref: String(place + 1)",
        "plan_ref: String(place)",
        RULES,
    ),
    Fault(
        "static/rules/plan.js",
        "the first ball again",
        "return Math.max(0, ...shots",
        "return Math.min(99, ...shots",
        RULES,
    ),
    Fault(
        "static/rules/plan.js",
        "the nine a moment late",
        "now_ms - last_struck_ms >= NINE_AFTER_MS",
        "now_ms - last_struck_ms > NINE_AFTER_MS",
        RULES,
    ),
    Fault(
        "static/rules/shot.js",
        "a clock set back reorders",
        "Date.parse(last) + 1 : 0",
        "Date.parse(last) - 1 : 0",
        RULES,
    ),
    Fault("static/rules/shot.js", "the smaller id wins a tie", "? fact.id > best.id :", "? fact.id < best.id :", RULES),
    Fault(
        "static/rules/shot.js",
        "the earlier fact is shown",
        ": fact.made_at > best.made_at",
        ": fact.made_at < best.made_at",
        RULES,
    ),
    Fault(
        "static/rules/shot.js",
        "a withdrawal can be corrected",
        "if ((fact.body === null) !== (best.body === null)) return fact.body === null;",
        "",
        RULES,
    ),
    Fault(
        "static/rules/shot.js",
        "an id of another version",
        "0x70 | (bytes[6] & 0x0f)",
        "0x40 | (bytes[6] & 0x0f)",
        RULES,
    ),
    Fault(
        "static/rules/lengths.js",
        "halves go down",
        "Math.floor(value + 0.5 + CLOSE)",
        "Math.ceil(value - 0.5 - CLOSE)",
        RULES,
    ),
    Fault(
        "static/rules/lengths.js",
        "metres taken for yards",
        "return length_m / LENGTH_M[unit]",
        "return length_m / LENGTH_M.yd",
        RULES,
    ),
    Fault(
        "static/rules/readings.js",
        "Fahrenheit without its 32",
        "(typed - DEGF_AT_0_DEGC) / DEGF_PER_DEGC",
        "typed / DEGF_PER_DEGC",
        RULES,
    ),
    Fault(
        "static/rules/readings.js", "feet taken for metres", "typed * ALTITUDE_M[unit]", "typed * ALTITUDE_M.m", RULES
    ),
    Fault("static/rules/limits.js", "one ball over the limit", "struck_today >= limit", "struck_today > limit", RULES),
    Fault(
        "static/rules/limits.js",
        "a rest before the first ball",
        "return struck_today && !(struck_today",
        "return !(struck_today",
        RULES,
    ),
    Fault(
        "static/rules/counts.js",
        "a ball to a number counts",
        'shot.mode === "distance"',
        'shot.mode === "number"',
        RULES,
    ),
    Fault("static/rules/counts.js", "a course note counts", "[shot.course, ", "[false, ", RULES),
    Fault(
        "static/rules/counts.js",
        "strong wind counts",
        'wind !== "calm" && force === "strong"',
        'wind === "calm" && force === "strong"',
        RULES,
    ),
    Fault(
        "static/rules/counts.js",
        "the bucket's wind hides the ball's",
        "shot.wind ? [shot.wind, shot.wind_force] :",
        "shot.gust ? [shot.wind, shot.wind_force] :",
        RULES,
    ),
    Fault(
        "static/rules/counts.js", "an indoor estimate counts", 'bucket.monitor_note === "indoor" &&', "false &&", RULES
    ),
    Fault(
        "static/rules/doubt.js",
        "a touch may be one slip away",
        "typed ? oneSlipFrom(entered) : wholeTensFrom(entered)",
        "oneSlipFrom(entered)",
        RULES,
    ),
    Fault(
        "static/rules/doubt.js", "every entry looks odd", "off(carry_m) <= limit * sd", "off(carry_m) <= 0 * sd", RULES
    ),
    Fault(
        "static/rules/doubt.js",
        "what was meant need not fit",
        "off(other_m) <= FITS_WITHIN_SDS * sd",
        "off(other_m) <= 99 * sd",
        RULES,
    ),
    Fault(
        "static/rules/doubt.js",
        "the farther number was meant",
        "off(other_m) < off(best)",
        "off(other_m) > off(best)",
        RULES,
    ),
    Fault(
        "static/rules/fitting.js",
        "roll added twice",
        "const carry_m = flag_m - roll_m",
        "const carry_m = flag_m + roll_m",
        RULES,
    ),
    Fault(
        "static/rules/fitting.js",
        "a margin without its least",
        "Math.max(margin.share * carry_m, margin.least_m)",
        "margin.share * carry_m",
        RULES,
    ),
    Fault(
        "static/rules/fitting.js",
        "trouble on either side of the ball",
        "front_m > carry_m + CLOSE",
        "front_m > carry_m + 99",
        RULES,
    ),
    Fault("static/rules/fitting.js", "what clears comes last", "one.clears ? -1 : 1", "one.clears ? 1 : -1", RULES),
    Fault(
        "static/rules/fitting.js",
        "only the long side breaks a tie",
        "Math.max(one.short, one.long) - Math.max(other.short, other.long)",
        "one.long - other.long",
        RULES,
    ),
    Fault(
        "static/rules/fitting.js",
        "what is missing turned round",
        "missing_m: asked.carry_m - closest.candidate.carry_m",
        "missing_m: closest.candidate.carry_m - asked.carry_m",
        RULES,
    ),
    Fault(
        "static/rules/fitting_words.js",
        "nine in ten rounded up over trouble",
        "rounded < front ? rounded :",
        "rounded <= front ? rounded :",
        RULES,
    ),
    Fault("static/rules/fitting_words.js", "just short by three", "front - nine < 1 ?", "front - nine < 3 ?", RULES),
    Fault("static/rules/flight.js", "no wind near the ground", "air.roughness_m ** 2", "0 * air.roughness_m", CHAIN),
    Fault("static/rules/flight.js", "spin that never decays", "-decay * speed * omega", "0 * decay", CHAIN),
    Fault(
        "static/rules/flight.js",
        "steps as long as in calm air",
        "sky.wind_exponent ? Math.min(step_s, first_step_s) : step_s",
        "step_s",
        CHAIN,
    ),
    Fault("static/rules/conditions.js", "a quarter is left open", "OPEN_SHARE * parts", "0.25 * parts", CHAIN),
    Fault(
        "static/rules/conditions.js",
        "wind behind is air too",
        'cause === "wind" && day.tail_mps < 0',
        'cause === "wind"',
        CHAIN,
    ),
    Fault(
        "static/rules/conditions.js",
        "two wedges for one number",
        "card_m - last[0][0] < MORE_M",
        "card_m - last[0][0] < 0",
        CHAIN,
    ),
    Fault(
        "static/rules/conditions.js",
        "a yard for a yard beyond the end",
        "Math.max(gain, LEAST_GAIN)",
        "Math.max(gain, 1)",
        CHAIN,
    ),
    Fault(
        "static/rules/condition_words.js",
        "a cold ball goes further",
        'plays: "more", flies: "less"',
        'plays: "less", flies: "more"',
        CHAIN,
    ),
)
