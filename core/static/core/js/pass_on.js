// A link to pass on: copied, or given to whatever the device shares with. Without this script the
// link is selectable text and a QR code.
//
// <div data-pass-on data-words="…">
//   <input data-link readonly value="https://…">
//   <button type="button" data-copy hidden>Copy</button>
//   <button type="button" data-share hidden>Share</button>
//   <p role="status" data-said></p>
// </div>

import { gettext } from "./language.js";

// Browsers have the clipboard and the sheet to share with only where a page came by HTTPS.
async function copy(link) {
  if (navigator.clipboard) {
    try {
      await navigator.clipboard.writeText(link.value);
      return true;
    } catch {
      // Not allowed: the older way may be.
    }
  }
  link.select();
  return document.execCommand("copy");
}

function attach(place) {
  const link = place.querySelector("[data-link]");
  const said = place.querySelector("[data-said]");
  const [copying, sharing] = ["copy", "share"].map((name) => place.querySelector(`[data-${name}]`));

  link.addEventListener("focus", () => link.select());
  copying.hidden = false;
  copying.addEventListener("click", async () => {
    const isCopied = await copy(link);
    said.textContent = isCopied
      ? gettext("The link is copied.")
      : gettext("This browser does not copy by itself. The link is selected: copy it with your device.");
    if (!isCopied) link.select();
  });

  const content = { text: place.dataset.words, url: link.value };
  if (!navigator.share || navigator.canShare?.(content) === false) return;
  sharing.hidden = false;
  sharing.addEventListener("click", async () => {
    try {
      await navigator.share(content);
      said.textContent = gettext("The link is passed on.");
    } catch (error) {
      // Closed without choosing anybody: nothing to be said.
      if (error.name !== "AbortError") {
        said.textContent = gettext("This device did not share it. Copy the link instead.");
      }
    }
  });
}

for (const place of document.querySelectorAll("[data-pass-on]")) attach(place);
