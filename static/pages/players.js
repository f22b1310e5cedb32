// Owns a coach's list of players: the links kept in this browser alone, and what each of them tells now.

import { answerOf } from "../api.js";
import { StorageFault, done, transact } from "../db.js";
import { element } from "../ui/elements.js";
import { say } from "../ui/said.js";
import { storageWords } from "../ui/storage_words.js";

const STORE = "players"; // a list of {token, name, seen_at}; seen_at is "" until the card was opened from here
const MOST = 100;
const TOKEN = /^[A-Za-z0-9_-]{32}$/;
const PRIVATE = "This browser keeps nothing (a private window?), so no list can be kept here. Keep the links as bookmarks.";
const CLOSED = "This link is closed. Ask the player for a new one.";
const AWAY = "No answer from the server just now.";
const TROUBLE = { 410: CLOSED, 429: "Too many questions from here. Wait a minute, then ask again." };
const told = new Map(); // what each link told on this page: a list that changes asks nothing again

export async function start() {
  const part = (id) => document.getElementById(id);
  part("read").addEventListener("submit", (event) => {
    event.preventDefault();
    offer(part("link").value);
  });
  part("forget-all").addEventListener("click", () => guarded(async () => {
    await draw(await change(() => []));
    part("back").replaceChildren();
    part("forgetting").open = false;
    say("All forgotten. This browser keeps no player any more.");
  }));
  part("again").addEventListener("click", () => guarded(async () => {
    told.clear();
    await draw(await change((kept) => kept));
  }));
  part("print").addEventListener("click", () => print());
  addEventListener("hashchange", readHash);
  addEventListener("pageshow", ({ persisted }) => { if (persisted) part("again").click(); }); // back from a card: it was seen since
  document.querySelector("[data-today]").textContent = new Date().toLocaleDateString("en-GB", { dateStyle: "long" });
  await guarded(async () => {
    const kept = await change((all) => all);
    readHash();
    await draw(kept);
  });
}

/** The link of a player comes behind the "#", which no server sees; it goes out of the address at once. */
function readHash() {
  if (location.hash.length < 2) return;
  const text = location.hash.slice(1);
  history.replaceState(history.state, "", location.pathname);
  offer(text);
}

/** Ask what a link tells, and whether it is to be kept. */
async function offer(text) {
  const form = document.getElementById("keep");
  const token = tokenOf(text);
  form.hidden = true;
  if (!token) return say("This is no player’s link of this server: it ends in /w/ and 32 letters. Nothing was kept.");
  const line = await lineOf(token);
  if (line.trouble) return say(`${line.trouble} Nothing was kept.`);
  const known = (await change((kept) => kept)).find((one) => one.token === token);
  form.querySelector("[data-told]").replaceChildren(...linesOf(line));
  document.getElementById("name").value = known?.name ?? line.name;
  form.onsubmit = (event) => {
    event.preventDefault();
    guarded(() => keep(token, document.getElementById("name").value.trim()));
  };
  document.getElementById("said").hidden = true;
  form.hidden = false;
  return form.scrollIntoView({ block: "nearest" });
}

async function keep(token, name) {
  if (!name) return say("Give the player a name first. Nothing was kept.");
  let full = false;
  const kept = await change((all) => {
    const known = all.find((one) => one.token === token);
    full = !known && all.length >= MOST;
    if (full) return all;
    return [...all.filter((one) => one !== known), { token, name, seen_at: known?.seen_at ?? "" }];
  });
  if (full) return say(`${MOST} players are kept here, which is the most. Forget one first; nothing was kept.`);
  document.getElementById("keep").hidden = true;
  document.getElementById("paste").open = false;
  document.getElementById("link").value = "";
  // What was forgotten here and is kept again needs no way back.
  document.getElementById(token)?.remove();
  say(`${name} is kept in this browser.`);
  return draw(kept);
}

