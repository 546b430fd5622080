// Compares the newest checkpoint of a production with the one this device saw last.
//
// A device keeps how many entries there were, and the root of the tree over them. Later it asks for
// the proof that the log has grown from there (RFC 9162, 2.1.4) and checks it here: the server's
// word would not do.

import { filled, gettext } from "./language.js";

const place = document.querySelector("[data-log]");

const bytes = (hex) => Uint8Array.from(hex.match(/../g) ?? [], (pair) => parseInt(pair, 16));
const hex = (buffer) => [...new Uint8Array(buffer)].map((b) => b.toString(16).padStart(2, "0")).join("");

async function node(left, right) {
  const body = new Uint8Array([1, ...bytes(left), ...bytes(right)]);
  return hex(await crypto.subtle.digest("SHA-256", body));
}

// Whether the tree of `second` leaves begins with that of `first`: RFC 9162, 2.1.4.2. Sizes are
// below 2^53, so that halving them is exact; bit operations would stop at 2^31.
export async function grew(first, firstRoot, second, secondRoot, proof) {
  if (first === second) return proof.length === 0 && firstRoot === secondRoot;
  if (!(first > 0 && first < second) || !proof.length) return false;
  const steps = Number.isInteger(Math.log2(first)) ? [firstRoot, ...proof] : [...proof];
  let [at, last] = [first - 1, second - 1];
  const half = () => { [at, last] = [Math.floor(at / 2), Math.floor(last / 2)]; };
  while (at % 2 === 1) half();
  let [before, after] = [steps[0], steps[0]];
  for (const step of steps.slice(1)) {
    if (last === 0) return false;
    if (at % 2 === 1 || at === last) {
      [before, after] = [await node(step, before), await node(step, after)];
      while (at !== 0 && at % 2 === 0) half();
    } else {
      after = await node(after, step);
    }
    half();
  }
  return last === 0 && before === firstRoot && after === secondRoot;
}

async function ask(address) {
  const answer = await fetch(address, { headers: { Accept: "application/json" } });
  return answer.ok ? answer.json() : null;
}

async function holds(kept, now, address) {
  if (now.size < kept.size) return false;
  if (now.size === kept.size) return now.root === kept.root;
  const said = await ask(`${address}grew/?first=${kept.size}`);
  if (!said) return null; // no network, or logged out meanwhile
  const { size, root } = said.checkpoint;
  return (await grew(kept.size, kept.root, size, root, said.proof)) ? said.checkpoint : false;
}

function show(name, words) {
  if (words) place.querySelector("[data-log-kept]").textContent = words;
  place.querySelector(`[data-log-${name}]`).hidden = false;
}

async function compare() {
  const address = place.dataset.log;
  const key = `log ${address}`;
  const now = await ask(address);
  if (!now) return;
  const kept = JSON.parse(localStorage.getItem(key) ?? "null");
  const keep = ({ size, root, at, code }) => localStorage.setItem(key, JSON.stringify({ size, root, at, code }));
  if (!kept) return keep(now);
  const held = await holds(kept, now, address);
  if (held === null) return;
  // What was seen stays kept: whoever looks again has to see the difference again.
  if (held === false) return show("differs", filled(gettext("{code}, of {day}"), { code: kept.code, day: kept.at.slice(0, 10) }));
  keep(held === true ? now : held);
  show("same");
}

// Hashing is offered to pages over HTTPS and of this machine alone.
if (place && globalThis.crypto?.subtle) compare().catch(() => {});
