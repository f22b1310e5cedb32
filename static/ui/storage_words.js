// Owns the sentences about a phone that cannot keep anything now; knows nothing of what was to be kept.

const SENTENCES = {
  private: "This browser keeps nothing on this phone (a private window?). Balls go straight to the server, so noting needs signal here.",
  held: "Another page of Clockyard on this phone does not let go of what is kept here. Close its other tabs and windows, then load this page again. What was saved is still there.",
  older: "A newer version of Clockyard has been opened on this phone, and this page is the older one. Load this page again to go on. What was saved is still there.",
  full: "This phone is full, so nothing more can be kept on it. Make room, then touch again. What was saved is still there and is sent as before.",
};

const SHORT = {
  held: "not saved: close the other tabs",
  older: "not saved: load this page again",
  full: "not saved: no room on this phone",
};

/** What the player should know and do about a StorageFault. */
export function storageWords({ state }) {
  return SENTENCES[state];
}

/** The same in the room of one line. */
export function notSaved({ state }) {
  return SHORT[state] ?? "not saved on this phone";
}

/** What became of a touch that could not be kept, whatever the reason. */
export function notNoted(error) {
  const reason = storageWords(error) ?? `Its store failed (${error.name}); load this page again.`;
  return `This could not be saved on this phone, so it was not noted. ${reason}`;
}
