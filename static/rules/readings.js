// Owns the units of what a thermometer, a map and a forecast say, as webapp/units.py has them; knows no page.

import { ALTITUDE_M, DEGF_AT_0_DEGC, DEGF_PER_DEGC, SPEED_MPS, TEMPERATURE_NAMES } from "./more_constants.js";
import { halfUp } from "./lengths.js";

export const temperature = {
  toStored: (typed, unit) => (unit === "f" ? (typed - DEGF_AT_0_DEGC) / DEGF_PER_DEGC : typed),
  fromStored: (stored_c, unit) => (unit === "f" ? stored_c * DEGF_PER_DEGC + DEGF_AT_0_DEGC : stored_c),
  shown: (stored_c, unit) => `${halfUp(temperature.fromStored(stored_c, unit) * 10) / 10}`,
  words: (stored_c, unit) => `${temperature.shown(stored_c, unit)} ${TEMPERATURE_NAMES[unit]}`,
};

export const altitude = {
  toStored: (typed, unit) => typed * ALTITUDE_M[unit],
  shown: (stored_m, unit) => `${halfUp(stored_m / ALTITUDE_M[unit])}`,
  words: (stored_m, unit) => `${altitude.shown(stored_m, unit)} ${unit}`,
};

export function toMps(speed, speedUnit) {
  return speed * SPEED_MPS[speedUnit];
}
