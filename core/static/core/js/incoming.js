// Shows what a telephone shared into the app, and puts what is ticked into the form that is chosen:
// as a draft of that form, which it then opens. What the form has no field for stays here.
//
// <ul data-incoming-list></ul> <template data-incoming-row>…</template>
// <a href="…" data-taker data-picture="photos" data-sound="memo" data-words="words">…</a>

import { filled, gettext, moment, number, size } from "./language.js";
import { answered, ask, onChange } from "./worker.js";

const user = document.querySelector("meta[name=who]").content;
const list = document.querySelector("[data-incoming-list]");
const MOST_PICTURES = 12; // of one form, which says so, too
const WHY = {
  kind: gettext("“{name}” is neither a picture nor a sound, so it was not taken."),
  large: gettext("“{name}” has {size} MB; {most} MB is the most. It was not taken."),
  empty: gettext("“{name}” is empty, so it was not taken."),
  many: gettext("“{name}” was not taken: {most} MB and {count} things may wait for their place here. Put some in their place, then share it once more."),
  room: gettext("“{name}” was not taken: this device has no room left. Free some, then share it once more, or choose it in the form."),
};
const TAKEN = gettext("That form already has a sound that is not saved. Open it first, and save it or throw it away.");
const ONE_ONLY = gettext("That form takes one sound at a time. Tick one, and put the others in their place afterwards.");
const TOO_MANY = gettext("That form takes {most} photos at a time. Tick fewer, and put the others in their place afterwards.");
const GONE = gettext("What was ticked is not here any more. Share it once more.");

const mb = (bytes) => number(bytes / 1048576, 1);
const unticked = new Set(); // kept while the list is shown anew
let urls = [];

function urlOf(file) {
  const url = URL.createObjectURL(file);
  urls.push(url);
  return url;
}

function refused(row) {
  const item = document.querySelector("[data-incoming-refused]").content.firstElementChild.cloneNode(true);
  const values = { name: row.name, size: mb(row.bytes), most: mb(row.most ?? 0), count: row.count };
  item.querySelector("p").textContent = filled(WHY[row.why], values);
  item.querySelector("button").addEventListener("click", () => remove([row.id]));
  return item;
}

function held(row) {
  const item = document.querySelector("[data-incoming-row]").content.firstElementChild.cloneNode(true);
  const tick = item.querySelector("input");
  Object.assign(tick, { value: row.id, checked: !unticked.has(row.id) });
  tick.dataset.kind = row.kind;
  tick.addEventListener("change", () => {
    unticked[tick.checked ? "delete" : "add"](row.id);
    offer();
    say("");
  });
  item.querySelector("[data-name]").textContent = row.kind === "words" ? row.words : row.name;
  item.querySelector("[data-size]").textContent = row.file ? size(row.bytes) : "";
  item.querySelector("[data-at]").textContent = filled(gettext("shared {at}"), { at: moment.format(row.at) });
  show(item, row);
  return item;
}

function show(item, row) {
  const part = (name) => item.querySelector(`[data-shown=${name}]`);
  part(row.kind).hidden = false;
  if (row.kind === "picture") {
    const image = part("picture");
    // Not every browser draws what telephones take (HEIC): the server does.
    image.addEventListener("error", () => {
      image.hidden = true;
      part("none").hidden = false;
    });
    image.src = urlOf(row.file);
  } else if (row.kind === "sound") {
    const player = item.querySelector("audio");
    Object.assign(player, { hidden: false, src: urlOf(row.file), ariaLabel: row.name });
  }
}

const ticked = () => [...list.querySelectorAll("input:checked")];

// A form that has no field for anything that is ticked is not offered.
function offer() {
  const kinds = new Set(ticked().map((tick) => tick.dataset.kind));
  for (const link of document.querySelectorAll("[data-taker]")) {
    link.hidden = ![...kinds].some((kind) => link.dataset[kind]);
  }
  document.querySelector("[data-incoming-remove]").hidden = kinds.size === 0;
}

function say(words) {
  const place = document.querySelector("[data-incoming-said]");
  place.textContent = words;
  place.hidden = !words;
}

async function put(link) {
  const own = ticked().filter((tick) => link.dataset[tick.dataset.kind]);
  const count = (kind) => own.filter((tick) => tick.dataset.kind === kind).length;
  if (count("picture") > MOST_PICTURES) return say(filled(TOO_MANY, { most: MOST_PICTURES }));
  if (count("sound") > 1) return say(ONE_ONLY);
  const { pathname: place } = new URL(link.href);
  const { picture, sound, words } = link.dataset;
  const ids = own.map(({ value }) => value);
  const answer = await ask("putIncoming", { user, ids, place, into: { picture, sound, words } });
  if (answer === "put") return location.assign(link.href);
  say(answer === "taken" ? TAKEN : GONE);
}

function remove(ids) {
  say("");
  return ask("dropIncoming", { user, ids });
}

async function refresh() {
  const rows = await ask("incoming", { user });
  rows.sort((a, b) => a.at - b.at || a.turn - b.turn);
  for (const url of urls) URL.revokeObjectURL(url);
  urls = [];
  const focused = document.activeElement?.value;
  list.replaceChildren(...rows.filter(({ why }) => !why).map(held));
  document.querySelector("[data-incoming-not]").replaceChildren(...rows.filter(({ why }) => why).map(refused));
  list.querySelector(`input[value="${focused}"]`)?.focus();
  document.querySelector("[data-incoming-held]").hidden = rows.length === 0;
  document.querySelector("[data-incoming-places]").hidden = rows.every(({ why }) => why);
  document.querySelector("[data-incoming-none]").hidden = rows.length > 0;
  offer();
  // What lies here is nowhere else on this site.
  if (rows.some(({ file }) => file)) await navigator.storage?.persist?.().catch(() => {});
}

document.addEventListener("click", (event) => {
  const link = event.target.closest("[data-taker]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  put(link).catch(() => say(GONE));
});
document.querySelector("[data-incoming-remove]").addEventListener("click", () => remove(ticked().map(({ value }) => value)));
document.querySelector("[data-not-taken]").hidden = !new URLSearchParams(location.search).has("not_taken");
onChange(refresh);
await answered(refresh);
