// What guests keep: people without an account, who hold a link to one thing until a day. Each link
// has a cache of its own, and a row that says until when; then both go. Nobody is signed in here, so
// none of it is cleared with what a person keeps.
const GUESTS = /^\/g\/[\w-]+\//;
const guestCache = (store) => `guest ${store}`;

const homeOf = (path) => GUESTS.exec(path)?.[0];

async function guestRows() {
  return (await all("about")).filter((row) => row.id.startsWith("guest "));
}

async function dropGuest(row) {
  await drop("about", row.id);
  await caches.delete(guestCache(row.store));
}

// Whose time is over goes, whichever page is opened next.
async function dropOver() {
  for (const row of await guestRows()) if (row.until <= Date.now()) await dropGuest(row);
}

async function guestRow(path) {
  const home = homeOf(path);
  const row = (await guestRows()).find((each) => each.home === home);
  await dropOver();
  return row;
}

const OVER = gettext(
  "The time of this link is over, and what was kept on this phone is gone. Ask whoever gave you the link for a new one.",
);

// Closed on the server, or over: nothing of it stays.
async function forgetGuest(path) {
  const row = await guestRow(path);
  if (row) await dropGuest(row);
}

// Kept in another language than the one its pages come in now.
async function keepGuestAnew({ list, language }) {
  const row = await guestRow(new URL(list, location).pathname);
  return row && row.language !== language ? keepGuest({ list, language }) : null;
}

async function keepGuest({ list, language }) {
  const answer = await fetch(list, { cache: "no-store" });
  if (!answer.ok) {
    await forgetGuest(list);
    return null;
  }
  const { store, home, title, until, pages, budget, gone } = await answer.json();
  const row = { id: `guest ${store}`, language, store, home, title, until, kept_at: Date.now() };
  // On record first, so that nothing lies here that has no end.
  await put("about", row);
  const cache = await caches.open(guestCache(store));
  let left = budget, complete = true;
  const files = new Set(), statics = new Set();
  const hold = async (url, isPage) => {
    const response = await take(url);
    const body = response && (await response.blob());
    if (!body || body.size > left) return (complete = false);
    left -= body.size;
    await cache.put(url, stamped(response, body));
    if (isPage) {
      for (const each of addresses(await body.text(), SHOWN, url)) (isStatic(each) ? statics : files).add(each);
    }
  };
  await inTurn(pages, (url) => hold(url, true));
  const held = {};
  await keepStatics(statics, held);
  await put("about", { ...row, statics: held });
  await inTurn([...files].filter((url) => homeOf(url) === home && !isGone(url, gone)), (url) => hold(url, false));
  return { complete, until };
}

async function guestAnswer(event, url) {
  const found = await guestRow(url.pathname);
  const isOver = found && found.until <= Date.now();
  const row = isOver ? null : found;
  const cache = row && (await caches.open(guestCache(row.store)));
  const kept = cache && (await cache.match(url.href, { ignoreVary: true }));
  const asked = fetch(event.request);
  const seen = asked.then(async (answer) => {
    if (!row) return;
    if (answer.status === 404 && url.pathname === row.home) return dropGuest(row);
    const copy = answer.ok && kept && !answer.redirected && answer.status === 200 ? answer.clone() : null;
    if (copy) await cache.put(url.href, stamped(copy, await copy.blob()));
  });
  event.waitUntil(seen.catch(() => {}));
  try {
    const answer = await (kept ? inTime(asked, PATIENCE_MS) : asked);
    if (!GONE.has(answer.status) || !kept) return answer;
  } catch (error) {
    if (isOver) return new Response(OVER, { status: 410, headers: { "Content-Type": "text/plain; charset=utf-8" } });
    if (!kept) throw error;
  }
  const range = /^bytes=(\d+)-(\d*)$/.exec(event.request.headers.get("Range") ?? "");
  if (range) return part(kept, range);
  return guestMarked(kept);
}

async function guestMarked(response) {
  if (!response.headers.get("Content-Type")?.includes("html")) return response;
  const then = Number(response.headers.get(KEPT_AT));
  const notice =
    `<div class="messages" role="status"><div class="message message-warning" data-kept-notice>` +
    `<p><strong>${filled(gettext("Kept {ago}."), { ago: ago(then) })}</strong> ${NO_SERVER}</p></div></div>`;
  const html = (await response.text())
    .replace(/<html\b/, "<html data-from-store")
    .replace(/(<main\b[^>]*>)/, (main) => main + notice);
  return new Response(html, { status: 200, headers: response.headers });
}

async function guestSent(event, url) {
  return sentOrShown(event, url, await event.request.clone().formData());
}
