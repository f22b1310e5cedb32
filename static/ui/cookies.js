// Owns how this phone keeps a value in a cookie, where the server sees it and a browser that makes room leaves it.

const KEPT_S = 400 * 24 * 3600;

/** What a cookie holds; {} where there is none that can be read. */
export function cookie(name) {
  const entry = document.cookie.split("; ").find((text) => text.startsWith(`${name}=`));
  try {
    return JSON.parse(decodeURIComponent(entry.slice(name.length + 1))) ?? {};
  } catch {
    return {};
  }
}

/** Keep an object in a cookie; null takes the cookie away. */
export function keepCookie(name, value) {
  const secure = location.protocol === "https:" ? "; Secure" : "";
  document.cookie = `${name}=${encodeURIComponent(JSON.stringify(value))}; Max-Age=${value ? KEPT_S : 0}; Path=/; SameSite=Lax${secure}`;
}
