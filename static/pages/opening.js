// Owns the start of a bucket on the phone: its form becomes a fact without the server.

import { toM } from "../ui/lengths.js";

/** Let the forms that start a bucket work without signal; `onbegin(body)` hears the bucket to begin. */
export function bindOpening(opening, data, unit, onbegin) {
  opening.addEventListener("submit", (event) => {
    event.preventDefault();
    const given = Object.fromEntries(new FormData(event.target, event.submitter));
    if (given.do === "same") onbegin({ ...data.last_bucket });
    else if (given.do === "task") onbegin({ ...FIRST_TIME, judged_by: data.judged_by, plan: data.first_task });
    else onbegin(bucketBody(given, unit()));
  });
}

/** What the first task takes for granted; the player can say otherwise by the longer form. */
const FIRST_TIME = { place: "", surface: "mat", ball: "range", wind: "calm", wind_force: "light", bay_offset_m: null };

function bucketBody({ place, surface, ball, judged_by, wind, wind_force, bay_offset }, unit) {
  const bay_offset_m = bay_offset ? toM(Number(bay_offset), unit) : null;
  return { place: place.trim(), surface, ball, judged_by, wind, wind_force, bay_offset_m };
}
