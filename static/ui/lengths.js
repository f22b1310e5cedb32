// Owns how a length is shown and in which unit; with readings.js the one place in the scripts with conversion factors.

const LENGTH_M = { yd: 0.9144, m: 1 }; // the international yard is exact (1959 agreement)
export const UNIT_NAMES = { yd: "yards", m: "metres" };

export function fromM(length_m, unit) {
  return length_m / LENGTH_M[unit];
}

export function toM(length, unit) {
  return length * LENGTH_M[unit];
}

/** The whole number a reader is shown; the tiny term forgives the error of a round trip through metres. */
export function whole(length_m, unit) {
  return Math.floor(fromM(length_m, unit) + 0.5 + 1e-9);
}

/** Show every length under `root` in `unit`; each carries its metres in data-m, so nothing is rounded twice. */
export function relabel(root, unit) {
  for (const element of root.querySelectorAll("[data-m]")) {
    if (element.dataset.m !== "") element.textContent = whole(Number(element.dataset.m), unit);
  }
  for (const element of root.querySelectorAll("[data-unit-name]")) element.textContent = UNIT_NAMES[unit];
}
