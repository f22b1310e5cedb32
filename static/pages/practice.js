// Owns the practice page on the phone: which plan is shown, and a bucket started with one without the server.

import { changes, rowsOf } from "../outbox.js";
import { offered } from "../ui/accepted.js";
import { goneWords, strikable } from "../rules/homework.js";
import { limitWords } from "../rules/limits.js";
import { nineOpensAt } from "../rules/nine.js";
import { done, parse } from "../rules/plan.js";
import { isNew } from "../rules/since.js";
import { countWords } from "../rules/truth.js";
import { counted } from "../rules/words.js";
import { weekday } from "../ui/days.js";
import { say } from "../ui/said.js";
import { tellAge } from "../ui/since.js";
import { bucketBody, struckBy, tellWeek } from "./opening.js";
import { openVisit } from "./visit.js";

const form = document.getElementById("plan");
const LONGEST_TIMER_MS = 2 ** 31 - 1; // a browser runs a longer one at once

export async function start(data) {
  if (!form || !data) return;
  const draw = () => show(data).catch(() => {});
  for (const size of form.querySelectorAll("[name=balls]")) size.addEventListener("change", () => { showSize(); draw(); });
  showSize();
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    begin(data, event.submitter?.value ?? "bucket").catch((error) => {
      say(`This could not be saved on this phone (${error.name}), so no bucket was started. Make room, then try again.`);
    });
  });
  changes.addEventListener("change", draw); // such as when a guardian's PIN is wanted
  tellAge(data);
  await show(data);
  return tellNine(data); // where the browser keeps nothing the server's own words stand
}

/** What this phone knows beside the page: the bucket that is open and its plan, the balls struck, homework. */
async function show(data) {
  const { seen } = await openVisit(data);
  await showHomework(data, showBucket(seen));
  const { today, week } = struckBy(data.balls, seen);
  tellWeek(form, week);
  fill("today", today);
  fill("seven", week);
  for (const line of document.querySelectorAll("#limit")) {
    const { limit } = data.balls;
    line.textContent = limitWords(today, limit, Number(form.elements.balls.value)) || limitWords(today, limit);
    line.hidden = !line.textContent;
  }
}

/** Show the keys for the bucket as it stands, and the way back into one whose plan runs; gives what that plan still asks for. */
function showBucket({ bucket, planned, shots }) {
  const runs = bucket && planned.of > 0 && !planned.done;
  const stands = runs ? "running" : bucket ? "open" : "closed";
  for (const part of form.querySelectorAll("[data-when]")) hide(part, !part.dataset.when.includes(stands));
  // No key but its own drops a plan that runs.
  form.onkeydown = (event) => { if (runs && event.key === "Enter" && event.target.matches("input")) event.preventDefault(); };
  if (!runs) return [];
  fill("running", countWords(planned));
  fill("left", `Go on with the ${counted(planned.of - planned.struck, "ball")}`);
  return bucket.body.plan.slice(done(shots.map(({ body }) => body)));
}

/** Hide a part or show it; the Enter key presses the first button of the type submit, also a hidden one. */
function hide(part, is_hidden) {
  part.hidden = is_hidden;
  if (part.matches("button")) part.type = is_hidden ? "button" : "submit";
}

function fill(name, words) {
  for (const place of document.querySelectorAll(`[data-${name}]`)) place.textContent = words;
}

/** Whether the nine may be struck, by what this phone knows, in its own hours. */
async function tellNine(data) {
  const struck_at = await lastStruck(data);
  const opens = nineOpensAt(struck_at, Date.now());
  const line = document.getElementById("nine-refused");
  line.hidden = struck_at !== null && !opens;
  line.textContent = line.hidden ? "" : refusal(opens);
  for (const key of form.querySelectorAll("[value$=nine]")) key.disabled = !line.hidden;
  fill("nine-from", opens ? ` from ${timeOf(opens)}` : "");
  // A plan made before today's balls may list a nine that these have spoiled.
  for (const part of form.querySelectorAll("[data-nine]")) part.hidden = (part.dataset.nine === "in") === Boolean(opens);
  if (opens) setTimeout(() => tellNine(data), Math.min(opens - Date.now(), LONGEST_TIMER_MS));
}

