// On every page of somebody who is signed in: says hello to the worker, has this page kept if it
// asks for it, shows how much waits to be sent, and lets marked forms wait.
//
// <p data-keep="/p/…/keep/" hidden></p>       the address of a list of what belongs to this page
// <a href="/waiting/" data-waiting hidden></a> shown while something waits
// <a href="/incoming/" data-incoming hidden></a> shown while something that was shared has no place yet
// <form method="post" data-later="Note about Bass main">…</form>
//   data-later-instead: takes the place of what waits for the same address already
//   data-later-more="part": what to show beside it while it waits
//   data-later-next="part": where on the page to go on while it waits
// <a data-let-go href="…">  lets go of what came back from the queue (see worker/queue.js)
// <span data-waiting-here hidden><b data-count></b> more</span>  what waits for addresses below this page

import { gettext, language } from "./language.js";
import { ask, askToHold, onChange } from "./worker.js";

const AGAIN_MS = 30 * 1000;
const user = document.querySelector("meta[name=who]")?.content;
const made = document.querySelector("meta[name=page-made]")?.content ?? "";
const isFromStore = document.documentElement.hasAttribute("data-from-store");

// One key for one form that was opened: pressed twice, it is the same request.
const keys = new WeakMap();

function keyOf(form) {
  if (!keys.has(form)) keys.set(form, crypto.randomUUID());
  return keys.get(form);
}

function typedIn(form) {
  const typed = [...form.elements].filter(
    (field) => field.matches("textarea, input:not([type]), input[type=text]") && field.value.trim(),
  );
  const files = [...form.elements].flatMap((field) => [...(field.files ?? [])]);
  return [...typed.map((field) => field.value.trim()), ...files.map(({ name }) => name)].join("\n");
}

// The page, at the part of it that the form stands in.
function whereOf(form) {
  const part = form.dataset.laterNext ?? form.closest("[id]:not(main)")?.id;
  return location.pathname + location.search + (part ? `#${part}` : "");
}

document.addEventListener("formdata", ({ target: form, formData }) => {
  if (!form.matches("[data-later]") || !navigator.serviceWorker?.controller) return;
  formData.set("later_key", keyOf(form));
  formData.set("later_who", user);
  formData.set("later_what", form.dataset.later);
  formData.set("later_words", typedIn(form));
  formData.set("later_from", whereOf(form));
  formData.set("later_page", made);
  if ("laterInstead" in form.dataset) formData.set("later_instead", "yes");
  if (form.dataset.replaces) formData.set("later_replaces", form.dataset.replaces);
});
window.addEventListener("pageshow", (event) => {
  if (event.persisted) for (const form of document.forms) keys.delete(form);
});

async function showIncoming() {
  const count = await ask("incomingCount", { user });
  for (const link of document.querySelectorAll("[data-incoming]")) {
    link.hidden = count === 0;
    link.querySelector("[data-count]").textContent = String(count);
  }
}

const isOpen = (item) => item.state !== "sent";

async function showWaiting() {
  const items = (await ask("waiting")).filter(isOpen);
  for (const link of document.querySelectorAll("[data-waiting]")) {
    link.hidden = items.length === 0;
    link.querySelector("[data-count]").textContent = String(items.length);
  }
  const here = items.filter((item) => item.url.startsWith(location.pathname));
  for (const place of document.querySelectorAll("[data-waiting-here]")) {
    place.hidden = here.length === 0;
    place.querySelector("[data-count]").textContent = String(here.length);
  }
  for (const form of document.querySelectorAll("form[data-later]")) showPressed(form, items);
  return items;
}

// A form with nothing to type that was pressed already says so instead of offering it again.
function showPressed(form, items) {
  const button = form.querySelector("button:not([hidden])");
  if (!button || form.querySelector("textarea, input:not([type=hidden])")) return;
  const own = JSON.stringify(
    [...new FormData(form)].filter(([name]) => name !== "csrfmiddlewaretoken" && !/^(later_|request_key$)/.test(name)),
  );
  const { pathname, search } = new URL(form.action);
  const address = pathname + search;
  if (!items.some((item) => item.url === address && JSON.stringify(item.fields) === own)) return;
  const sign = document.createElement("span");
  sign.className = "badge badge-warn";
  sign.textContent = gettext("waits to be sent");
  button.hidden = true;
  button.before(sign);
  const more = document.getElementById(form.dataset.laterMore);
  if (more) more.hidden = false;
}

async function keepThis(place) {
  place.hidden = false;
  place.textContent = gettext("Storing this on the device …");
  await askToHold();
  const row = await ask("keep", { list: place.dataset.keep }).catch(() => null);
  const holds = row?.complete
    ? gettext("Stored on this device, to be read without a network.")
    : gettext("Not all of this could be stored on the device.");
  const noRoom = gettext("It has no room left: free some, then open this page again.");
  const link = document.createElement("a");
  link.href = "/kept/";
  link.textContent = gettext("What is stored");
  place.replaceChildren(holds, " ", row?.full && !row.complete ? `${noRoom} ` : "", link);
}

// Whoever logs out leaves nothing behind, so what waits would be lost.
document.addEventListener("submit", (event) => {
  const form = event.target;
  const link = document.querySelector("[data-waiting]:not([hidden])");
  if (!link || !form.matches("form[action='/logout/']")) return;
  const words = gettext("Something you wrote has not been sent yet. Log out all the same and lose it?");
  if (!window.confirm(words)) event.preventDefault();
});

async function flush() {
  const items = await showWaiting();
  if (items.some((item) => item.state !== "needs")) await ask("flush");
}

async function start() {
  onChange(showWaiting);
  onChange(showIncoming);
  // A kept page is in the language that it was kept in.
  await ask("hello", { user, language: isFromStore ? "" : language });
  await showWaiting();
  await showIncoming();
  const place = document.querySelector("[data-keep]");
  if (place && !isFromStore) await keepThis(place);
  if (!isFromStore) await ask("keepAnew");
}

if (user) {
  window.addEventListener("online", () => flush().catch(() => {}));
  document.addEventListener("visibilitychange", () => document.hidden || flush().catch(() => {}));
  setInterval(() => document.hidden || flush().catch(() => {}), AGAIN_MS);
  start().catch(() => {});
}
