// Owns what a kept page says of its numbers' age: when they were made, and how many balls since then they leave out.

import { changes, rowsOf } from "../outbox.js";
import { ballsSince } from "../rules/since.js";

/** The time the numbers were made, by the phone's own clock; the day too when it is not today. */
export function sayWhen(as_of) {
  const made = new Date(as_of);
  const time = made.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
  const today = made.toDateString() === new Date().toDateString();
  const day = made.toLocaleDateString("en-GB", { day: "numeric", month: "short" });
  for (const element of document.querySelectorAll("[data-as-of]")) element.textContent = `as of ${today ? time : `${day}, ${time}`}`;
}

/** Of chances that only the server works out: when they were made and which balls are not in them, also as facts come. */
export function tellAge(data) {
  sayWhen(data.as_of);
  const tell = async () => {
    const line = document.querySelector("[data-since]");
    const rows = await rowsOf(data.book);
    const since = ballsSince(data, rows);
    const [balls, come] = since === 1 ? ["1 newer ball is", "it comes"] : [`${since} newer balls are`, "they come"];
    const again = Object.assign(document.createElement("a"), { href: "", textContent: "open this page again" });
    const isSent = rows.every(({ state }) => state === "taken");
    line.hidden = !since;
    line.replaceChildren(`${balls} not in these chances; `, isSent ? again : `${come} in with signal`, ".");
  };
  const retell = () => tell().catch(() => {}); // where the phone's store cannot be read the page stands as it was made
  changes.addEventListener("change", retell);
  return retell();
}
