// Owns the sheet behind "More": choices for this phone and bucket, conditions, a ball typed instead of touched.

import { fromM, toM } from "../rules/lengths.js";

const TICKS = ["rain", "direction", "check", "hide_number", "warm_up"];

/** Bind the sheet; `changed()` is called after every choice, `record(reading)` for a typed ball, `end()` at the end. */
export function bindMore(sheet, visit, unit, { changed, record, end, say }) {
  const part = (name) => sheet.querySelector(`[name="${name}"]`);
  for (const name of TICKS) {
    part(name).addEventListener("change", async (event) => {
      const { checked } = event.target;
      if (name === "warm_up" && checked) await visit.change({ warm_up_balls: visit.bucket.body.warm_up_balls ?? 0 });
      await visit.choose({ [name]: checked });
      changed();
    });
  }
  part("group").addEventListener("change", async (event) => {
    await visit.choose({ group: Number(event.target.value), grouped: [] });
    changed();
  });
  // Wind and lie hold from the next ball on; the balls before keep theirs.
  for (const name of ["wind", "wind_force"]) {
    part(name).addEventListener("change", async () => {
      await visit.choose({ wind: { wind: part("wind").value, wind_force: part("wind_force").value } });
      changed();
    });
  }
  part("lie").addEventListener("change", (event) => visit.choose({ lie: event.target.value }));
  part("place").addEventListener("change", (event) => visit.change({ place: event.target.value.trim() }));
  part("bay_offset").addEventListener("change", async (event) => {
    const { value } = event.target;
    await visit.change({ bay_offset_m: value === "" ? null : toM(Number(value), unit()) });
    changed();
  });
  sheet.querySelector("#typed").addEventListener("submit", (event) => {
    event.preventDefault();
    const { carry, contact, landed } = event.target.elements;
    const seen = landed.value === "seen";
    if (seen && carry.value === "") return say("Give the carry, or say that it was not seen. Nothing was noted yet.");
    const carry_m = seen ? toM(Number(carry.value), unit()) : null;
    carry.value = "";
    return record({ carry_m, contact: contact.value, landed: landed.value });
  });
  sheet.querySelector("#end").addEventListener("submit", (event) => {
    event.preventDefault();
    end();
  });
}

/** Show what is in force. */
export function fillMore(sheet, visit, unit) {
  const { choices, bucket } = visit;
  const part = (name) => sheet.querySelector(`[name="${name}"]`);
  for (const name of TICKS) part(name).checked = choices[name];
  part("group").value = choices.group;
  part("lie").value = choices.lie;
  part("wind").value = choices.wind?.wind ?? bucket.body.wind ?? "calm";
  part("wind_force").value = choices.wind?.wind_force ?? bucket.body.wind_force ?? "light";
  part("place").value = bucket.body.place ?? "";
  const { bay_offset_m } = bucket.body;
  part("bay_offset").value = Number.isFinite(bay_offset_m) ? Math.round(fromM(bay_offset_m, unit) * 10) / 10 : "";
}
