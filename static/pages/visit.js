// Owns the open bucket on this phone: what rules/visit.js decides is written to the outbox and read back from it.

import { askToStay, recall } from "../db.js";
import { CHOICES, rowsSince, save } from "../outbox.js";
import { KEPT_MS } from "../rules/constants.js";
import { choicesFrom, look, step, withMeant } from "../rules/visit.js";
import { isCardOnly } from "../ui/card_only.js";

export const OPEN_WARM_UP = 500; // a warm-up that the player ends

/** The open bucket of this page: its data merged with what this phone noted since the page was made. */
export async function openVisit(data) {
  const visit = new Visit(data, choicesFrom(await recall(CHOICES)));
  await visit.refresh();
  return visit;
}

class Visit {
  constructor(data, choices) {
    Object.assign(this, { data, choices, rows: [] });
  }

  /** Read again what this phone holds, since another tab may have noted something. */
  async refresh() {
    this.rows = await rowsSince(this.data.book, new Date(Date.now() - KEPT_MS).toISOString());
  }

  /** Everything the page shows now. */
  get seen() {
    return look(this.state, Date.now());
  }

  get state() {
    const { data, rows, choices } = this;
    return { data, rows, choices, card_only: isCardOnly() };
  }

  /** Do a deed (an event of rules/visit.js); what it writes is saved whole or not at all, and only then holds. */
  async do(event) {
    const { added, changed, choices } = step(this.state, { ...event, now: Date.now() });
    const rows = await save(this.data.book, { added, changed, choices });
    const here = new Set(rows.map(({ id }) => id));
    this.rows = [...this.rows.filter(({ id }) => !here.has(id)), ...rows];
    this.choices = choices;
    const noted = rows.at(-1);
    if (event.type === "begin") {
      askToStay(); // not before there is something to lose
      await this.do({ type: "choose", choices: { bucket_id: noted.root } });
    }
    if (event.type === "touch" && choices.group && noted?.id === noted?.root) {
      await this.do({ type: "choose", choices: { grouped: [...choices.grouped, noted.root] } });
    }
  }

  choose(choices) {
    return this.do({ type: "choose", choices });
  }

  /** A ball's call with the carry that is meant. */
  callOf(body) {
    return withMeant(this.data, body);
  }
}
