// Shows who else looks at this, and what they change, while the page is open and seen.
//
// The server ends a stream now and then, and the browser opens it again by itself. Where it is
// refused (logged out, a proxy without its server) it is tried again later and later.
//
// <section data-live="/…/live/" data-since="12" aria-live="polite" hidden></section>

import { filled, gettext } from "./language.js";
import { Notice } from "./live_notice.js";

const AGAIN_MS = 60 * 1000;
const GONE_MS = 5 * 1000; // without a stream for so long, nobody knows who is here

function words(tag, text, className) {
  const element = document.createElement(tag);
  element.textContent = text;
  if (className) element.className = className;
  return element;
}

function looking(names) {
  if (!names.length) return "";
  if (names.length === 1) return filled(gettext("{name} is looking at this, too."), { name: names[0] });
  const pair = { first: names.slice(0, -1).join(gettext(", ")), last: names.at(-1) };
  return filled(gettext("{first} and {last} are looking at this, too."), pair);
}

function follow(place) {
  const people = words("p", "", "live-people");
  const changes = words("ul", "", "live-changes");
  place.append(people, changes);
  let since = place.dataset.since;
  let source = null;
  let wait = AGAIN_MS;
  let gone = null;
  const notice = new Notice(place);

  function show() {
    people.hidden = people.textContent === "";
    place.hidden = people.hidden && changes.childElementCount === 0;
  }

  function onPeople(event) {
    const { names } = JSON.parse(event.data);
    people.textContent = looking(names);
    show();
  }

  function onChange(event) {
    const told = JSON.parse(event.data);
    since = told.number;
    // For a page that shows by itself what is new; without words there is nothing to list.
    place.dispatchEvent(new CustomEvent("live-news", { detail: told, bubbles: true }));
    if (!told.words) return;
    const row = document.createElement("li");
    const more = told.more ? ` ${filled(gettext("And {n} more."), { n: told.more })}` : "";
    const link = words("a", filled(gettext("Change {number}"), { number: told.number }));
    link.href = told.url;
    row.append(words("strong", told.who), " ", link, ` ${told.words.join(" ")}${more} `);
    const again = words("a", gettext("Show it here"));
    again.href = location.pathname + location.search;
    row.append(again);
    changes.prepend(row);
    while (changes.childElementCount > 5) changes.lastElementChild.remove();
    show();
    notice.tell(told);
  }

  function open() {
    if (source || document.hidden) return;
    source = new EventSource(`${place.dataset.live}?since=${since}`);
    source.addEventListener("people", onPeople);
    source.addEventListener("change", onChange);
    source.addEventListener("open", onOpen);
    source.addEventListener("error", onError);
  }

  function onOpen() {
    place.dataset.state = "open";
    wait = AGAIN_MS;
    clearTimeout(gone);
  }

  function onError() {
    clearTimeout(gone);
    gone = setTimeout(() => { people.textContent = ""; show(); }, GONE_MS);
    if (source?.readyState !== EventSource.CLOSED) return;
    close();
    setTimeout(open, wait);
    wait *= 2;
  }

  function close() {
    source?.close();
    source = null;
  }

  document.addEventListener("visibilitychange", () => (document.hidden ? close() : open()));
  window.addEventListener("pagehide", close);
  window.addEventListener("pageshow", open);
  show();
  open();
}

for (const place of document.querySelectorAll("[data-live]")) follow(place);
