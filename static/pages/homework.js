// Owns the page of homework on the phone: the code in the address's fragment is read and accepted without the server.

import { add, newFact, revise, rowsOf } from "../outbox.js";
import { headWords, matched, nineWords, planOf, rowWords, runsOf, strikable } from "../rules/homework.js";
import { read } from "../rules/homework_code.js";
import { accepted } from "../ui/accepted.js";
import { weekday } from "../ui/days.js";
import { element } from "../ui/elements.js";
import { preferences } from "../ui/preferences.js";
import { say } from "../ui/said.js";

const BUTTONS = { accept, read: readTyped };

export async function start(data) {
  const form = document.getElementById("take");
  const page = { data, form, part: document.getElementById("from-coach"), told: null };
  form.addEventListener("submit", (event) => {
    const deed = BUTTONS[event.submitter?.value ?? "read"];
    if (event.submitter?.value === "accept" && (!page.told || data.junior)) return; // the server asks for the PIN, or has read this one
    event.preventDefault();
    deed(page).catch((error) => say(`This could not be saved on this phone (${error.name}), so nothing was accepted. Make room, then try again.`));
  });
  await showAccepted(data);
  addEventListener("hashchange", () => readText(page, location.hash));
  if (location.hash.length > 1) await readText(page, location.hash);
}

/** What this phone alone knows of accepted homework yet: one accepted without signal, and balls struck since the page came. */
async function showAccepted(data) {
  const part = document.getElementById("accepted");
  const all = accepted(data, await rowsOf(data.book));
  const lines = all.flatMap(({ id, struck, plan, nine_by, nine_left, focus }) => {
    const progress = `${struck.length} of ${plan.length} balls struck`;
    const listed = part.querySelector(`[action="/homework/${id}/aside"]`);
    const due = nine_by && nine_left.length ? ` (due by ${weekday(nine_by)})` : "";
    if (!listed) return [lineOf(`Saved on this phone: ${progress}${due}`, focus, ballByBall(data, plan))];
    const told = data.homework.find((one) => one.id === id);
    if (!told || told.struck.length >= struck.length) return [];
    listed.parentElement.querySelector("[data-progress]").textContent = progress;
    const line = listed.parentElement.querySelector("[data-due]");
    if (line) line.textContent = due; // none where no nine is due
    return [];
  });
  part.querySelector("ul").prepend(...lines);
  part.hidden &&= !lines.length;
  const older = part.querySelector("[data-older]");
  if (older) older.hidden = all.filter(({ open }) => open).length < 2; // none on a page kept from before it was said
}

/** What homework asks for with the wedges and swings that the page knows. */
function ballByBall({ clubs, swings, unit }, plan) {
  const there = strikable(plan, clubs.map(({ id }) => id), swings.map(({ swing_deg }) => swing_deg));
  const rows = runsOf(there).map((row) => element("li", {}, rowWords(row, clubs, swings, preferences().unit ?? unit)));
  return element("details", {}, element("summary", {}, "Ball by ball"), element("ol", { class: "plain" }, ...rows));
}

function lineOf(words, focus, asked) {
  const under = focus ? [element("br", {}), element("span", { class: "hint" }, focus)] : [];
  return element("li", { class: "row" }, element("span", {}, words, ...under), asked);
}

function readTyped(page) {
  return readText(page, page.form.elements.code.value);
}

/** Show what a code asks for with this bag; what cannot be read is said, and nothing happens. */
async function readText(page, text) {
  const { data, part } = page;
  page.told = null;
  part.hidden = true;
  page.form.elements.code.value = text.slice(text.lastIndexOf("#") + 1); // a junior's goes to the server, which asks for the PIN
  try {
    page.told = await read(text);
  } catch (refusal) {
    return say(refusal.message);
  }
  const { told } = page;
  const all = accepted(data, await rowsOf(data.book));
  const known = all.find(({ id }) => id === told.id);
  if (known && !known.aside) return say(knownWords(known, all));
  const rows = matched(told, data.clubs, data.swings);
  if (!data.clubs.length) return say("There is no wedge in your bag yet, so nothing of this homework can be struck. Nothing was kept.");
  Object.assign(page, { rows, known });
  const unit = preferences().unit ?? data.unit;
  const show = (name, words) => {
    const line = part.querySelector(`[data-${name}]`);
    line.textContent = words;
    line.hidden = !words;
  };
  const nine = told.nine_by ? data.nine.length : 0;
  show("head", headWords(told.rows.reduce((sum, { balls }) => sum + balls, nine)));
  show("nine", told.nine_by ? nineWords(told.nine_by, weekday(told.nine_by), today()) : "");
  show("focus", told.focus);
  part.querySelector("[data-rows]").replaceChildren(...rows.map((row, place) => item(row, place, rowWords(row, data.clubs, data.swings, unit))));
  document.getElementById("said").hidden = true;
  part.hidden = false;
  page.form.querySelector("details").open = false;
  return part.scrollIntoView({ block: "nearest" });
}

/** What is said of homework that was accepted before, among `all` of it. */
function knownWords(known, all) {
  const said = `You accepted this homework before: ${known.struck.length} of ${known.plan.length} balls are struck.`;
  if (!known.open) return said;
  const first = all.find(({ open }) => open) === known;
  return `${said} Practice offers ${first ? "what is left" : "a later one first: strike that or set it aside, and this one comes"}.`;
}

/** Accepting writes one fact, whose root is the homework's own id: accepted twice or on two phones it stays one. */
async function accept({ data, form, told, rows, known }) {
  const unwanted = new Set([...form.elements].filter(({ name, checked }) => name === "use" && !checked).map(({ value }) => Number(value)));
  const plan = planOf(told.id, rows.filter((_, place) => !unwanted.has(place)), told.nine_by ? data.nine : []);
  if (!plan.length) return say("Nothing of this homework is left, so nothing was kept.");
  const { nine_by, focus } = known ?? told;
  const body = { plan: known?.plan ?? plan, nine_by, focus };
  if (known) await revise(data.book, [{ root: told.id, kind: "homework", body, after: known.said_at }]);
  else await add(data.book, [{ ...newFact("homework", body), id: told.id, root: told.id }]);
  return location.assign("/practice");
}

function item({ asks }, place, words) {
  const line = element("li", {}, words);
  if (asks.length) {
    const box = element("input", { type: "checkbox", name: "use", value: place, checked: "" });
    const label = element("label", { class: "tick" }, box, element("span", {}, asks.join(" ")));
    line.append(element("input", { type: "hidden", name: "asked", value: place }), label);
  }
  return line;
}

/** The day of this phone's own clock. */
function today() {
  const now = new Date();
  return new Date(now.getTime() - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}
