// On pages without a log-in that the installed app may show: gets the worker ready, so that what a
// telephone shares is held by it. What a page says once it is, it may have beside:
//
// <p data-getting-ready>…</p> <p data-ready hidden>…</p>

import { isReady } from "./worker.js";

function say(name, isShown) {
  for (const place of document.querySelectorAll(`[data-${name}]`)) place.hidden = !isShown;
}

isReady().then(
  () => {
    say("getting-ready", false);
    say("ready", true);
  },
  () => say("getting-ready", false), // the page says what to do instead
);
