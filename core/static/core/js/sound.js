// Says beside a player when no sound can be had, which the player itself does not in every browser.
// What a browser cannot decode can be downloaded, to be heard in another program.

import { gettext } from "./language.js";

const SENT_BUT_UNPLAYABLE = 3; // MediaError.MEDIA_ERR_DECODE, of the HTML standard
const words = {
  gone: () =>
    gettext("No sound: it did not come. Without a network only clips that are kept on this device play."),
  unplayable: () => gettext("No sound: this browser cannot play this clip."),
  silent: () => gettext("No sound: it came, but this device gives no sound."),
};
const came = new WeakSet();
const told = new WeakMap();

// Whether none of the codings that the player is offered is one that the browser knows.
function isStrange(player) {
  const offered = [...player.querySelectorAll("source[type]")];
  return offered.length > 0 && offered.every(({ type }) => !player.canPlayType(type));
}

function why(player) {
  if (came.has(player)) return "silent";
  return player.error?.code === SENT_BUT_UNPLAYABLE || isStrange(player) ? "unplayable" : "gone";
}

function download(player) {
  const link = document.createElement("a");
  link.href = player.querySelector("source")?.src ?? player.src;
  link.download = "";
  link.textContent = gettext("Download it");
  return link;
}

function tell(player) {
  if (!told.has(player)) {
    const place = document.createElement("p");
    place.className = "sound-missing";
    place.setAttribute("role", "alert");
    player.after(place);
    told.set(player, place);
  }
  const reason = why(player);
  told.get(player).replaceChildren(words[reason](), ...(reason === "unplayable" ? [" ", download(player)] : []));
}

function takeBack(player) {
  told.get(player)?.remove();
  told.delete(player);
}

// One of several copies failing is nothing to tell: the player goes on to the next.
function failed(target) {
  if (target.matches?.("audio")) tell(target);
  if (target.matches?.("audio > source:last-of-type")) tell(target.parentElement);
}

// None of these events bubbles, so that they are caught on the way down.
document.addEventListener("canplay", ({ target }) => came.add(target), true);
document.addEventListener("emptied", ({ target }) => target.matches("audio[src]") && came.delete(target), true);
document.addEventListener("error", ({ target }) => failed(target), true);
document.addEventListener("playing", ({ target }) => takeBack(target), true);
