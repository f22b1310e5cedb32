// Owns words that several rules share; knows no page.

/** A number of things: "1 ball", "3 balls". */
export function counted(n, what) {
  return `${n} ${what}${n === 1 ? "" : "s"}`;
}
