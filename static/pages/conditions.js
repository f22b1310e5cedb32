// Owns the page of conditions on the phone: every change of a box is answered at once, with signal and without.

import { dayOf, flies, plays } from "../rules/conditions.js";
import { doubts, note, rangeWords, sentence } from "../rules/condition_words.js";
import { UNIT_NAMES } from "../rules/constants.js";
import { toM, whole } from "../rules/lengths.js";
import { altitude, temperature, toMps } from "../rules/readings.js";
import { preferences, preferred } from "../ui/preferences.js";
import { bindUnit } from "../ui/readings.js";
import { tellAge } from "../ui/since.js";
import { numberIn } from "../ui/typed.js";

const BOXES = ["carry", "temperature", "altitude", "wind", "height"];

export function start(data) {
  shut();
  preferred.addEventListener("change", shut);
  const form = document.getElementById("ask");
  if (!form) return;
  const { unit } = document.body.dataset;
  const follows = form.unit.value !== unit && ![form.carry, form.height].some((field) => field.value);
  if (follows) form.unit.value = unit;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    show(form, data);
    document.getElementById("said").scrollIntoView({ block: "center" });
  });
  bindUnits(form, document.getElementById("home-form").elements, data.home);
  for (const change of ["input", "change"]) form.addEventListener(change, () => show(form, data));
  preferred.addEventListener("change", () => show(form, data));
  if (follows) show(form, data);
  tellAge(data);
}

/** A page kept from before the round must not say what card only shuts. */
function shut() {
  const isShut = preferences().card_only === true;
  document.getElementById("open").hidden = isShut;
  document.getElementById("shut").hidden = !isShut;
}

/** Every temperature and altitude of the page is in the unit chosen beside the question's box. */
function bindUnits(form, boxes, home) {
  bindUnit(form.temperature, form.temperature_unit, "temperature_unit", temperature);
  bindUnit(form.altitude, form.altitude_unit, "altitude_unit", altitude);
  bindUnit(boxes.home_temperature, boxes.home_temperature_unit, "temperature_unit", temperature);
  bindUnit(boxes.home_altitude, boxes.home_altitude_unit, "altitude_unit", altitude);
  const showHome = () => {
    for (const place of document.querySelectorAll("[data-home=temperature]")) {
      place.textContent = temperature.words(home.temperature_c, form.temperature_unit.value);
    }
    for (const place of document.querySelectorAll("[data-home=altitude]")) {
      place.textContent = altitude.words(home.altitude_m, form.altitude_unit.value);
    }
  };
  preferred.addEventListener("change", showHome);
  showHome();
}

function show(form, data) {
  const unit = form.unit.value;
  const typed = Object.fromEntries(BOXES.map((name) => [name, numberIn(form[name])]));
  const isRead = !Object.values(typed).includes(undefined); // what is refused is said under its box
  const { today, asked_m } = asking(form, typed, data.home, unit);
  const problems = isRead ? doubts(today, asked_m, unit, form.temperature_unit.value, form.altitude_unit.value) : [];
  const day = problems.length || !isRead ? null : dayOf(data, today);
  const answer = day && asked_m !== null ? plays(day, asked_m) : null;
  showAnswer(answer, problems, { home: data.home, today, asked_m, unit });
  for (const row of document.querySelectorAll("#numbers [data-number]")) showRow(row, data.rungs, day, unit);
  document.getElementById("or-less").hidden = !day?.at_least;
}

/** What the form asks, in SI; what was left empty is as at home. */
function asking(form, typed, home, unit) {
  const stored = (name, kind, otherwise) => (
    typed[name] === null ? otherwise : kind.toStored(typed[name], form[`${name}_unit`].value)
  );
  const wind_mps = toMps(typed.wind ?? 0, form.speed_unit.value);
  const up_m = toM(typed.height ?? 0, unit);
  return {
    asked_m: typed.carry === null ? null : toM(typed.carry, unit),
    today: {
      temperature_c: stored("temperature", temperature, home.temperature_c),
      altitude_m: stored("altitude", altitude, home.altitude_m),
      tail_mps: form.wind_to.value === "down" ? wind_mps : -wind_mps,
      wind_at: form.wind_at.value,
      target_up_m: form.side.value === "up" ? up_m : -up_m,
    },
  };
}

function showAnswer(answer, problems, { home, today, asked_m, unit }) {
  document.getElementById("problems")?.remove();
  const box = document.getElementById("answer");
  const said = answer ? sentence(asked_m, answer, home, today, unit, "plays") : "";
  box.hidden = !answer || Boolean(answer.refused);
  if (box.hidden) {
    const lines = [...problems, said].filter(Boolean);
    if (lines.length) box.before(noticeOf(lines));
    return;
  }
  const parts = {
    more: answer.at_least ? " or more" : "",
    range: rangeWords(answer, unit),
    unit: UNIT_NAMES[unit],
    sentence: said,
    note: note(asked_m, unit),
  };
  for (const [name, text] of Object.entries(parts)) box.querySelector(`[data-part="${name}"]`).textContent = text;
}

function noticeOf(lines) {
  const notice = Object.assign(document.createElement("div"), { id: "problems", className: "problems" });
  notice.append(...lines.map((textContent) => Object.assign(document.createElement("p"), { textContent })));
  return notice;
}

/** What one number of the card becomes; as it is while the day cannot be worked with. */
function showRow(row, rungs, day, unit) {
  const place = rungs.findIndex(({ key }) => key === row.dataset.number);
  const answer = day && place >= 0 ? flies(day, place) : null;
  const said = answer?.refused ? "not known" : answer && rangeWords(answer, unit);
  const card = row.querySelector("[data-m]");
  card.textContent = whole(card.dataset.m, unit);
  row.querySelector("[data-part=flies]").textContent = said ?? card.textContent;
}