/** Every player, the longest unseen first; the lines come one after the other, so that many ask no more than one. */
async function draw(kept) {
  const sorted = [...kept].sort((one, other) => (one.seen_at === other.seen_at ? one.name.localeCompare(other.name) : one.seen_at < other.seen_at ? -1 : 1));
  const items = sorted.map((one) => [one, item(one)]);
  document.getElementById("players").replaceChildren(...items.map(([, made]) => made));
  for (const id of ["keys", "forgetting"]) document.getElementById(id).hidden = !kept.length;
  document.getElementById("none").hidden = kept.length > 0;
  for (const [one, made] of items) {
    if (!made.isConnected) return; // drawn anew since
    made.querySelector("[data-told]").replaceChildren(...linesOf(await lineOf(one.token), seenWords(one)));
  }
}

function item(player) {
  const { token, name } = player;
  const at = `/w/${token}`;
  const way = element("a", { href: at, rel: "noreferrer" }, name);
  way.addEventListener("click", (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    guarded(() => change((kept) => kept.map((one) => (one.token === token ? { ...one, seen_at: new Date().toISOString() } : one))))
      .finally(() => location.assign(at));
  });
  const forget = element("button", { type: "button", class: "quiet on-screen", "aria-label": `forget ${name}` }, "forget");
  forget.addEventListener("click", () => guarded(async () => {
    await draw(await change((kept) => kept.filter((one) => one.token !== token)));
    say(`${name} is forgotten here. The link itself stays open until it ends.`);
    document.getElementById("back").append(wayBack(player));
  }));
  const asking = element("p", { class: "hint" }, "asking …");
  return element("li", {}, element("div", { class: "row" }, element("h2", {}, way), forget), element("div", { "data-told": "" }, asking));
}

/** A key that takes a forgotten player into the list again: the address is nowhere else in this browser. */
function wayBack(player) {
  const key = element("button", { type: "button", id: player.token }, `Put ${player.name} back`);
  key.addEventListener("click", () => guarded(async () => {
    await draw(await change((kept) => [...kept.filter(({ token }) => token !== player.token), player]));
    key.remove();
    say(`${player.name} is in the list again.`);
  }));
  return key;
}

/** What a link tells, or the trouble why it tells nothing. */
async function lineOf(token) {
  try {
    if (!told.has(token)) told.set(token, await answerOf(`/w/${token}/line`));
    return told.get(token);
  } catch (error) {
    return { trouble: TROUBLE[error.status] ?? (error.status ? "The server cannot show this card just now." : AWAY) };
  }
}

function linesOf({ told: lines = [], ends_on, trouble }, seen = "") {
  const below = [ends_on && `open until ${ends_on}`, seen].filter(Boolean).join("; ");
  return [...lines, trouble].filter(Boolean).map((words) => element("p", {}, words)).concat(element("p", { class: "hint" }, below));
}

function seenWords({ seen_at }) {
  if (!seen_at) return "not opened from here yet";
  return `opened from here on ${new Date(seen_at).toLocaleDateString("en-GB", { dateStyle: "medium" })}`;
}

/** The secret of a link, or of a text that ends in it; a link of another server cannot be asked from here. */
function tokenOf(text) {
  const typed = text.trim();
  if (TOKEN.test(typed)) return typed;
  try {
    const { origin, pathname } = new URL(typed);
    const [, way, token] = pathname.split("/");
    return origin === location.origin && way === "w" && TOKEN.test(token) ? token : "";
  } catch {
    return "";
  }
}

/** Read the list, and keep what `deed` makes of it, in one transaction: two windows lose nothing of one another. */
function change(deed) {
  return transact("readwrite", async ({ meta }) => {
    const before = (await done(meta.get(STORE))) ?? [];
    const after = deed(before);
    if (after !== before) await done(after.length ? meta.put(after, STORE) : meta.delete(STORE));
    return after;
  });
}

async function guarded(deed) {
  try {
    await deed();
  } catch (error) {
    if (!(error instanceof StorageFault)) throw error;
    say(error.state === "private" ? PRIVATE : storageWords(error));
  }
}
