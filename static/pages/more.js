// Owns the sheet behind "More": choices for this phone and bucket, conditions, a ball typed instead of touched.

import { fromM } from "../rules/lengths.js";
import { temperature } from "../rules/readings.js";
import { lengthIn, temperatureIn, unitOf } from "../ui/typed.js";
import { OPEN_WARM_UP } from "./visit.js";

const TICKS = ["rain", "direction", "check", "hide_number", "hide_dots"];
const OF_THE_BUCKET = ["place", "surface", "ball", "monitor_note", "flags_checked"];
const KEPT = ["lie", "flight", "judged_by"]; // hold from the next ball on; the balls before keep theirs

/** Bind the sheet; `deed(event)` does one, `record(reading)` hears a typed ball, `end()` the end. */
export function bindMore(sheet, unit, { deed, record, end }) {
  const part = (name) => sheet.querySelector(`[name="${name}"]`);
  const choose = (choices) => deed({ type: "choose", choices });
  const change = (fields) => deed({ type: "change", fields });
  for (const name of TICKS) part(name).addEventListener("change", ({ target }) => choose({ [name]: target.checked }));
  for (const name of KEPT) part(name).addEventListener("change", ({ target }) => choose({ [name]: target.value }));
  part("warm_up").addEventListener("change", ({ target }) => choose({ warm_up: target.checked ? OPEN_WARM_UP : 0 }));
  part("group").addEventListener("change", ({ target }) => choose({ group: Number(target.value), grouped: [] }));
  for (const name of ["wind", "wind_force"]) {
    part(name).addEventListener("change", () => choose({ wind: { wind: part("wind").value, wind_force: part("wind_force").value } }));
  }
  for (const name of OF_THE_BUCKET) part(name).addEventListener("change", ({ target }) => change({ [name]: target.value.trim() }));
  part("bay_offset").addEventListener("change", ({ target }) => {
    const bay_offset_m = lengthIn(target, unit());
    if (bay_offset_m !== undefined) change({ bay_offset_m });
  });
  for (const name of ["temperature", "temperature_unit"]) {
    part(name).addEventListener("change", () => {
      const temperature_c = temperatureIn(part("temperature"), part("temperature_unit").value);
      if (temperature_c !== undefined) change({ temperature_c });
    });
  }
  sheet.querySelector("#typed").addEventListener("submit", (event) => {
    event.preventDefault();
    const { carry, contact, landed, roll } = event.target.elements;
    const seen = landed.value === "seen";
    const carry_m = lengthIn(carry, unitOf(event.target));
    const roll_m = lengthIn(roll, unitOf(event.target));
    const unlike = carry_m !== undefined && seen !== (carry_m !== null);
    const ways = seen ? "Give the carry, or say that it was not seen." : "Say that it was seen, or empty the carry.";
    sheet.querySelector("#typed-said").textContent = unlike ? `${ways} Nothing was noted yet.` : "";
    if (unlike || carry_m === undefined || roll_m === undefined) return null;
    const rolled = roll_m === null ? {} : { roll_m };
    carry.value = "";
    roll.value = "";
    return record({ carry_m, contact: contact.value, landed: landed.value, coarse: false, ...rolled });
  });
  sheet.querySelector("#end").addEventListener("submit", (event) => {
    event.preventDefault();
    end();
  });
}

/** Show what is in force. */
export function fillMore(sheet, visit, unit) {
  const { choices, seen: { bucket } } = visit;
  const part = (name) => sheet.querySelector(`[name="${name}"]`);
  for (const name of TICKS) part(name).checked = choices[name];
  for (const name of ["group", "lie", "flight"]) part(name).value = choices[name];
  part("judged_by").value = choices.judged_by || bucket.body.judged_by;
  part("warm_up").checked = choices.warm_up > 0;
  part("wind").value = choices.wind?.wind ?? bucket.body.wind ?? "calm";
  part("wind_force").value = choices.wind?.wind_force ?? bucket.body.wind_force ?? "light";
  for (const name of OF_THE_BUCKET) part(name).value = bucket.body[name] ?? "";
  const { temperature_c } = bucket.body;
  part("temperature").value = Number.isFinite(temperature_c) ? temperature.shown(temperature_c, part("temperature_unit").value) : "";
  const { bay_offset_m } = bucket.body;
  part("bay_offset").value = Number.isFinite(bay_offset_m) ? Math.round(fromM(bay_offset_m, unit) * 10) / 10 : "";
}
