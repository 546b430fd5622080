// Lets a guest keep what a link names on this device, until the link ends.
import { filled, gettext, language } from "./language.js";
import { ask, askToHold } from "./worker.js";

const place = document.querySelector("[data-guest-keep]");
const said = document.querySelector("[data-guest-said]");
const isFromStore = document.documentElement.hasAttribute("data-from-store");

function say(words) {
  said.hidden = false;
  said.textContent = words;
}

async function keep() {
  const button = place.querySelector("button");
  button.disabled = true;
  say(gettext("Keeping this on the phone …"));
  await askToHold();
  const kept = await ask("keepGuest", { list: place.dataset.guestKeep, language }).catch(() => null);
  button.disabled = false;
  if (!kept) return say(gettext("It could not be kept on this device."));
  const until = new Intl.DateTimeFormat(language, { dateStyle: "long" }).format(kept.until - 1);
  const words = kept.complete
    ? gettext("Kept on this phone until the end of {day}; it can be read without a network.")
    : gettext("Not all of it could be kept. What was kept can be read until the end of {day}.");
  say(filled(words, { day: until }));
}

if (place && !isFromStore && "serviceWorker" in navigator) {
  place.hidden = false;
  place.querySelector("button").addEventListener("click", keep);
  // Where nothing was kept there may be no worker yet, and none is asked for.
  const list = place.dataset.guestKeep;
  if (navigator.serviceWorker.controller) ask("keepGuestAnew", { list, language }).catch(() => {});
}
