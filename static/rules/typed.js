// Owns how a number that a person typed is read, as webapp/typed.py reads it; knows no box, unit or range.

import { CLOSE, NO_NUMBER } from "./constants.js";

const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)$/;
// One to three digits, a mark and three more: some write a thousand like that, others a small fraction.
const READ_IN_TWO_WAYS = /^([+-]?[1-9]\d{0,2})[.,](\d{3})$/;

/** The number that `text` says, null where it says nothing; an Error with what is wrong, to stand after its name. */
export function numberTyped(text) {
  const said = text.trim().replaceAll("\u2212", "-");
  if (!said) return null;
  const [, whole, digits] = READ_IN_TWO_WAYS.exec(said) ?? [];
  if (whole) {
    const small = `${whole}.${digits}`.replace(/\.?0+$/, "");
    throw new Error(`must be ${whole}${digits} or ${small}: ${text.trim()} can mean both`);
  }
  const number = said.replaceAll(",", ".");
  if (!NUMBER.test(number)) throw new Error(NO_NUMBER);
  return Number(number);
}

/** What is said of a number outside `low` to `high`, which are shown in whole `unitName`, to stand after its name. */
export function boundsWords(low, high, unitName) {
  return `must be from ${Math.ceil(low - CLOSE)} to ${Math.floor(high + CLOSE)} ${unitName}`.trimEnd().replaceAll("-", "\u2212");
}
