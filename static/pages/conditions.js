// Owns the page of conditions without signal: the phone answers by its own rule and names what only the server can.

import { flies, plays } from "../rules/conditions.js";
import { note, rangeWords, sentence } from "../rules/condition_words.js";
import { UNIT_NAMES } from "../rules/constants.js";
import { toM } from "../rules/lengths.js";
import { altitude, temperature, toMps } from "../rules/readings.js";
import { preferences, preferred } from "../ui/preferences.js";
import { bindUnit } from "../ui/readings.js";

const ONLY_THE_SERVER = "The phone cannot work this one out by itself; it needs the server. Nothing was changed.";

export function start(data) {
  shut();
  preferred.addEventListener("change", shut);
  const form = document.getElementById("ask");
  if (!form) return;
  if (![form.carry, form.height].some((field) => field.value)) form.unit.value = document.body.dataset.unit;
  form.addEventListener("submit", (event) => {
    if (event.submitter?.hasAttribute("data-server")) return;
    event.preventDefault();
    show(form, data);
    document.getElementById("said").scrollIntoView({ block: "center" });
  });
  bindUnits(form, document.getElementById("home-form").elements, data.table);
  form.addEventListener("change", () => show(form, data));
  preferred.addEventListener("change", () => show(form, data));
  document.body.classList.add("scripted");
}

/** A page kept from before the round must not say what card only shuts. */
function shut() {
  const isShut = preferences().card_only === true;
  document.getElementById("open").hidden = isShut;
  document.getElementById("shut").hidden = !isShut;
}

/** Every temperature and altitude of the page is in the unit chosen beside the question's box. */
function bindUnits(form, home, table) {
  bindUnit(form.temperature, form.temperature_unit, "temperature_unit", temperature);
  bindUnit(form.altitude, form.altitude_unit, "altitude_unit", altitude);
  bindUnit(home.home_temperature, home.home_temperature_unit, "temperature_unit", temperature);
  bindUnit(home.home_altitude, home.home_altitude_unit, "altitude_unit", altitude);
  const showHome = () => {
    for (const place of document.querySelectorAll("[data-home=temperature]")) {
      place.textContent = temperature.words(table.home_temperature_c, form.temperature_unit.value);
    }
    for (const place of document.querySelectorAll("[data-home=altitude]")) {
      place.textContent = altitude.words(table.home_altitude_m, form.altitude_unit.value);
    }
  };
  preferred.addEventListener("change", showHome);
  showHome();
}

function show(form, data) {
  const unit = form.unit.value;
  const { today, asked_m } = asking(form, data.table, unit);
  const answer = asked_m === null ? null : plays(data, asked_m, today);
  const needsServer = [...document.querySelectorAll("#numbers [data-card-m]")]
    .map((row) => showRow(row, data, today, unit))
    .includes(false);
  showAnswer(answer, data, today, asked_m, unit);
  const missing = asked_m === null ? needsServer : answer === null;
  document.getElementById("only-server").hidden = !missing;
  document.getElementById("only-server-words").textContent = missing ? ONLY_THE_SERVER : "";
}

/** What the form asks, in SI; what was left empty is as at home. */
function asking(form, table, unit) {
  const typed = (field, otherwise) => (field.value.trim() === "" ? otherwise : Number(field.value));
  const stored = (name, kind, otherwise) => (
    form[name].value.trim() === "" ? otherwise : kind.toStored(Number(form[name].value), form[`${name}_unit`].value)
  );
  const wind_mps = toMps(typed(form.wind, 0), form.speed_unit.value);
  const up_m = toM(typed(form.height, 0), unit);
  return {
    asked_m: form.carry.value.trim() === "" ? null : toM(Number(form.carry.value), unit),
    today: {
      temperature_c: stored("temperature", temperature, table.home_temperature_c),
      altitude_m: stored("altitude", altitude, table.home_altitude_m),
      tail_mps: form.wind_to.value === "down" ? wind_mps : -wind_mps,
      wind_at: form.wind_at.value,
      target_up_m: form.side.value === "up" ? up_m : -up_m,
    },
  };
}

function showAnswer(answer, data, today, asked_m, unit) {
  const { table } = data;
  const home = { temperature_c: table.home_temperature_c, altitude_m: table.home_altitude_m };
  const box = document.getElementById("answer");
  document.getElementById("problems")?.remove();
  box.hidden = answer === null;
  if (answer === null) return;
  const parts = {
    least: answer.at_least ? "at least " : "",
    range: rangeWords(answer, unit),
    unit: UNIT_NAMES[unit],
    sentence: sentence(asked_m, answer, home, today, unit, "plays"),
    note: note(asked_m, data, unit),
  };
  for (const [name, text] of Object.entries(parts)) box.querySelector(`[data-part="${name}"]`).textContent = text;
}

/** Say what one number of the card becomes; gives false where only the server can. */
function showRow(row, data, today, unit) {
  const answer = flies(data, Number(row.dataset.cardM), today);
  row.querySelector("[data-part=flies]").textContent =
    answer === null ? "ask the server" : rangeWords(answer, unit);
  if (answer) document.getElementById("or-less").hidden = !answer.at_least;
  return answer !== null;
}
