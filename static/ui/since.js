// Owns what a kept page says of its numbers: when they were made, how many balls since then they leave out, their unit.

import { changes, rowsOf } from "../outbox.js";
import { UNIT_NAMES } from "../rules/constants.js";
import { ballsSince } from "../rules/since.js";
import { isCardOnly } from "./card_only.js";

/** The time the numbers were made, by the phone's own clock; the day too once it is not today, also on a page left open. */
export function sayWhen(as_of) {
  const made = new Date(as_of);
  const time = made.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const day = made.toLocaleDateString("en-GB", { day: "numeric", month: "short" });
  const say = () => {
    const today = made.toDateString() === new Date().toDateString();
    for (const element of document.querySelectorAll("[data-as-of]")) element.textContent = `as of ${today ? time : `${day}, ${time}`}`;
  };
  say();
  document.addEventListener("visibilitychange", say);
}

/** Of numbers that only the server works out: when they were made and which balls are not in them, also as facts come. */
export function tellAge(data) {
  sayWhen(data.as_of);
  const tell = async () => {
    const line = document.querySelector("[data-since]");
    const rows = await rowsOf(data.book);
    const since = isCardOnly() ? 0 : ballsSince(data, rows); // for a round the card stands as it was made
    const [balls, come] = since === 1 ? ["1 newer ball is", "it comes"] : [`${since} newer balls are`, "they come"];
    const again = Object.assign(document.createElement("a"), { href: "", textContent: "open this page again" });
    const isSent = rows.every(({ state }) => state === "taken");
    line.hidden = !since;
    line.replaceChildren(`${balls} not in these numbers; `, isSent ? again : `${come} in with signal`, ".");
  };
  const retell = () => tell().catch(() => {}); // where the phone's store cannot be read the page stands as it was made
  changes.addEventListener("change", retell);
  return retell();
}

/** Of what no script turns into another unit: which one it is in, where this phone has chosen another since. */
export function tellUnit(unit) {
  const line = document.querySelector("[data-in-unit]");
  const chosen = document.body.dataset.unit;
  line.hidden = chosen === unit;
  line.textContent = `This ${line.dataset.inUnit} is in ${UNIT_NAMES[unit]}; your phone shows ${UNIT_NAMES[chosen]}.`;
}
