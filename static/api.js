// Owns every request to the server and what its answers mean; knows no database, page or moment to send.

const PATIENCE_MS = 15000;
const PATIENCE_WITH_PAGES_MS = 60000; // all pages at once on a bar of signal

/** What the server tells at an address, as JSON; a no is a Refusal. */
export async function answerOf(path) {
  return answered(await request(path));
}

/**
 * A fresh form token and the book's state; throws a Refusal when the server says no, any other error when it is away.
 * The last fact fetched and the id of the last one sent are named, so that the answer tells whether both are in place.
 */
export function session(fetched, sent) {
  const named = new URLSearchParams();
  if (fetched?.id) named.set("fetched", `${fetched.at} ${fetched.id}`);
  if (sent) named.set("sent", sent);
  return answerOf(`/api/session${named.size ? `?${named}` : ""}`);
}

/**
 * Hand facts over, each correction with the moment of what it corrects; resolves with {taken, refused, cursor}. A stale
 * token is replaced once, with the one the refusal brings.
 */
export async function sendFacts(book, facts, csrf) {
  const envelopes = facts.map(({ id, root, kind, made_at, body }) => ({ id, root, kind, made_at, body }));
  const made_of = Object.fromEntries(facts.filter((row) => row.made_of).map((row) => [row.id, row.made_of]));
  const send = (token) => request("/api/facts", {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": token },
    body: JSON.stringify({ book, made_of, facts: envelopes }),
  });
  try {
    return await answered(await send(csrf));
  } catch (error) {
    if (error.code !== "csrf" || !error.csrf) throw error;
    return answered(await send(error.csrf));
  }
}

/** At most `limit` facts that came into the book after number `after`, as {facts, cursor, more}. */
export function newerFacts(after, limit) {
  return answerOf(`/api/facts?after=${after}&limit=${limit}`);
}

/** The dial of the guesses for the answers of the first page, as SVG; "" where they make no set. */
export async function guessedDial(query) {
  const { ok, text } = await request(`/start/dial?${query}`);
  return ok ? text : "";
}

/** The pages that a query names as {book, shut, pages: [{address, own, tag, html}]}, with the headers they came with. */
export async function pagesToKeep(query) {
  const came = await request(`/api/pages?${query}`, {}, PATIENCE_WITH_PAGES_MS);
  return { ...answered(came), headers: came.headers };
}

/** The server answered and said no; `code` is its short reason, "unreadable" when it gave none. */
export class Refusal extends Error {
  constructor(status, { code = "unreadable", message = "", csrf = "" } = {}) {
    super(message || `the server answered ${status}`);
    Object.assign(this, { status, code, csrf });
  }
}

/** The whole answer as text within the patience: one that stops in the middle must not hold the next try back for ever. */
export async function request(path, options = {}, patience_ms = PATIENCE_MS) {
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), patience_ms);
  try {
    const response = await fetch(path, { credentials: "same-origin", cache: "no-store", signal: patience.signal, ...options });
    return { ok: response.ok, status: response.status, headers: response.headers, text: await response.text() };
  } finally {
    clearTimeout(timer);
  }
}

function answered({ ok, status, text }) {
  const said = parsed(text);
  if (!ok || said === null) throw new Refusal(status, said?.error);
  return said;
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
