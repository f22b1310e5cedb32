// Owns the line of truth above the ground: how far the bucket has got, and whether the next ball counts for the card.
// Knows no page.

import { cardOf, whyNot } from "./counts.js";

const ENDS = { lie: { lie: "level" }, flight: { flight: "" }, wind: { wind: { wind: "calm", wind_force: "light" } } };

/** "5 of 40" as long as the plan lasts, else "1 ball", "12 balls". */
export function countWords({ struck, of }) {
  if (of && struck <= of) return `${struck} of ${of}`;
  return struck === 1 ? "1 ball" : `${struck} balls`;
}

/**
 * Whether a ball struck by this call counts, as {text, ends}: `ends` are the choices that would end what keeps it from
 * counting, null where the touch switches between the swing and the number instead.
 */
export function truthOf(call, bucket, choices, { card_only, ball, done }) {
  if (choices.warm_up) return { text: "warm-up – not counted", ends: { warm_up: 0 } };
  const given = { mode: "swing", lie: choices.lie, flight: choices.flight, course: card_only, ...(choices.wind ?? {}) };
  const why = whyNot(given, bucket, bucket.ball);
  if (why) return { text: `${why.replace(/ lie$/, "")} – not counted`, ends: endsOf(choices, bucket, why) };
  const plan = done ? "plan done · " : "";
  if (call.mode === "distance") return { text: `${plan}skill only, not the card`, ends: null };
  return { text: `${plan}counts for the ${cardOf(bucket.ball, ball)}`, ends: null };
}

function endsOf({ lie, flight }, bucket, why) {
  if (why === `${lie} lie`) return ENDS.lie;
  if (flight && why === flight) return ENDS.flight;
  return why === "strong wind" ? ENDS.wind : null;
}
