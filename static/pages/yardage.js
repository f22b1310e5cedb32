// Owns what the page of every distance says on the phone: how old it is, its unit, and that card only shuts it.

import { isCardOnly } from "../ui/card_only.js";
import { shutPage } from "../ui/round_lock.js";
import { tellAge, tellUnit } from "../ui/since.js";

export function start(data) {
  if (isCardOnly()) return shutPage();
  if (!document.querySelector(".yardage")) return;
  tellUnit(data.unit);
  return tellAge(data);
}
