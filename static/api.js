// Owns every request to the server and what its answers mean; knows no database, page or moment to send.

const PATIENCE_MS = 15000;

/** A fresh form token and the book's state; throws a Refusal when the server says no, any other error when it is away. */
export async function session() {
  return answered(await request("/api/session"));
}

/** A token for a form about to be sent; a phone without a book gets one too, with the refusal. */
export async function formToken() {
  try {
    return (await session()).csrf;
  } catch (error) {
    if (!error.csrf) throw error;
    return error.csrf;
  }
}

/** Hand facts over; resolves with {taken, refused, cursor}. A stale token is replaced once, with the one the refusal brings. */
export async function sendFacts(book, facts, csrf) {
  const envelopes = facts.map(({ id, root, kind, made_at, body }) => ({ id, root, kind, made_at, body }));
  const send = (token) => request("/api/facts", {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRFToken": token },
    body: JSON.stringify({ book, facts: envelopes }),
  });
  try {
    return await answered(await send(csrf));
  } catch (error) {
    if (error.code !== "csrf" || !error.csrf) throw error;
    return answered(await send(error.csrf));
  }
}

/** Fetch a page so that the worker keeps it for the day without signal. */
export function keepPage(path) {
  return request(path, { headers: { "X-Kept-Page": "1" }, redirect: "manual" });
}

/** The server answered and said no; `code` is its short reason, "unreadable" when it gave none. */
export class Refusal extends Error {
  constructor(status, { code = "unreadable", message = "", csrf = "" } = {}) {
    super(message || `the server answered ${status}`);
    Object.assign(this, { status, code, csrf });
  }
}

async function request(path, options = {}) {
  const patience = new AbortController();
  const timer = setTimeout(() => patience.abort(), PATIENCE_MS);
  try {
    return await fetch(path, { credentials: "same-origin", cache: "no-store", signal: patience.signal, ...options });
  } finally {
    clearTimeout(timer);
  }
}

async function answered(response) {
  const said = await response.json().catch(() => null);
  if (!response.ok) throw new Refusal(response.status, said?.error);
  if (said === null) throw new Refusal(response.status);
  return said;
}
