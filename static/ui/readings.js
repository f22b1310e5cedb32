// Owns the units of what a thermometer, a map and a forecast say, word for word as webapp/units.py; knows no page's sums.

import { preferences, prefer, preferred } from "./preferences.js";

const SPEED_MPS = { mph: 0.44704, kmh: 1 / 3.6, mps: 1 }; // the mile of 1609.344 m is exact
const ALTITUDE_M = { m: 1, ft: 0.3048 }; // a third of the yard, exact
const DEGREES = { c: "°C", f: "°F" };

export const temperature = {
  toStored: (typed, unit) => (unit === "f" ? (typed - 32) / 1.8 : typed),
  shown: (stored_c, unit) => `${Math.floor((unit === "f" ? stored_c * 1.8 + 32 : stored_c) * 10 + 0.5 + 1e-9) / 10}`,
  words: (stored_c, unit) => `${temperature.shown(stored_c, unit)} ${DEGREES[unit]}`,
};

export const altitude = {
  toStored: (typed, unit) => typed * ALTITUDE_M[unit],
  shown: (stored_m, unit) => `${Math.floor(stored_m / ALTITUDE_M[unit] + 0.5 + 1e-9)}`,
  words: (stored_m, unit) => `${altitude.shown(stored_m, unit)} ${unit}`,
};

export function toMps(speed, speedUnit) {
  return speed * SPEED_MPS[speedUnit];
}

/**
 * Let the choice beside a box speak for this phone. A number that was typed keeps its digits when the unit changes;
 * a number that the page showed (data-kept holds what is stored) is shown again in the new unit.
 */
export function bindUnit(box, choice, name, { shown }) {
  const isTyped = () => box.value !== "" && (box.dataset.kept === undefined || box.value !== box.defaultValue);
  const showKept = () => {
    if (box.dataset.kept === undefined || isTyped()) return;
    box.defaultValue = box.value = shown(Number(box.dataset.kept), choice.value);
  };
  const follow = () => {
    if (isTyped()) return;
    choice.value = preferences()[name] ?? choice.value;
    showKept();
  };
  choice.addEventListener("change", () => {
    showKept();
    prefer({ [name]: choice.value });
  });
  preferred.addEventListener("change", follow);
  follow();
}
