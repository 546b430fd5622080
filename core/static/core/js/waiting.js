// Lists what waits to be sent. Copies of a <template data-waiting-row> go into [data-waiting-list].

import { filled, gettext, moment, number } from "./language.js";
import { answered, ask, onChange, onWent } from "./worker.js";

const list = document.querySelector("[data-waiting-list]");
const template = document.querySelector("[data-waiting-row]");
const GONE = gettext("The server cannot be reached. What waits here goes up by itself once it can.");
const SIGNED_OUT = gettext("You are logged out. Log in again, and what waits here goes up.");

function show(item) {
  const row = template.content.firstElementChild.cloneNode(true);
  const find = (name) => row.querySelector(`[data-${name}]`);
  find("what").textContent = item.what;
  find("words").textContent = item.words;
  find("words").hidden = !item.words;
  find("why").textContent = item.why;
  find("why").hidden = !item.why;
  find("at").textContent = filled(gettext("written {at}"), { at: moment.format(item.made_at) });
  for (const badge of row.querySelectorAll("[data-state]")) {
    badge.hidden = badge.dataset.state !== item.state;
  }
  row.dataset.id = item.id;
  showWent(row, ["waiting", "sending"].includes(item.state) ? item.went : null);
  find("sent").hidden = !item.location;
  if (item.location) find("sent").href = item.location;
  find("from").href = item.from;
  find("open").hidden = item.state !== "needs";
  find("open").addEventListener("click", () => reopen(item));
  find("remove").addEventListener("click", () => remove(item));
  return row;
}

function showWent(row, went) {
  const place = row.querySelector("[data-went]");
  place.hidden = !went;
  if (!went) return;
  const [bytes, total] = went;
  place.querySelector("progress").value = total ? bytes / total : 0;
  const part = total ? Math.floor((100 * bytes) / total) : 0;
  place.querySelector("span").textContent = filled(
    gettext("{part} % of {total} MB is sent."), { part, total: number(total / 1e6, 1) },
  );
}

function remove(item) {
  const sure = item.state === "sent" || window.confirm(gettext("Throw away what you wrote here?"));
  if (sure) ask("dropItem", { id: item.id });
}

// Sends the same form for all to see, so that it comes back with what was typed and what is wrong.
async function reopen(item) {
  const found = await ask("token");
  if (!found) return say(GONE);
  if (!found.user) return say(SIGNED_OUT);
  const form = document.createElement("form");
  form.method = "post";
  form.action = item.url;
  const fields = [
    ...item.fields,
    ["csrfmiddlewaretoken", found.token],
    ["later_key", item.id],
    ["later_who", item.who],
    ["later_what", item.what],
    ["later_words", item.words],
    ["later_from", item.from],
    ["later_page", item.page ?? ""],
    ["later_reopened", "yes"],
  ];
  if (item.kind === "files") form.enctype = "multipart/form-data";
  for (const [name, value] of fields) form.append(fieldOf(name, value));
  document.body.append(form);
  form.submit();
}

function fieldOf(name, value) {
  const field = Object.assign(document.createElement("input"), { name, hidden: true });
  if (!(value instanceof Blob)) return Object.assign(field, { type: "hidden", value });
  const files = new DataTransfer();
  if (value.name || value.size) files.items.add(value);
  return Object.assign(field, { type: "file", files: files.files });
}

function say(words) {
  const place = document.querySelector("[data-waiting-state]");
  place.textContent = words;
  place.hidden = !words;
}

async function refresh() {
  const items = await ask("waiting");
  list.replaceChildren(...items.map(show));
  list.hidden = items.length === 0;
  document.querySelector("[data-waiting-none]").hidden = items.length > 0;
  document.querySelector("[data-waiting-send]").hidden = !items.some((i) => i.state !== "sent");
}

async function send() {
  say(gettext("Sending …"));
  const how = await ask("flush");
  say({ gone: GONE, "signed out": SIGNED_OUT }[how] ?? "");
}

document.querySelector("[data-waiting-send]").addEventListener("click", send);
onChange(refresh);
onWent(({ id, bytes, total }) => {
  const row = list.querySelector(`[data-id="${id}"]`);
  if (row) showWent(row, [bytes, total]);
});
if (await answered(refresh)) await send();
