// Owns a form that is kept on this phone, and that goes to the server where this phone can keep nothing.

import { StorageFault } from "../db.js";

/** Let `keep` take what the form says; once it cannot be kept here the form is sent, this time and from then on. */
export function keepOrSend(form, keep) {
  form.addEventListener("submit", async function take(event) {
    event.preventDefault();
    try {
      await keep(event);
    } catch (error) {
      if (!(error instanceof StorageFault)) throw error;
      form.removeEventListener("submit", take);
      setTimeout(() => form.requestSubmit(event.submitter)); // a form is not sent while the first touch is still heard
    }
  });
}
