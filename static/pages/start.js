// Owns the live dial of the first page: it is drawn anew by the server while hand, unit, lofts or a full carry change.

import { guessedDial } from "../api.js";
import { UNIT_NAMES } from "../rules/constants.js";

const PAUSE_MS = 200; // between the last key and the asking
const NOT_DRAWN = new Set(["csrf_token", "join_code", "clinic"]); // secrets stand in no address

export function start() {
  const form = document.getElementById("start");
  if (!form) return; // without signal there is nothing to fill in
  let timer = null;
  let asked = 0;
  nameUnit();
  if ([...form.elements].some(isAnswered)) redraw();
  form.addEventListener("input", () => {
    nameUnit();
    clearTimeout(timer);
    timer = setTimeout(redraw, PAUSE_MS);
  });

  /** The carry is asked for in the unit chosen above it. */
  function nameUnit() {
    document.getElementById("unit-name").textContent = UNIT_NAMES[form.elements.unit.value];
  }

  /** Answers that cannot be a set yet, or no signal, leave the dial as it is. */
  async function redraw() {
    const mine = ++asked;
    const query = new URLSearchParams([...new FormData(form)].filter(([name]) => !NOT_DRAWN.has(name)));
    const drawing = await guessedDial(query).catch(() => null);
    if (!drawing || mine !== asked) return;
    document.getElementById("dial").innerHTML = drawing;
    document.body.dataset.mirrored = String(query.get("hand") === "left");
  }
}

/** Whether a player was faster than this script, or the browser put back what was answered before. */
function isAnswered({ type, value, defaultValue, checked, defaultChecked }) {
  if (type === "checkbox" || type === "radio") return checked !== defaultChecked;
  return defaultValue !== undefined && type !== "hidden" && value !== defaultValue;
}
