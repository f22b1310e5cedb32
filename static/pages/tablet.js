// Owns the page that follows a player along: it looks for new balls by itself and shows the card as a coach sees it.

import { answerOf, Refusal, request } from "../api.js";

const EVERY_MS = 5000;
const CLOSED = "This is closed now: six hours went by, or the player ended it. Make another code on the phone.";

let token = "";
let state = "";
let timer = 0;

export function start() {
  token = location.hash.slice(1);
  if (!document.getElementById("followed")) return;
  addEventListener("hashchange", () => location.reload());
  document.addEventListener("visibilitychange", look);
  look();
}

/** Look now and again in five seconds; a page that nobody sees looks for nothing. */
async function look() {
  clearTimeout(timer);
  if (document.hidden) return;
  try {
    await show();
  } catch (error) {
    if (error.status === 410) { say(CLOSED); return; }
    say(error.status === 429 ? "Too many questions from here: it looks again soon." : "No answer from the server just now: it looks again.");
  }
  timer = setTimeout(look, EVERY_MS);
}

async function show() {
  if (!token) return say("The code is missing. Make one under Coach links on the phone.");
  const newest = await answerOf(`/w/${token}/newest`);
  if (newest.state !== state) {
    const { ok, status, text } = await request(`/w/${token}?cell=${encodeURIComponent(newest.cell)}`);
    if (!ok) throw new Refusal(status);
    const card = new DOMParser().parseFromString(text, "text/html").querySelector("main");
    document.getElementById("followed").replaceChildren(...card.children);
    state = newest.state;
  }
  return say(`Follows along. Looked at ${new Date().toLocaleTimeString("en-GB")}, every five seconds.`);
}

function say(text) {
  document.getElementById("stamp").textContent = text;
}
