// Owns words that several rules share; knows no page.

/** A number of things: "1 ball", "3 balls". */
export function counted(n, what) {
  return `${n} ${what}${n === 1 ? "" : "s"}`;
}

/** What a touch does to the ball that was chosen in the row; its offer, which stands in the same place, says it too. */
export function chosenWords({ shots }, { root }) {
  return `ball ${shots.findIndex((shot) => shot.root === root) + 1}: touch where it came down`;
}
