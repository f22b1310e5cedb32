// Owns the page that follows a player along: it looks for new balls by itself and shows the card as a coach sees it.

import { answerOf, Refusal, request } from "../api.js";

const EVERY_MS = 5000;
const MISSING = "The code is missing. Make one under Coach links on the phone.";
const CLOSED = "This is closed now: six hours went by, or the player ended it. Make another code on the phone.";

const followed = document.getElementById("followed");
const wayOut = followed?.firstElementChild; // to the first page
const stamp = document.getElementById("stamp");

let token = "";
let state = "";
let asked = new URLSearchParams(location.search); // in which unit, of which kind of ball, with which number
let shown = "";
let timer = 0;

export function start() {
  token = location.hash.slice(1);
  if (!followed) return;
  addEventListener("hashchange", () => location.reload());
  if (!token) return tell(MISSING);
  document.addEventListener("visibilitychange", look);
  followed.addEventListener("click", stay);
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
  if (newest.state !== state) asked.set("cell", newest.cell);
  state = newest.state;
  const wanted = `${state} ${asked}`;
  if (wanted !== shown) {
    const { ok, status, text } = await request(`/w/${token}?${asked}`);
    if (!ok) throw new Refusal(status);
    const card = new DOMParser().parseFromString(text, "text/html").querySelector("main");
    put(card.children);
    shown = wanted;
  }
  stamp.textContent = `As of ${new Date().toLocaleTimeString("en-GB")}.`;
}

/** Put a card drawn anew in the place of the one before. Keyboard focus stays on the link it was on. */
function put(pieces) {
  const stood = followed.contains(document.activeElement) && document.activeElement.getAttribute("href");
  followed.replaceChildren(...pieces);
  if (stood) followed.querySelector(`a[href="${CSS.escape(stood)}"]`)?.focus({ preventScroll: true });
}

/** A way from the card to itself, such as another unit, changes what is looked at here: its own page would not follow. */
function stay(event) {
  const way = event.target.closest("a");
  const { pathname, search } = new URL(way?.getAttribute("href") ?? "", location);
  if (pathname !== `/w/${token}`) return;
  event.preventDefault();
  asked = new URLSearchParams(search);
  history.replaceState(null, "", `?${asked}#${token}`); // whoever comes back finds the same unit
  look();
}

/** Whoever stands at the tablet sees nothing more of a player whose link is over. */
function close() {
  followed.replaceChildren(wayOut);
  stamp.textContent = "";
  tell(CLOSED);
}

/** Say what is wrong, or "" for nothing. A screen reader speaks whatever is written here, so the same is not written twice. */
function tell(trouble) {
  const line = document.getElementById("trouble");
  if (line.textContent !== trouble) line.textContent = trouble;
}
