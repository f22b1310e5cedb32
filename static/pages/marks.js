// Owns what the ground shows of an open bucket: the call's scale, its settled balls, and the ball a touch would move.

import { fromM } from "../rules/lengths.js";
import { stepOf } from "../rules/scale.js";

/** What the patch is to draw, in the unit on show; the ground speaks of the same call as the head. */
export function groundView(visit, seen, reopened, unit) {
  const { choices } = visit;
  const { bucket, asks } = seen;
  const call = reopened ? visit.callOf(reopened.body) : seen.call;
  const judged_by = choices.judged_by || bucket.body.judged_by;
  // The range's figures are measured from its own line: the bay's offset is taken off what the player should see.
  const meant = fromM(call.meant_carry_m - (bucket.body.bay_offset_m ?? 0), unit);
  const fine = judged_by === "laser" || judged_by === "monitor";
  return {
    meant: Math.max(meant, 5), step: stepOf(judged_by), hidden: choices.hide_number && call.mode === "swing",
    rain: choices.rain, asks: Boolean(asks) && !reopened, at_once: fine && !choices.rain,
    from: reopened && markOf(reopened, unit), marks: marksOf(choices, seen, reopened, call, judged_by, unit),
  };
}

/** Settled balls of this call as small dots, and the ball a touch would move or the numbered ones of a group. */
function marksOf({ group, grouped, hide_dots, rain }, { shots, moves, last }, reopened, call, judged_by, unit) {
  const rings = group ? shots.filter((shot) => grouped.includes(shot.root)) : [reopened ?? moves].filter(Boolean);
  if (rain && !rings.length && last) rings.push(last);
  // A visible pattern pulls the next judgement by eye towards it.
  const same = ({ body }) => body.club_id === call.club_id && body.swing_deg === call.swing_deg && !body.aside;
  const dots = hide_dots || judged_by === "eye" ? [] : shots.filter((shot) => !rings.includes(shot) && same(shot));
  const seenHere = ({ body }) => body.landed !== "unseen";
  return [
    ...dots.filter(seenHere).map((shot) => ({ ...markOf(shot, unit), settled: true })),
    ...rings.filter(seenHere).map((shot, place) => ({
      ...markOf(shot, unit), label: group ? String(place + 1) : "", left: shot === moves ? shot.fresh_until - Date.now() : undefined,
    })),
  ];
}

function markOf({ body: { carry_m, contact, landed } }, unit) {
  return { value: carry_m === null ? null : fromM(carry_m, unit), contact, landed };
}
