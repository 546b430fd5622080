// The clock of a changeover, counted on from the server's, and ticks of others as they come.
//
// <section data-clock data-now="…" data-started="…" data-stopped="…" data-there="1200">
// <li data-step="id"><p data-mark hidden>… <form data-tick> <form data-untick hidden></li>
//
// core/js/live.js brings what is new (“live-news”), all of it each time. No sound.

import { filled, gettext, pgettext } from "../../core/js/language.js";

const place = document.querySelector("[data-clock]");
const isFromStore = document.documentElement.hasAttribute("data-from-store");
const LOOK_MS = 250;

let clock = null;
let ahead = 0; // ms that the server's clock is ahead of the device's

function read({ now, started, stopped, there_s: there }, isFresh) {
  clock = { started: Date.parse(started), stopped: Date.parse(stopped), there: there === "" ? null : there };
  // What the device stored says what time it was then.
  if (isFresh) ahead = Date.parse(now) - Date.now();
}

function text(seconds) {
  const rest = String(seconds % 60).padStart(2, "0");
  const minutes = Math.floor(seconds / 60) % 60;
  const hours = Math.floor(seconds / 3600);
  return hours ? `${hours}:${String(minutes).padStart(2, "0")}:${rest}` : `${minutes}:${rest}`;
}

const find = (name) => place.querySelector(`[data-clock-${name}]`);

function put(element, words) {
  if (element && element.textContent !== words) element.textContent = words;
}

function show() {
  if (Number.isNaN(clock.started)) {
    put(find("left"), text(clock.there ?? 0));
    put(find("word"), clock.there === null ? pgettext("clock", "gone") : pgettext("clock", "there are"));
    place.classList.remove("is-over");
    return;
  }
  const end = Number.isNaN(clock.stopped) ? Date.now() + ahead : clock.stopped;
  const gone = Math.max(0, Math.floor((end - clock.started) / 1000));
  const left = clock.there === null ? null : clock.there - gone;
  put(find("left"), text(Math.abs(left ?? gone)));
  const word = left < 0 ? pgettext("clock", "over") : pgettext("clock", "left");
  put(find("word"), left === null ? pgettext("clock", "gone") : word);
  place.classList.toggle("is-over", left !== null && left < 0);
}

function showStep(row, { done, words, took_s: took }) {
  row.classList.toggle("is-done", done);
  row.querySelector("[data-mark]").hidden = !done;
  put(row.querySelector("[data-mark-words]"), words);
  put(row.querySelector("[data-mark-took]"), took === null ? "" : filled(gettext(", at {clock}"), { clock: text(took) }));
  const [tick, untick] = ["tick", "untick"].map((name) => row.querySelector(`[data-${name}]`));
  if (!tick) return;
  tick.hidden = done;
  untick.hidden = !done;
}

function onNews({ detail }) {
  const changed = document.querySelector("[data-plan-changed]");
  changed.hidden = String(detail.plan) === changed.dataset.planChanged;
  for (const row of document.querySelectorAll("[data-step]")) {
    const told = detail.steps[row.dataset.step];
    if (told) showStep(row, told);
  }
  put(place.querySelector("[data-done]"), String(detail.done));
  put(find("todo"), text(detail.left_s));
  const words = detail.clock.words;
  put(find("words"), words ? words[0].toUpperCase() + words.slice(1) : gettext("Not started"));
  const isRunning = Boolean(detail.clock.started) && !detail.clock.stopped;
  const [start, stop] = [find("start"), find("stop")];
  if (start) {
    start.hidden = isRunning;
    stop.hidden = !isRunning;
    put(find("start-word"), detail.clock.started ? gettext("Start anew") : gettext("Start"));
  }
  const all = document.querySelector("[data-open-all]");
  if (all) all.hidden = detail.done === 0;
  read(detail.clock, true);
  show();
}

if (place) {
  const { now, started, stopped, there } = place.dataset;
  read({ now, started, stopped, there_s: there === "" ? "" : Number(there) }, !isFromStore);
  show();
  setInterval(show, LOOK_MS);
  document.addEventListener("live-news", onNews);
}
