// Owns the start of a bucket on the phone: its form becomes a fact without the server.

import { toM } from "../rules/lengths.js";
import { temperature as degrees } from "../rules/readings.js";

/** Let the forms that start a bucket work without signal; `onbegin(body)` hears the bucket to begin. Gives their draw(). */
export function bindOpening(opening, visit, unit, onbegin) {
  opening.addEventListener("submit", (event) => {
    event.preventDefault();
    const given = Object.fromEntries(new FormData(event.target, event.submitter));
    if (given.do === "same") onbegin({ ...visit.seen.lastBucket, utc_offset_min: utcOffsetMin() });
    else onbegin({ ...bucketBody(given, unit()), ...(given.do === "task" && visit.data.first_task) });
  });
  return () => drawOpening(opening, visit);
}

/** Offer the bucket before once more, also one that only this phone knows yet; the first task only before any bucket. */
function drawOpening(opening, visit) {
  const last = visit.seen.lastBucket;
  opening.querySelector("#same").hidden = !last;
  opening.querySelector("#task").hidden = Boolean(last) || !visit.data.first_task;
  if (!last) return;
  const labels = ["surface", "ball", "judged_by"].map((name) => labelOf(opening, name, last[name]));
  opening.querySelector("#same .hint").textContent = [last.place, ...labels].filter(Boolean).join(", ");
}

function labelOf(opening, name, value) {
  return opening.querySelector(`[name="${name}"][value="${value}"]`)?.closest("label").textContent.trim();
}

/** The body of a bucket out of the values of its form; `unit` is that of the bay's offset. */
export function bucketBody({ place, bay_offset, temperature, temperature_unit, ...given }, unit) {
  const { surface, ball, judged_by, wind, wind_force, monitor_note, flags_checked } = given;
  const bay_offset_m = bay_offset ? toM(Number(bay_offset), unit) : null;
  const temperature_c = temperature ? degrees.toStored(Number(temperature), temperature_unit) : null;
  const said = { surface, ball, judged_by, wind, wind_force, monitor_note, flags_checked };
  return { place: place.trim(), ...said, bay_offset_m, temperature_c, utc_offset_min: utcOffsetMin() };
}

/** How far this phone's clock is ahead of UTC [min], so that the bucket's day is the player's own. */
export function utcOffsetMin() {
  return -new Date().getTimezoneOffset();
}
