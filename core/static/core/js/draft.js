// Keeps on the device what is typed into a form, and puts it back where the form is opened again
// without having been saved: also after the phone died, the session ended or the form was refused.
//
// Every form with data-guard has it, but none with a password. On such a form:
//   data-draft-files          files are kept, too (where there is a worker): photos and sounds
//   data-draft-by="gear"      parameters of the address by which it is another form
//   data-draft-only="lines"   nothing else is kept: the rest is worked out from it
//   data-draft-as="lines"     on fields: kept as lines of that one
//   data-again="camera photos"  on a field whose error says no more than that the files of these
//                             fields have to be chosen again: it goes where the device chooses them
//
// What is kept is what differs from how the page came; of a form that came back, all of it. With it
// is kept which state of the record the form was opened on (`base`, `version`), and put back, so
// that the server notices what others changed meanwhile. Tokens and hidden fields are not kept.
// The server says which drafts are done with (core/offline/drafts.py).

import { draftsOf, dropDrafts, leave, putDraft } from "./draft-store.js";
import { filled, gettext, moment } from "./language.js";

const user = document.querySelector("meta[name=who]")?.content;
const AFTER_MS = 400; // of rest
const COOKIE = "saved_drafts";
const OURS = /^(csrfmiddlewaretoken|request_key|draft_id|later_\w+)$/;
const STATE = /(^|-)(base|version)$/;
let isLeaving = false;
// In every tab: what is typed on after a log-out elsewhere is nobody's.
const tabs = new BroadcastChannel("log out");
tabs.addEventListener("message", () => (isLeaving = true));

const UNTYPED = "button, fieldset, output, object, [type=hidden], [type=password], [type=submit], [type=button], [type=image]";
const isKept = (field) => field.name && !field.matches(UNTYPED) && !OURS.test(field.name);
const nameOf = (field) => field.dataset.draftAs ?? field.name;
const isText = (field) => field.matches("textarea, input") && !field.matches("[type=checkbox], [type=radio], [type=file]");

// As the page came: a browser that goes back fills fields in before any script runs.
function began(field) {
  if (field.type === "file") return [];
  if (field.matches("[type=checkbox], [type=radio]")) return field.defaultChecked ? [field.value] : [];
  if (!field.matches("select")) return [field.defaultValue];
  const chosen = [...field.options].filter((option) => option.defaultSelected);
  if (!chosen.length && !field.multiple && field.options.length) return [field.options[0].value];
  return chosen.map(({ value }) => value);
}

function valuesOf(field) {
  if (field.type === "file") return [...field.files];
  if (field.matches("[type=checkbox], [type=radio]")) return field.checked ? [field.value] : [];
  if (field.multiple) return [...field.selectedOptions].map(({ value }) => value);
  return [field.value];
}

// Names and what is typed there: a Map of lists.
function typedIn(form, values = valuesOf) {
  const only = form.dataset.draftOnly;
  const typed = new Map();
  for (const field of form.elements) {
    if (!isKept(field) || (only && nameOf(field) !== only)) continue;
    if (field.type === "file" && !("draftFiles" in form.dataset)) continue;
    typed.set(nameOf(field), [...(typed.get(nameOf(field)) ?? []), ...values(field)]);
  }
  for (const field of form.querySelectorAll("[data-draft-as]")) {
    const lines = [...form.querySelectorAll(`[data-draft-as="${field.dataset.draftAs}"]`)];
    typed.set(field.dataset.draftAs, [lines.flatMap(values).join("\n")]);
  }
  return typed;
}

const isSame = (a = [], b = []) => a.length === b.length && a.every((value, at) => value === b[at]);

function putFiles(field, files) {
  const held = new DataTransfer();
  for (const file of files) held.items.add(file);
  field.files = held.files;
}

// What was unchecked is unchecked; of a list that no longer offers a choice, the choice is left.
function putInto(field, values, at) {
  if (field.type === "file") putFiles(field, values.filter((value) => value instanceof File));
  else if (field.matches("[type=checkbox], [type=radio]")) field.checked = values.includes(field.value);
  else if (field.matches("select")) {
    if (values.some((value) => ![...field.options].some((each) => each.value === value))) return;
    for (const option of field.options) option.selected = values.includes(option.value);
  } else field.value = values[at] ?? "";
}

// What was typed before the draft was found is newer than the draft.
function putBack(form, { fields, names }, newer) {
  const values = new Map(names.map((name) => [name, []]));
  for (const [name, value] of fields) values.get(name)?.push(value);
  const seen = new Map();
  for (const field of form.elements) {
    if (!isKept(field) || !values.has(field.name) || newer.has(field.name)) continue;
    const at = seen.get(field.name) ?? 0;
    seen.set(field.name, at + 1);
    putInto(field, values.get(field.name), at);
    for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
    if (valuesOf(field).some((value) => value !== "")) unfold(field);
  }
}

