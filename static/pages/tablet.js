// Owns the page that follows a player along: it looks for new balls by itself and shows the card as a coach sees it.

import { answerOf, Refusal, request } from "../api.js";

const EVERY_MS = 5000;
const MISSING = "The code is missing. Make one under Coach links on the phone.";
const CLOSED = "This is closed now: six hours went by, or the player ended it. Make another code on the phone.";

const followed = document.getElementById("followed");
const heading = followed?.firstElementChild;
const stamp = document.getElementById("stamp");

let token = "";
let state = "";
let timer = 0;

export function start() {
  token = location.hash.slice(1);
  if (!followed) return;
  addEventListener("hashchange", () => location.reload());
  if (!token) return tell(MISSING);
  document.addEventListener("visibilitychange", look);
  look();
}

/** Look now and again in five seconds; a page that nobody sees looks for nothing. */
async function look() {
  clearTimeout(timer);
  if (document.hidden) return;
  try {
    await show();
    tell("");
  } catch (error) {
    if (error.status === 410) return close();
    tell(error.status === 429 ? "Too many questions from here: it looks again soon." : "No answer from the server just now: it looks again.");
  }
  timer = setTimeout(look, EVERY_MS);
}

async function show() {
  const newest = await answerOf(`/w/${token}/newest`);
  if (newest.state !== state) {
    const { ok, status, text } = await request(`/w/${token}?cell=${encodeURIComponent(newest.cell)}`);
    if (!ok) throw new Refusal(status);
    const card = new DOMParser().parseFromString(text, "text/html").querySelector("main");
    followed.replaceChildren(...card.children);
    state = newest.state;
  }
  stamp.textContent = `As of ${new Date().toLocaleTimeString("en-GB")}.`;
}

/** Whoever stands at the tablet sees nothing more of a player whose link is over. */
function close() {
  followed.replaceChildren(heading);
  stamp.textContent = "";
  tell(CLOSED);
}

/** Say what is wrong, or "" for nothing. A screen reader speaks whatever is written here, so the same is not written twice. */
function tell(trouble) {
  const line = document.getElementById("trouble");
  if (line.textContent !== trouble) line.textContent = trouble;
}
