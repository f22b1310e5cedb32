// Owns what is kept for the day without signal: the shell and the pages of one book; it never sees a fact.
// The server puts `const SHELL = {version, files}` in front of this file, made from static/.

const SHELL_CACHE = `shell-${SHELL.version}`;
const NEVER_KEPT = /^\/(api|w|recovery|export|homework)(\/|$)/;
const PATIENCE_MS = 2500; // a bar of signal that answers nothing must not keep the player from the next ball

addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL_CACHE).then((cache) => cache.addAll(SHELL.files)));
});

addEventListener("activate", (event) => {
  event.waitUntil(dropOldShells().then(() => clients.claim()));
});

// The player asks for the new version; it is never forced on a page in use.
addEventListener("message", (event) => {
  if (event.data === "switch") skipWaiting();
});

addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin || NEVER_KEPT.test(url.pathname)) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(fromShell(request, url));
  else if (request.mode === "navigate" || request.headers.has("X-Kept-Page")) event.respondWith(fromServer(event, url));
});

/** A page kept under another version asks for that version's file: without signal this version's stands in. */
async function fromShell(request, url) {
  const shell = await caches.open(SHELL_CACHE);
  const kept = await shell.match(url, { ignoreVary: true });
  if (kept) return kept;
  const name = url.pathname.replace(/^\/static\/[^/]+/, "");
  return fetch(request).catch(async () => (await shell.match(`/static/${SHELL.version}${name}`, { ignoreVary: true })) ?? Response.error());
}

/** The server first, the kept page when it is away or silent; only pages that name their book are kept. */
async function fromServer(event, url) {
  const answer = fetch(url, {
    headers: { Accept: "text/html", "X-Kept-Page": "1" },
    credentials: "same-origin",
    redirect: "manual",
    cache: "no-store",
  }).then((response) => keep(url, response));
  event.waitUntil(answer.catch(() => {}));
  const kept = await keptPage(url.pathname === "/" ? new URL("/card", url) : url); // the first page leads to the card
  if (!kept) return answer;
  const silence = new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS, kept); });
  return Promise.race([answer.then((response) => (response.status >= 500 ? kept : response), () => kept), silence]);
}

async function keep(url, response) {
  const book = response.headers.get("X-Book");
  if (response.ok && book) {
    const cache = await caches.open(`pages-${book}`);
    await cache.put(url, response.clone());
  }
  return response;
}

async function keptPage(url) {
  for (const name of await caches.keys()) {
    if (!name.startsWith("pages-")) continue;
    const kept = await (await caches.open(name)).match(url, { ignoreVary: true });
    if (kept) return kept;
  }
  return undefined;
}

async function dropOldShells() {
  for (const name of await caches.keys()) {
    if (name.startsWith("shell-") && name !== SHELL_CACHE) await caches.delete(name);
  }
}
