// Says beside a player when no sound can be had, which the player itself does not in every browser.

import { gettext } from "./language.js";

const SENT_BUT_UNPLAYABLE = 3; // MediaError.MEDIA_ERR_DECODE, of the HTML standard
const words = {
  gone: () =>
    gettext("No sound: it did not come. Without a network only clips that are kept on this device play."),
  unplayable: () => gettext("No sound: this browser cannot play this clip."),
};
const told = new WeakMap();

function tell(player) {
  const why = player.error?.code === SENT_BUT_UNPLAYABLE ? "unplayable" : "gone";
  if (!told.has(player)) {
    const place = document.createElement("p");
    place.className = "sound-missing";
    place.setAttribute("role", "alert");
    player.after(place);
    told.set(player, place);
  }
  told.get(player).textContent = words[why]();
}

function takeBack(player) {
  told.get(player)?.remove();
  told.delete(player);
}

// Neither event bubbles, so that both are caught on the way down.
document.addEventListener("error", ({ target }) => target.matches?.("audio") && tell(target), true);
document.addEventListener("playing", ({ target }) => takeBack(target), true);
