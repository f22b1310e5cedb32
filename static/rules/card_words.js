// Owns what a number of the card is called and what it rests on, in the words of webapp/card/card_words.py.
// Knows no page; shared cases hold both.

import { counted } from "./words.js";

/** How far a number may be trusted: its word, or "settled by eye" where no ball of it was measured. */
export function trustOf({ trust, by_eye }) {
  return trust === "settled" && by_eye ? "settled by eye" : trust;
}

/** What a number rests on: "24 balls in 3 visits", "the latest 200 balls in 9 visits, at most 50 a visit". */
export function restsOn({ n, visits, of_latest, at_most }) {
  const balls = `${of_latest ? "the latest " : ""}${counted(n, "ball")} in ${counted(visits, "visit")}`;
  return n ? `${balls}${at_most ? `, at most ${at_most} a visit` : ""}` : "no balls yet";
}

/** How many balls a number rests on, as a table says it: "24", "latest 200". */
export function howMany({ n, of_latest }) {
  return `${of_latest ? "latest " : ""}${n}`;
}
