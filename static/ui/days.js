// Owns how a day of the calendar is written for a reader, as webapp/days.py writes it; knows no page.

/** A day such as 2026-11-29 with its weekday: "Sunday 29 November". */
export function weekday(day) {
  const at = new Date(`${day}T00:00:00.000Z`);
  const part = (options) => at.toLocaleDateString("en-GB", { ...options, timeZone: "UTC" });
  return `${part({ weekday: "long" })} ${at.getUTCDate()} ${part({ month: "long" })}`;
}
