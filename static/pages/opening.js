// Owns the start of a bucket on the phone: its form becomes a fact without the server.

import { limitWords, struck } from "../rules/limits.js";
import { lengthIn, temperatureIn, unitOf } from "../ui/typed.js";

const SAID = ["surface", "ball", "judged_by", "wind", "wind_force", "monitor_note", "flags_checked"];

/**
 * Let the forms that start a bucket work without signal; `onbegin(body)` hears the bucket to begin and tells when it has.
 * The ground is where a reader goes on then, since the form is gone. Gives their draw().
 */
export function bindOpening(opening, visit, onbegin) {
  const begin = async (body) => {
    await onbegin(body);
    document.getElementById("patch").focus({ preventScroll: true });
  };
  opening.addEventListener("submit", (event) => {
    event.preventDefault();
    const asked = event.submitter?.value;
    if (asked === "same") return begin({ ...visit.seen.lastBucket, utc_offset_min: utcOffsetMin() });
    const body = bucketBody(event.target);
    return body && begin({ ...body, ...(asked === "task" && visit.data.first_task) });
  });
  return () => drawOpening(opening, visit);
}

/** What is said of the balls struck today; `seen` is rules/visit.js look. */
export function limitWordsBy({ balls }, seen) {
  return limitWords(struckBy(balls, seen).today, balls.limit);
}

/** The balls struck as {today, week}; a page kept since an older version names no buckets, and has no line for their balls. */
export function struckBy({ buckets = [] } = {}, seen) {
  return struck(buckets, seen.struck, Date.now(), utcOffsetMin());
}

/** Say how many balls a week saw before a bucket is started. */
export function tellWeek(opening, week) {
  const told = opening.querySelector("[data-week]");
  if (told) told.hidden = !week;
  told?.querySelector("span").replaceChildren(week);
}

/** Offer the bucket before once more, also one that only this phone knows yet; the first task only before any bucket. */
function drawOpening(opening, { data, seen }) {
  const last = seen.lastBucket;
  tellWeek(opening, struckBy(data.balls, seen).week);
  opening.querySelector("#same").hidden = !last;
  opening.querySelector("#task").hidden = Boolean(last) || !data.first_task;
  if (!last) return;
  const labels = ["surface", "ball", "judged_by"].map((name) => labelOf(opening, name, last[name]));
  opening.querySelector("#same .hint").textContent = [last.place, ...labels].filter(Boolean).join(", ");
}

function labelOf(opening, name, value) {
  return opening.querySelector(`[name="${name}"][value="${value}"]`)?.closest("label").textContent.trim();
}

/** The body of a bucket out of its form, or null where a box is refused. */
export function bucketBody(form) {
  const { elements } = form;
  const bay_offset_m = lengthIn(elements.bay_offset, unitOf(form));
  const temperature_c = temperatureIn(elements.temperature, elements.temperature_unit.value);
  if (bay_offset_m === undefined || temperature_c === undefined) return null;
  const said = Object.fromEntries(SAID.map((name) => [name, elements[name].value]));
  return { place: elements.place.value.trim(), ...said, bay_offset_m, temperature_c, utc_offset_min: utcOffsetMin() };
}

/** How far this phone's clock is ahead of UTC [min], so that the bucket's day is the player's own. */
function utcOffsetMin() {
  return -new Date().getTimezoneOffset();
}
