// Keeps on the device what is typed into a form, files included, and puts it back where the page is
// opened again without having been sent. The worker holds it (core/static/core/worker/drafts.js).
//
// <form method="post" data-draft>… <p data-draft-said hidden><span></span> <button type="button">…</button></p>
//
// A form that came back with errors shows what was sent, and nothing is put over it.

import { ask } from "./worker.js";

const user = document.querySelector("meta[name=who]")?.content;
const AFTER_MS = 400; // of rest
const OURS = /^(csrfmiddlewaretoken|request_key|later_\w+)$/;
const when = new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeStyle: "short" });

const named = (form) => [...form.elements].filter(({ name, type }) => name && type !== "hidden" && !OURS.test(name));

// Names and values, in the order of the form; files as they are.
function typedIn(form) {
  const names = new Set(named(form).map(({ name }) => name));
  return [...new FormData(form)].filter(([name, value]) => names.has(name) && !(value instanceof File && !value.size));
}

const isFile = ([, value]) => value instanceof File;

function putFiles(field, files) {
  const held = new DataTransfer();
  for (const file of files) held.items.add(file);
  field.files = held.files;
}

function putBack(form, fields) {
  const values = grouped(fields);
  for (const field of named(form)) {
    const own = (values.get(field.name) ?? []).map(([, value]) => value);
    if (field.type === "file") putFiles(field, own.filter((value) => value instanceof File));
    else if (field.matches("[type=checkbox], [type=radio]")) field.checked ||= own.includes(field.value);
    else if (own.length) field.value = own[0];
    if (own.length) field.dispatchEvent(new Event("change", { bubbles: true }));
    if (own.some((value) => value !== "")) unfold(field);
  }
}

function grouped(fields) {
  const values = new Map();
  for (const each of fields) values.set(each[0], [...(values.get(each[0]) ?? []), each]);
  return values;
}

// What the form began with is no reason to unfold; what somebody typed is.
function unfold(field) {
  const isTyped = field.type === "file" ? field.files.length : field.matches("textarea, input[type=text]") && field.value;
  if (isTyped || (field.type === "checkbox" && field.checked)) field.closest("details")?.setAttribute("open", "");
}

class Draft {
  constructor(form) {
    this.form = form;
    this.path = location.pathname;
    this.isSent = false;
    this.start().catch(() => {});
  }

  async start() {
    this.began = JSON.stringify(typedIn(this.form));
    const draft = this.form.dataset.guard === "typed" ? null : await ask("draft", { user, path: this.path });
    if (draft) this.show(draft);
    for (const kind of ["input", "change"]) this.form.addEventListener(kind, () => this.later());
    this.form.addEventListener("submit", (event) => event.defaultPrevented || this.sent());
    document.addEventListener("visibilitychange", () => document.hidden && this.timer && this.save());
    window.addEventListener("pageshow", (event) => event.persisted && (this.isSent = false));
    this.form.dataset.draft = "ready";
  }

  show({ fields, at }) {
    putBack(this.form, fields);
    const place = this.form.querySelector("[data-draft-said]");
    place.hidden = false;
    place.querySelector("span").textContent = `What you wrote here on ${when.format(at)} was not saved. It is put back.`;
    place.querySelector("button").addEventListener("click", () => this.startAnew(place), { once: true });
  }

  async startAnew(place) {
    clearTimeout(this.timer);
    this.form.reset();
    for (const field of named(this.form)) field.dispatchEvent(new Event("change", { bubbles: true }));
    clearTimeout(this.timer);
    this.timer = null;
    place.hidden = true;
    await ask("dropDraft", { user, path: this.path }).catch(() => {});
  }

  later() {
    if (this.isSent) return;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.save(), AFTER_MS);
  }

  save() {
    clearTimeout(this.timer);
    this.timer = null;
    if (this.isSent) return;
    const fields = typedIn(this.form);
    const what = JSON.stringify(fields) === this.began && !fields.some(isFile) ? "dropDraft" : "putDraft";
    ask(what, { user, path: this.path, fields }).catch(() => {});
  }

  // The worker drops it when the server has answered. A page that it does not serve drops it here.
  sent() {
    this.isSent = true;
    clearTimeout(this.timer);
    if (!navigator.serviceWorker.controller) ask("dropDraft", { user, path: this.path }).catch(() => {});
  }
}

if (user) for (const form of document.querySelectorAll("form[data-draft]")) new Draft(form);