/** What is left of homework by what server and phone know together: offered first, also right after it was accepted. */
async function showHomework(data, running) {
  const part = document.getElementById("homework");
  if (!part) return; // a page kept from before there was homework
  const homework = offered(data, await rowsOf(data.book));
  part.hidden = !homework;
  if (!homework) return;
  const today = [data.bag ?? data.clubs.map(({ id }) => id), data.swings.map(({ swing_deg }) => swing_deg)];
  const [left, nineLeft] = [homework.left, homework.nine_left].map((words) => strikable(words, ...today));
  Object.assign(data.plans, { homework: left, "homework-nine": nineLeft });
  const set = (name, words) => {
    const line = part.querySelector(`[data-${name}]`);
    if (line) line.textContent = words; // none on a page kept from before it was said
  };
  set("struck", `${homework.struck.length} of ${homework.plan.length}`);
  set("focus", homework.focus ? ` Focus: ${homework.focus}` : "");
  set("gone", goneWords([...homework.left, ...homework.nine_left], ...today));
  set("nine-by", homework.nine_by && nineLeft.length ? ` Its next-visit nine is due by ${weekday(homework.nine_by)}.` : "");
  const [balls, nine] = part.querySelectorAll("button");
  balls.textContent = `${homework.struck.length ? "Go on" : "Start"} with the ${counted(left.length, "ball")}`;
  for (const [button, words] of [[balls, left], [nine, nineLeft]]) {
    hide(button, !words.length || words.some((word) => running.includes(word))); // what runs already has its own way back
  }
}

function showSize() {
  const { value } = form.elements.balls;
  for (const plan of form.querySelectorAll("[data-size]")) plan.hidden = plan.dataset.size !== value;
}

async function begin(data, asked) {
  const visit = await openVisit(data);
  const struck_at = await lastStruck(data);
  const opens = nineOpensAt(struck_at, Date.now());
  if (asked.endsWith("nine") && (opens || struck_at === null)) return say(refusal(opens));
  const planned = data.plans[asked === "bucket" ? `bucket-${form.elements.balls.value}` : asked];
  const words = opens ? planned?.filter((word) => parse(word)?.why !== "nine") : planned;
  if (!words?.length) return say(planned?.length ? refusal(opens) : "There is no such plan now, so nothing was started.");
  const { bucket, shots } = visit.seen;
  const { warm_up } = data.sizes?.[asked === "bucket" ? form.elements.balls.value : ""] ?? {};
  if (bucket) {
    const struck = done(shots.map((shot) => shot.body));
    await visit.do({ type: "change", fields: { plan: [...(bucket.body.plan ?? []).slice(0, struck), ...words] } });
    await visit.choose({ call: null });
  } else {
    const body = bucketBody(form);
    if (!body) return null;
    await visit.do({ type: "begin", body: { ...body, plan: words }, warm_up });
  }
  return location.assign("/bucket");
}

/**
 * When the last ball was struck [ms] as far as server and phone know together, or null. Of a ball that the page knows
 * the server's time holds: this phone's clock may have run ahead when it was noted, and it was struck before now.
 */
async function lastStruck(data) {
  const isNewBall = (row) => row.kind === "shot" && isNew(row, data.cursor);
  const own = (await rowsOf(data.book)).filter(isNewBall).map((row) => Math.min(Date.parse(row.made_at), Date.now()));
  const times = data.last_struck_at ? [...own, Date.parse(data.last_struck_at)] : own;
  return times.length ? Math.max(...times) : null;
}

function refusal(opens) {
  if (!opens) return "The next-visit nine asks whether practice lasted: it opens your second visit.";
  return `You practised less than twelve hours ago, so the next-visit nine would only show today. It opens ${timeOf(opens)}.`;
}

function timeOf(ms) {
  return new Date(ms).toLocaleString([], { weekday: "short", hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
}
