// Lists what this device holds. Copies of a <template data-kept-row> go into [data-kept-list].

import { filled, gettext, language, moment, ngettext, size } from "./language.js";
import { answered, ask, onChange } from "./worker.js";

const list = document.querySelector("[data-kept-list]");
const template = document.querySelector("[data-kept-row]");
const UNITS = [["day", 86400], ["hour", 3600], ["minute", 60]];

function ago(then) {
  const seconds = (Date.now() - then) / 1000;
  for (const [unit, size] of UNITS) {
    const count = Math.floor(seconds / size);
    if (count >= 1) return new Intl.RelativeTimeFormat(language).format(-count, unit);
  }
  return gettext("a moment ago");
}

const sum = (held) => Object.values(held).reduce((total, bytes) => total + bytes, 0);

// A show may end after midnight: until six it is still the day before.
const STILL_LAST_NIGHT_MS = 6 * 3600 * 1000;

function today() {
  return new Intl.DateTimeFormat("en-CA").format(Date.now() - STILL_LAST_NIGHT_MS);
}

const coming = (row) => (row.contents ?? []).filter((group) => group.on && group.on >= today());
const soonest = (row) => coming(row).map((group) => group.on).sort()[0] ?? "9999";

function groupOf({ title, links }, held) {
  const item = document.querySelector("[data-kept-group]").content.firstElementChild.cloneNode(true);
  item.querySelector("[data-group-title]").textContent = title;
  item.querySelector("ul").replaceChildren(
    ...links.filter(({ url }) => url in held).map(({ url, label }) => {
      const place = document.createElement("li");
      place.append(Object.assign(document.createElement("a"), { href: url, textContent: label, className: "button" }));
      return place;
    }),
  );
  return item;
}

// The next show of all, before everything else.
function showNext(rows) {
  const place = document.querySelector("[data-kept-next]");
  const next = rows
    .flatMap((row) => coming(row).map((group) => ({ ...group, held: row.held })))
    .sort((a, b) => (a.on < b.on ? -1 : 1))[0];
  place.hidden = !next;
  if (next) place.querySelector("[data-next]").replaceChildren(groupOf(next, next.held));
}

function show(row) {
  const item = template.content.firstElementChild.cloneNode(true);
  const put = (name, text) => (item.querySelector(`[data-${name}]`).textContent = text);
  const link = item.querySelector("a");
  link.textContent = row.title;
  link.href = row.page;
  const things = Object.keys(row.held).length;
  put("production", row.production.name);
  put("age", filled(gettext("Stored {ago} ({at})"), { ago: ago(row.kept_at), at: moment.format(row.kept_at) }));
  const inWords = row.budget
    ? ngettext("{size} of at most {most}: {n} page and picture", "{size} of at most {most}: {n} pages, pictures and sounds", things)
    : ngettext("{size}: {n} page and picture", "{size}: {n} pages, pictures and sounds", things);
  const most = size(row.budget ?? 0);
  put("size", filled(inWords, { size: size(sum(row.held)), most, n: things }));
  item.querySelector("[data-partial]").hidden = row.complete;
  item.querySelector("[data-full]").hidden = !row.full;
  item.querySelector("[data-beyond]").hidden = !row.beyond;
  const beyond = row.beyond ?? 0;
  put("beyond-count", filled(ngettext("{n} picture or sound", "{n} pictures and sounds", beyond), { n: beyond }));
  item.querySelector("[data-contents]").replaceChildren(
    ...(row.contents ?? []).map((group) => groupOf(group, row.held)),
  );
  item.querySelector("[data-left-out]").replaceChildren(
    ...row.left_out.map((words) => Object.assign(document.createElement("li"), { textContent: words })),
  );
  item.querySelector("button").addEventListener("click", () => ask("dropKept", { id: row.id }));
  return item;
}

async function refresh() {
  const rows = await ask("kept");
  rows.sort((a, b) => (soonest(a) < soonest(b) ? -1 : soonest(a) > soonest(b) ? 1 : b.kept_at - a.kept_at));
  showNext(rows);
  list.replaceChildren(...rows.map(show));
  list.hidden = rows.length === 0;
  document.querySelector("[data-kept-none]").hidden = rows.length > 0;
  const { usage } = (await navigator.storage?.estimate?.()) ?? {};
  const persisted = await navigator.storage?.persisted?.();
  const total = document.querySelector("[data-kept-total]");
  if (!total || !usage) return;
  total.hidden = false;
  const inAll = filled(gettext("All in all {size}."), { size: size(usage) });
  const lasts = persisted
    ? gettext("The browser has promised to hold on to it.")
    : gettext("The browser may throw it away when the device runs short of space.");
  total.textContent = `${inAll} ${lasts}`;
}

onChange(refresh);
await answered(refresh);
