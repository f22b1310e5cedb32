// Owns how a length in metres becomes one in the unit on show, and back; knows no page.

import { CLOSE, LENGTH_M } from "./constants.js";

export function fromM(length_m, unit) {
  return length_m / LENGTH_M[unit];
}

export function toM(length, unit) {
  return length * LENGTH_M[unit];
}

/** The nearest whole number, halves upwards. */
export function halfUp(value) {
  return Math.floor(value + 0.5 + CLOSE);
}

/** The whole number a reader is shown; the tiny term forgives the error of a round trip through metres. */
export function whole(length_m, unit) {
  return halfUp(fromM(length_m, unit));
}