// What the form began with is no reason to unfold; what somebody typed is.
function unfold(field) {
  const isTyped = field.type === "file" ? field.files.length : isText(field) && field.value;
  if (isTyped || (field.type === "checkbox" && field.checked)) field.closest("details")?.setAttribute("open", "");
}

// Takes back what a field says is wrong with it.
function unsay(field) {
  const place = field.closest(".field");
  place.classList.remove("has-error");
  place.querySelector(".field-errors")?.remove();
  field.removeAttribute("aria-invalid");
  field.form.querySelector(`[data-summary] a[href="#${field.id}"]`)?.closest("li").remove();
}

// The form among those of its person: by where it is sent, and by what makes it another one there.
function placeOf(form, taken) {
  const url = new URL(form.getAttribute("action") || location.href, location);
  const by = (form.dataset.draftBy ?? "").split(" ").filter(Boolean);
  const said = by.map((name) => `${name}=${new URLSearchParams(location.search).get(name) ?? ""}`);
  const hash = form.getAttribute("action") ? url.hash : "";
  const place = [url.pathname + hash, ...said].join(" ");
  const count = taken.get(place) ?? 0;
  taken.set(place, count + 1);
  return count ? `${place} #${count + 1}` : place;
}

class Draft {
  constructor(form, place) {
    this.form = form;
    this.place = place;
    this.id = `${user} ${place}`;
    this.token = crypto.randomUUID?.() ?? `${Date.now().toString(36)}-${Math.random().toString(36).slice(2)}`;
    this.cameBack = form.dataset.guard === "typed";
    this.began = typedIn(form, began);
    this.early = new Set(); // names of what was typed before the draft was looked for
    this.stored = new Map(); // files that lie on the device, by the name of their field
    for (const kind of ["input", "change"]) form.addEventListener(kind, (event) => this.typed(event));
    form.addEventListener("formdata", ({ formData }) => formData.set("draft_id", this.token)); // names it to the server
    form.addEventListener("submit", (event) => event.defaultPrevented || this.sent());
    document.addEventListener("visibilitychange", () => document.hidden && this.timer && this.save());
    window.addEventListener("pagehide", () => this.timer && this.save());
    window.addEventListener("pageshow", (event) => event.persisted && (this.isSent = false));
  }

  async start(draft) {
    // What others changed since the draft was begun is asked about, also once it came back.
    this.base = (this.cameBack && draft?.base) || this.state();
    Object.assign(this, { turn: draft?.turn, shared: draft?.shared });
    if (draft && !this.cameBack) await this.show(draft);
    else if (this.cameBack) {
      if (draft) this.chooseAgain(draft);
      await this.save();
    }
    this.form.dataset.draft = "ready";
    if (this.early.size) this.later();
  }

  // A page that comes back brings no files along; the device still has them.
  chooseAgain({ fields }) {
    let isAny = false;
    for (const field of this.form.querySelectorAll("input[type=file]")) {
      const files = fields.filter(([name, value]) => name === field.name && value instanceof File).map(([, file]) => file);
      if (!files.length || field.files.length) continue;
      putFiles(field, files);
      this.stored.set(field.name, valuesOf(field));
      for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
      unfold(field);
      isAny = true;
    }
    if (!isAny) return;
    for (const field of this.form.querySelectorAll("[data-again]")) {
      if (field.dataset.again.split(" ").some((name) => this.form.elements[name]?.files.length)) unsay(field);
    }
    const said = document.createElement("div");
    said.className = "message message-info";
    said.setAttribute("role", "status");
    said.append(Object.assign(document.createElement("p"), {
      textContent: gettext("The photos and sounds that you had chosen are in the form again."),
    }));
    this.form.prepend(said);
  }

  stateFields() {
    return [...this.form.elements].filter(({ type, name }) => type === "hidden" && STATE.test(name));
  }

  state() {
    return Object.fromEntries(this.stateFields().map(({ name, value }) => [name, value]));
  }

  async show(draft) {
    const early = new Set(this.early); // putting back is no typing
    putBack(this.form, draft, early);
    this.early = early;
    for (const [name, values] of this.files()) if (!early.has(name)) this.stored.set(name, values);
    clearTimeout(this.timer);
    this.timer = null;
    const lost = draft.fields.filter(([name]) => draft.texts.includes(name) && !this.began.has(name));
    const isNothing = [...typedIn(this.form)].every(([name, values]) => isSame(values, this.began.get(name)));
    if (isNothing && !lost.length) return dropDrafts({ ids: [this.id], turn: this.turn });
    this.token = draft.token;
    const isStale = this.stateFields().some(({ name, value }) => name in draft.base && draft.base[name] !== value);
    this.stateNow = this.state();
    for (const field of this.stateFields()) field.value = draft.base[field.name] ?? field.value;
    this.base = this.state();
    this.say(draft, isStale, lost);
  }

