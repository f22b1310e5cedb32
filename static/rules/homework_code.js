// Owns the reading of the code that homework travels in: letters, checksum, deflated JSON, and whether all of it fits.
// Knows no bag and no page; webapp/practice/homework_code.py makes the code and reads it by the same rules.

import { LONGEST_CARRY_M, MODES } from "./constants.js";
import { HOMEWORK } from "./more_constants.js";

const LETTERS = /^[A-Za-z0-9_-]+$/;
const MARKUP = /[<>\x00-\x1f\x7f\ud800-\udfff]/u; // as fields.py has it: half of a pair is no text either
const DAMAGED = "This code is not whole, or it is no homework: a letter is missing or was changed on the way. Ask your coach to send it again. Nothing was kept.";
const NEWER = "This homework was made by a newer version of this app. Load this page with signal, then try again. Nothing was kept.";
const UNFIT = "This homework asks for something that no bucket holds. Ask your coach for another. Nothing was kept.";
const NO_READER = "This browser is too old to read the code by itself. Update it, or open the link elsewhere. Nothing was kept.";

/** The homework of a code, or of a link with a code behind its "#"; throws the sentence that says why there is none. */
export async function read(code) {
  const text = code.slice(code.lastIndexOf("#") + 1).replace(/^[ \t\r\n\f\v]+|[ \t\r\n\f\v]+$/g, "");
  if (!LETTERS.test(text) || text.length > HOMEWORK.taken || text.length % 4 === 1) throw new Error(DAMAGED);
  const packed = bytesOf(text);
  const body = packed.slice(0, -HOMEWORK.checksum_bytes);
  if (!body.length || checksum(body) !== new DataView(packed.buffer).getUint32(body.length)) throw new Error(DAMAGED);
  const inflate = inflater();
  if (!inflate) throw new Error(NO_READER);
  const told = await inflated(body, inflate).then(JSON.parse).catch(() => null);
  return homeworkOf(told);
}

function inflater() {
  try {
    return new DecompressionStream("deflate-raw");
  } catch {
    return null;
  }
}

/** The text of deflated bytes; a code that grows beyond any homework is given up. */
async function inflated(body, inflate) {
  const reader = new Blob([body]).stream().pipeThrough(inflate).getReader();
  const parts = [];
  let length = 0;
  for (let part = await reader.read(); !part.done; part = await reader.read()) {
    parts.push(part.value);
    length += part.value.length;
    if (length > HOMEWORK.bytes) {
      await reader.cancel();
      throw new Error("longer than any homework");
    }
  }
  const text = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });
  return text.decode(await new Blob(parts).arrayBuffer());
}

/** What a code's JSON says; throws unless every part of it fits. */
function homeworkOf(told) {
  const unfit = new Error(UNFIT);
  if (told === null || typeof told !== "object" || Array.isArray(told) || !isNumber(told.v, 1, Infinity)) throw unfit;
  if (told.v > HOMEWORK.version) throw new Error(NEWER);
  const { c: clubs, r: rows, n: nine_by = "", f: focus = "" } = told;
  const id = idOf(told.id);
  if (!id || !isList(clubs, 0, HOMEWORK.rows * HOMEWORK.cells, isClub) || !isList(rows, 0, HOMEWORK.rows)) throw unfit;
  if (!rows.every((row) => isRow(row, clubs.length))) throw unfit;
  if (rows.reduce((sum, [balls]) => sum + balls, 0) > HOMEWORK.balls) throw unfit;
  if (!(nine_by === "" || isDay(nine_by)) || !isPlain(focus, HOMEWORK.focus) || !(rows.length || nine_by)) throw unfit;
  return { id, rows: rows.map((row) => rowOf(row, clubs)), nine_by, focus };
}

function rowOf([balls, mode, carry_m, ...numbers], clubs) {
  const cells = [];
  for (let at = 0; at < numbers.length; at += 2) {
    const [loft_deg, name] = clubs[numbers[at]];
    cells.push({ name, loft_deg, swing_deg: numbers[at + 1] });
  }
  return { cells, balls, mode: MODES[mode], carry_m: carry_m || null };
}

function isClub(club) {
  return isList(club, 2, 2) && isNumber(club[0], ...HOMEWORK.lofts_deg) && isPlain(club[1], HOMEWORK.name);
}

function isRow(row, clubs) {
  if (!isList(row, 5, 3 + 2 * HOMEWORK.cells) || row.length % 2 === 0) return false;
  const [balls, mode, carry_m, ...numbers] = row;
  const fits = (number, at) => (at % 2 ? isNumber(number, 1, 180) : isWhole(number, 0, clubs - 1));
  return isWhole(balls, 1, HOMEWORK.balls) && isWhole(mode, 0, MODES.length - 1)
    && isNumber(carry_m, 0, LONGEST_CARRY_M) && numbers.every(fits);
}

/** The UUID of 22 letters; "" for anything else. */
function idOf(text) {
  if (typeof text !== "string" || text.length !== 22 || !LETTERS.test(text)) return "";
  const hex = [...bytesOf(text)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

function isDay(text) {
  if (typeof text !== "string" || !/^[0-9]{4}-[0-9]{2}-[0-9]{2}$/.test(text) || text < "0001" || text >= "9999") return false;
  const day = new Date(`${text}T00:00:00.000Z`);
  return !Number.isNaN(day.getTime()) && day.toISOString().startsWith(text);
}

function isPlain(text, longest) {
  return typeof text === "string" && [...text].length <= longest && !MARKUP.test(text);
}

function isList(value, least, most, fits = () => true) {
  return Array.isArray(value) && value.length >= least && value.length <= most && value.every(fits);
}

function isNumber(value, low, high) {
  return typeof value === "number" && value >= low && value <= high;
}

function isWhole(value, low, high) {
  return isNumber(value, low, high) && Number.isInteger(value);
}

function bytesOf(text) {
  return Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (letter) => letter.charCodeAt(0));
}

/** CRC-32 as zlib and PNG have it (ISO/IEC 15948, annex D). */
function checksum(bytes) {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  return (crc ^ 0xffffffff) >>> 0;
}
