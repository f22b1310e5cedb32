// Owns when an open bucket's page is covered and when its screen stays lit; knows no ball.

import { COVER_MS } from "../rules/constants.js";

/**
 * Cover the page while `isHitting()` and nobody has touched it for a while; the next touch only uncovers it. Gives
 * {idle(), stayAwake(wanted)}: the wait begins anew, and the screen stays lit or may go dark.
 */
export function bindCover(cover, isHitting) {
  let timer = 0;
  let lock = null;

  const stayAwake = async (wanted) => {
    if (wanted && !lock && !document.hidden) {
      lock = (await navigator.wakeLock?.request("screen").catch(() => null)) ?? null;
      lock?.addEventListener("release", () => { lock = null; });
    } else if (!wanted) await lock?.release();
  };
  const set = (covered) => {
    cover.hidden = !covered;
    stayAwake(!covered && isHitting());
  };
  const idle = () => {
    clearTimeout(timer);
    timer = setTimeout(() => set(isHitting()), COVER_MS);
  };
  cover.addEventListener("click", () => set(false));
  idle();
  return { idle, stayAwake };
}