  // What is chosen in fields of files.
  files() {
    return new Map([...typedIn(this.form)].filter(([, values]) => values.some((value) => value instanceof File)));
  }

  say({ at, sent, brought }, isStale, lost) {
    const place = document.createElement("div");
    place.className = "message message-warning draft-said";
    place.setAttribute("role", "status");
    place.dataset.draftSaid = "";
    const words = [
      brought === "only"
        ? gettext("What you shared is in this form. It is not saved yet.")
        : sent
          ? gettext("What you sent here on {at} was not answered. It is put back: look whether it was saved before you send it again.")
          : gettext("What you wrote here on {at} was not saved. It is put back."),
    ].map((each) => filled(each, { at: moment.format(at) }));
    if (brought === "more") words.push(gettext("What you shared is beside it."));
    if (isStale) words.push(gettext("What it is about was changed since. Saving shows where both changed the same."));
    if (lost.length) words.push(gettext("Some of it has no place here any more:"));
    place.append(Object.assign(document.createElement("p"), { textContent: words.join(" ") }));
    for (const [, value] of lost) place.append(Object.assign(document.createElement("p"), { className: "words", textContent: value }));
    const button = Object.assign(document.createElement("button"), {
      type: "button", className: "button button-quiet", textContent: gettext("Throw it away"),
    });
    button.addEventListener("click", () => this.startAnew(place), { once: true });
    place.append(button);
    this.form.prepend(place);
  }

  async startAnew(place) {
    this.form.reset();
    for (const field of this.stateFields()) field.value = this.stateNow[field.name];
    this.base = this.state();
    for (const field of this.form.elements) {
      if (isKept(field)) field.dispatchEvent(new Event("change", { bubbles: true }));
    }
    clearTimeout(this.timer);
    this.timer = null;
    place.remove();
    await dropDrafts({ ids: [this.id], turn: this.turn });
  }

  isReady() {
    return this.form.dataset.draft === "ready";
  }

  typed({ target }) {
    if (!this.isReady() && target.name) this.early.add(nameOf(target));
    this.later();
  }

  // Not before it is known whether there is a draft: it would be written over, or what was written
  // here would come back as one and undo what was typed since.
  later() {
    if (this.isSent || isLeaving) return;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => (this.isReady() ? this.save() : this.later()), AFTER_MS);
  }

  async save(more = {}) {
    clearTimeout(this.timer);
    this.timer = null;
    if (isLeaving) return;
    const typed = typedIn(this.form);
    const names = [...typed.keys()].filter((name) => this.cameBack || !isSame(typed.get(name), this.began.get(name)));
    if (!names.length) return dropDrafts({ ids: [this.id], turn: this.turn }).catch(() => {});
    const files = this.files();
    const held = names.filter((name) => files.has(name) && isSame(files.get(name), this.stored.get(name)));
    const fields = names.filter((name) => !held.includes(name)).flatMap((name) => typed.get(name).map((value) => [name, value]));
    const texts = [...this.form.elements].filter((field) => isText(field) && names.includes(field.name)).map(({ name }) => name);
    const { id, place, token, base, turn, shared } = this;
    const draft = { id, user, place, path: place, token, fields, names, texts, base, turn, shared, sent: false, at: Date.now(), held, ...more };
    const answer = await putDraft(draft).catch(() => "failed");
    if (answer === "failed" || answer === "anew") this.stored.clear();
    else this.stored = files;
    // Another page has thrown away what these files lay with.
    return answer === "anew" ? this.save(more) : null;
  }

  sent() {
    this.isSent = true;
    if (!isLeaving) this.save({ sent: true });
  }
}

// Those the server has carried out the forms of.
async function dropSaved() {
  const [, saved] = document.cookie.match(new RegExp(`(?:^|; )${COOKIE}=([^;]*)`)) ?? [];
  if (!saved) return;
  await dropDrafts({ tokens: saved.split(".") });
  document.cookie = `${COOKIE}=; Max-Age=0; Path=/; SameSite=Lax`;
}

document.addEventListener("submit", (event) => {
  if (event.defaultPrevented || !event.target.matches("form[action='/logout/']")) return;
  isLeaving = true;
  tabs.postMessage("left");
  try {
    leave();
  } catch {} // a browser without storage has kept nothing
});

async function start() {
  const taken = new Map();
  const forms = [...document.querySelectorAll("form[data-guard]")].filter(
    (form) => form.method === "post" && !form.querySelector("[type=password]"),
  );
  const drafts = forms.map((form) => new Draft(form, placeOf(form, taken)));
  await dropSaved();
  const kept = await draftsOf(user);
  for (const draft of drafts) await draft.start(kept.get(draft.id));
}

if (user) start().catch(() => {});
