// Owns the page of refused entries: each with the server's reason and a box that puts it right, also without signal.

import { changes, offerRefused, revise, rowsOf } from "../outbox.js";
import { fold } from "../rules/shot.js";
import { CLOSE, UNIT_NAMES } from "../rules/constants.js";
import { fromM } from "../rules/lengths.js";
import { namesOf } from "../rules/visit.js";
import { preferences } from "../ui/preferences.js";
import { saveCopy } from "../ui/notices.js";
import { lengthIn, numberWithin } from "../ui/typed.js";

const NAMES = { bucket_id: "buckets", club_id: "clubs" }; // an identity is chosen among names, never typed
const WHEN = { dateStyle: "medium", timeStyle: "short", hourCycle: "h23" };
const LOST = { carry_m: null, landed: "unseen" };
const AGAIN = "Open your coach’s link once more: there it is accepted with the PIN, and this entry goes.";
const SAVED = "It is saved on this phone and goes to the server by itself.";

const part = (id) => document.getElementById(id);

export function start(data) {
  const { book } = document.body.dataset;
  let shown = null;
  changes.addEventListener("change", draw);
  part("save").addEventListener("click", async () => saveCopy((await rowsOf(book)).filter(isRefused)));
  part("send").addEventListener("click", async () => {
    await offerRefused(book);
    say("Sent again as they stand. What the server still refuses comes back here.");
  });
  return draw();

  /** Drawn anew only when other entries are refused, so that nothing typed is lost. */
  async function draw() {
    const rows = await rowsOf(book);
    const refused = rows.filter(isRefused);
    const now = JSON.stringify(refused.map(({ id, refusal }) => [id, refusal]));
    if (now === shown) return;
    shown = now;
    part("refused").replaceChildren(...refused.map((row) => entry(row, withOwnBuckets(data, rows))));
    part("none").hidden = refused.length > 0;
    part("all").hidden = refused.length === 0;
  }

  function entry(row, known) {
    const unit = preferences().unit ?? data.unit;
    const item = document.createElement("li");
    item.append(
      made("h2", { textContent: titleOf(row, known) }),
      made("p", { className: "hint", textContent: `noted ${new Date(row.made_at).toLocaleString("en-GB", WHEN)}` }),
      made("p", { textContent: row.refusal.message || "The server gave no reason." }),
    );
    if (row.kind === "homework" && row.refusal.code === "guardian") item.append(made("p", { textContent: AGAIN }));
    const box = boxOf(row, known, unit);
    if (box) item.append(formOf(row, box));
    return item;
  }

  function formOf(row, { label, control, read, spare }) {
    const form = document.createElement("form");
    if (control) {
      const field = made("div", { className: "field" });
      control.id = `box-${row.id}`;
      field.append(made("label", { htmlFor: control.id, textContent: label }), control);
      form.append(field);
    }
    const buttons = made("p", { className: "links" });
    buttons.append(made("button", { textContent: control ? "mend" : `leave out “${label}”` }));
    if (row.kind === "shot" && control) {
      buttons.append(" ", made("button", { textContent: "set aside", value: "aside", formNoValidate: Boolean(spare) }));
    }
    form.append(buttons);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const aside = event.submitter?.value === "aside";
      // A ball set aside counts for nothing, so what was wrong with it need not be known where it may be left out.
      const fields = aside && spare ? spare() : read();
      return fields && change(row, { ...fields, ...(aside ? { aside } : {}) }, aside ? "Set aside: kept, not counted." : "Mended.");
    });
    return form;
  }

  async function change({ id, root, kind, body }, fields, words) {
    await revise(book, [{ id, root, kind, body: without({ ...body, ...fields }) }]);
    say(`${words} ${SAVED}`);
  }
}

/**
 * How a refused field is put right: a label, a control, and `read()` giving the fields to change; null when none can.
 * `spare()` gives them without what was wrong, where a ball can do without it.
 */
function boxOf({ kind, body, refusal }, data, unit) {
  const name = refusal.field;
  if (!body || !name) return null;
  const field = data.fields[kind]?.[name];
  if (!field) return name in body ? { label: name, read: () => ({ [name]: undefined }) } : null;
  const { low, high, choices, required } = field;
  const empty = () => ({ [name]: field.default });
  const options = data[NAMES[name]] ?? choices.map((word) => ({ id: word, name: word || "not said" }));
  if (options.length) {
    const fits = options.some(({ id }) => id === body[name]);
    const control = made("select", { required: required || !fits });
    if (!fits) control.append(made("option", { value: "", textContent: "choose" })); // no word is put in place of a wrong one
    control.append(...options.map(({ id, name: words }) => made("option", { value: id, textContent: words, selected: id === body[name] })));
    const anew = name === "bucket_id" ? { judged_apart: undefined } : {}; // which was said of the bucket before
    return { label: field.label, control, spare: required ? null : empty, read: () => ({ [name]: control.value, ...anew }) };
  }
  if (low !== null) {
    const isLength = name.endsWith("_m");
    const [show, words] = isLength ? [fromM, `${UNIT_NAMES[unit]}, `] : [Number, ""];
    const range = `(${words}${Math.ceil(show(low, unit) - CLOSE)} to ${Math.floor(show(high, unit) + CLOSE)})`;
    const given = (value) => (value === undefined ? null : value === null ? empty() : { [name]: value });
    const needed = required || name === "carry_m";
    const control = made("input", { inputMode: low < 0 ? "" : "decimal", autocomplete: "off", required: needed });
    Object.assign(control.dataset, { typed: field.label, low, high });
    if (Number.isFinite(body[name])) control.value = Math.round(show(body[name], unit) * 10) / 10;
    const spare = name === "carry_m" ? () => LOST : required ? null : empty;
    return { label: `${field.label} ${range}`, control, spare, read: () => given(isLength ? lengthIn(control, unit) : numberWithin(control)) };
  }
  if (high !== null) {
    const control = made("input", { type: "text", maxLength: high, required, value: String(body[name] ?? "") });
    return { label: field.label, control, read: () => ({ [name]: control.value }) };
  }
  return required ? null : { label: field.label, read: empty };
}

function titleOf({ kind, body }, data) {
  if (kind === "shot" && body) return `Ball, ${namesOf(data, body).named}`;
  return { shot: "A ball taken away", bucket: `Bucket ${body?.place ?? ""}`.trim(), homework: "Homework", remark: "A remark" }[kind] ?? "A note";
}

/** The visits to choose from: the server's, and those that only this phone knows yet. */
function withOwnBuckets(data, rows) {
  const known = new Set(data.buckets.map(({ id }) => id));
  const own = [...fold(rows).values()].filter(({ kind, root }) => kind === "bucket" && !known.has(root));
  const names = own.map(({ root, made_at, body }) => ({ id: root, name: `${new Date(made_at).toLocaleString("en-GB", WHEN)} ${body.place ?? ""}`.trim() }));
  return { ...data, buckets: [...names, ...data.buckets] };
}

/** A body without the names whose value was taken out. */
function without(body) {
  return Object.fromEntries(Object.entries(body).filter(([, value]) => value !== undefined));
}

function isRefused({ state }) {
  return state === "refused";
}

function say(words) {
  part("said").textContent = words;
  part("said").focus();
}

function made(tag, fields) {
  return Object.assign(document.createElement(tag), fields);
}
