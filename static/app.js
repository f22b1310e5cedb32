// Starts the page: worker, sending, units, forms; what a page does is in pages/, when things are sent in sync.js.

import { answerOf } from "./api.js";
import { StorageFault } from "./db.js";
import * as sync from "./sync.js";
import { hideShut } from "./ui/card_only.js";
import { preferences, preferred, restore } from "./ui/preferences.js";
import { showStrays, showWaiting } from "./ui/waiting.js";

const PAGES_WITH_SCRIPT = "bucket card fits leave round notes conditions practice eye refused start links homework players print tablet without_signal yardage".split(" ");
const BOOK_IS_CLOSED = new Set(["no_book", "cut_off", "book_deleted", "other_book"]);

const { page, book } = document.body.dataset;
const LONGEST_ANSWER_MS = 15_000; // after that a form may be sent again
let reading = null;

await restore().catch(doWithout);
await showPreferences();
preferred.addEventListener("change", showPreferences);
if (document.querySelector("[data-prefer]")) (await import("./ui/preference_controls.js")).bindPreferences(document);
if (document.querySelector("[data-most-mb]")) import("./ui/files.js").then((files) => files.bindFiles(document)).catch(() => {});
document.addEventListener("focusin", readNumbers);
document.addEventListener("submit", bringToken);
addEventListener("pageshow", () => { for (const form of document.forms) form.ariaBusy = null; });
started().then(() => document.body.classList.add("scripted")).catch(doWithout);
// Without a worker the page still works, only not without signal.
import("./ui/update.js").then((script) => script.keepUpToDate()).catch(() => {});
if (book) {
  const kept = import("./keeping.js");
  kept.then((pages) => pages.forgetOthers(book)).catch(() => {});
  sync.states.addEventListener("state", ({ detail }) => { if (BOOK_IS_CLOSED.has(detail)) kept.then((pages) => pages.forget(book)); });
  showWaiting(book).then(whenControlled).then(() => sync.start(book, document.querySelector("nav[data-keep]")?.dataset.keep.split(" ") ?? [])).catch(doWithout);
  if (page === "more") import("./ui/readiness.js").then((script) => script.showReadiness(book)).catch(doWithout);
} else {
  showStrays("").catch(doWithout);
  // Who finds this phone shut out must not find its pages either; what it has not sent stays.
  const refused = document.querySelector("[data-code]")?.dataset.code;
  if (BOOK_IS_CLOSED.has(refused)) import("./keeping.js").then((pages) => pages.forgetOthers("")).catch(() => {});
}

/** Where nothing can be kept, or the second file of scripts is of another version, the page says why and works as it came. */
function doWithout(error) {
  if (error.name === "VersionError") {
    document.getElementById("notices").textContent = "A new version has come. Open this page again.";
    return;
  }
  if (!(error instanceof StorageFault)) throw error;
  import("./ui/notices.js").then((notices) => notices.sayStorageFault(error));
}

async function started() {
  if (!PAGES_WITH_SCRIPT.includes(page)) return;
  const { start } = await import(`./pages/${page}.js`);
  await start(JSON.parse(document.getElementById("page-data")?.textContent ?? "null"));
}

/** The page as kept may show another unit or thumb than this phone has chosen since. */
async function showPreferences() {
  const shown = document.body.dataset;
  const { unit, thumb, sun } = preferences();
  document.documentElement.dataset.look = sun ? "sun" : "day";
  if (thumb) shown.thumb = thumb;
  hideShut();
  if (unit && unit !== shown.unit) {
    shown.unit = unit;
    (await import("./ui/relabel.js")).relabel(document, unit);
  }
}

/** What reads the boxes that take a number is loaded when one of them is entered first; no form goes before it has read them. */
function readNumbers({ target }) {
  if (!target.dataset?.typed) return;
  reading ??= import("./ui/typed.js").then((typed) => typed.bindNumbers(document)).catch(() => { reading = null; });
}

/** Pages as kept hold no form token, so that none can go stale: it is fetched at the moment of sending, unless another book is open by then. */
async function bringToken(event) {
  const form = event.target;
  if (event.defaultPrevented || form.method !== "post" || form.dataset.tokenReady) return;
  event.preventDefault();
  if (form.ariaBusy) return; // touched again while the first is on its way
  form.ariaBusy = true;
  const { submitter } = event;
  try {
    await reading;
    const { csrf } = await answerOf(`/api/token?book=${form.elements.book?.value ?? ""}`);
    const input = form.elements.csrf_token ?? form.appendChild(made("input", { type: "hidden", name: "csrf_token" }));
    input.value = csrf;
  } catch (error) {
    form.ariaBusy = null;
    return say(form, error.code === "other_book" ? error.message : "No answer from the server, so nothing was sent. What you entered is still here.");
  }
  form.dataset.tokenReady = "yes";
  form.requestSubmit(submitter);
  delete form.dataset.tokenReady;
  if (form.matches(":invalid")) form.ariaBusy = null; // typed.js was still loading and has now marked a box invalid
  else setTimeout(() => { form.ariaBusy = null; }, LONGEST_ANSWER_MS);
}

function say(form, text) {
  const line = form.querySelector("[data-said]") ?? form.appendChild(made("p", { role: "alert" }));
  line.dataset.said = "";
  line.textContent = text;
}

function made(name, fields) {
  return Object.assign(document.createElement(name), fields);
}

/** On the very first visit sending waits until the worker can keep the pages; where there is no worker it does not wait. */
function whenControlled() {
  const worker = navigator.serviceWorker;
  if (!worker || worker.controller) return Promise.resolve();
  return new Promise((resolve) => {
    worker.addEventListener("controllerchange", resolve, { once: true });
    setTimeout(resolve, 3000);
  });
}
