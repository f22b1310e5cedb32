// Owns the words of a plan and which call is next; knows no page, database or network, so it works without signal.
// The patch asks `nextCall(bucket.body.plan, shots)` and stores its `plan_ref` with the ball; a stopped plan goes on
// at the next ball. The same rules in Python: webapp/practice/plan_words.py, held together by tests/vectors/plan/.

import { LASTING_WHY, LONGEST_CARRY_M, MODES, NO_BALL_YET, WHY } from "./constants.js";

const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/i;
const NUMBER = /^\d{1,3}(\.\d{1,2})?$/;
const HOMEWORK_REF = /^[0-9a-f]{8}\.[1-9]\d{0,2}$/;
const PLACE = /^[1-9]\d{0,2}$/;

/** The call of a word such as "<club id>:90:distance:49.38:mixed", or null for a word that is none. */
export function parse(word) {
  const [club_id, swing_text = "", mode = "", carry_text = "", why = "", ref = ""] = word.split(":");
  const swing_deg = NUMBER.test(swing_text) ? Number(swing_text) : 0;
  const meant_carry_m = NUMBER.test(carry_text) ? Number(carry_text) : null;
  const sound = UUID.test(club_id) && swing_deg >= 1 && swing_deg <= 180 && MODES.includes(mode);
  if (!sound || (carry_text && meant_carry_m === null) || meant_carry_m > LONGEST_CARRY_M) return null;
  const homework_ref = HOMEWORK_REF.test(ref) ? ref : "";
  return { club_id, swing_deg, mode, meant_carry_m, why: Object.hasOwn(WHY, why) ? why : "", homework_ref };
}

/** The word of a call; what is missing at its end is left out. */
export function written({ club_id, swing_deg, mode, meant_carry_m = null, why = "", homework_ref = "" }) {
  const carry = meant_carry_m === null ? "" : meant_carry_m.toFixed(2);
  return [club_id, swing_deg, mode, carry, why, homework_ref].join(":").replace(/:+$/, "");
}

/** How many places of a plan are behind: the last place that any of the bucket's shots (bodies) was struck for. */
export function done(shots) {
  return Math.max(0, ...shots.map(({ plan_ref }) => (PLACE.test(plan_ref ?? "") ? Number(plan_ref) : 0)));
}

/** The next call of a plan with its `plan_ref`, or null when there is no plan or it is done; bad words are passed over. */
export function nextCall(plan, shots) {
  for (let place = done(shots); place < (plan?.length ?? 0); place += 1) {
    const call = parse(plan[place]);
    if (call) return { ...call, plan_ref: String(place + 1) };
  }
  return null;
}

/**
 * Why a call is in its plan, in words, as long as that holds: what was planned about its number goes once a ball of it is
 * among the shots of this bucket, and that there is no ball yet also once one is among all that this phone `knows`.
 */
export function whyWords({ why, club_id, swing_deg }, shots, knows) {
  const ofCell = ({ body }) => body?.club_id === club_id && body.swing_deg === swing_deg;
  const isOver = !LASTING_WHY.includes(why) && (shots.some(ofCell) || (NO_BALL_YET.includes(why) && knows.some(ofCell)));
  return isOver ? "" : WHY[why] ?? "";
}
