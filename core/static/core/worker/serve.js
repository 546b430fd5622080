// What the worker answers with. The network comes first; what is kept stands in when it is slow
// or gone, and says so.
const PATIENCE_MS = 3000; // how long a kept page waits for the network
const OWN_ADDRESSES = /^\/(offline|sw\.js)\b/; // of the worker itself
const LEFT_ALONE = /^\/(admin|api)\b/; // never kept
const SHORTCUT = /^\/go\//; // of the icon of the app (core/telephone/)
const GONE = new Set([502, 503, 504]); // what stands before a server that is gone
const MEDIA = new Set(["image", "audio", "video"]);
const SLOW = gettext("The network is slow. Load the page again to see whether it is still so.");
const NO_SERVER = gettext("The server cannot be reached, so it may have changed since.");

// The parameters that change nothing of what a page says: the server names them, see
// core/offline/queries.py. Of a page without such a header, all of its address counts.
function unsaid(response) {
  const [, list] = /\bparams=\(([^)]*)\)/.exec(response.headers.get("No-Vary-Search") ?? "") ?? [];
  return [...(list ?? "").matchAll(/"([^"]*)"/g)].map(([, name]) => name);
}

function without(search, names) {
  const left = new URLSearchParams(search);
  for (const name of names) left.delete(name);
  return left.toString();
}

// The kept copy of an address for that person, with where it lies: of exactly that address, or of
// one that says the same, such as “Case%203” for “Case+3”.
async function find(user, url) {
  const opened = await Promise.all((await cachesOf(user)).map((name) => caches.open(name)));
  for (const cache of opened) {
    const found = await cache.match(url, { ignoreVary: true });
    if (found) return { cache, response: found, exact: true };
  }
  const { pathname, search } = new URL(url, location);
  for (const cache of opened) {
    for (const request of await cache.keys(pathname, { ignoreVary: true, ignoreSearch: true })) {
      const found = await cache.match(request, { ignoreVary: true });
      const names = found ? unsaid(found) : [];
      const isSame = without(new URL(request.url).search, names) === without(search, names);
      if (isSame) return { cache, response: found, exact: false };
    }
  }
  return null;
}

function inTime(promise, limit) {
  const late = new Promise((_, reject) => setTimeout(() => reject(new Error(SLOW)), limit));
  return Promise.race([promise, late]);
}

async function page(event, url) {
  const user = await me();
  const kept = user ? await find(user, url.href) : null;
  const asked = fetch(event.request);
  const noticed = asked.then((answer) => notice(user, kept, url, answer)).catch(() => {});
  event.waitUntil(noticed);
  try {
    const answer = await (kept ? inTime(asked, PATIENCE_MS) : asked);
    if (!GONE.has(answer.status)) return answer;
  } catch (error) {
    if (kept) return marked(kept.response, url.pathname, error.message === SLOW ? SLOW : NO_SERVER);
  }
  if (kept) return marked(kept.response, url.pathname, NO_SERVER);
  // Where a shortcut leads, only the server knows; the next show stands on the first page.
  if (user && SHORTCUT.test(url.pathname) && (await find(user, "/"))) return Response.redirect("/", 303);
  return (user && (await notKept(user))) || asked;
}

// Whether an answer, whatever its address, leaves open that this person is still signed in and a
// member. Where it led elsewhere it may be to the log-in: that cannot be seen from here.
function isDoubtful(user, url, answer) {
  if (answer.type === "opaqueredirect" || answer.status === 401) return true;
  if ([403, 404].includes(answer.status) && url.pathname.startsWith("/p/")) return true;
  const here = answer.headers.get("Signed-In");
  return here !== null && here !== user;
}

// What an answer of the server means for what is kept.
async function notice(user, kept, url, answer) {
  if (!user) return;
  if (isDoubtful(user, url, answer)) return settle();
  if (!kept?.exact || !answer.ok) return;
  const copy = answer.clone(); // at once: soon the page reads the body
  if (copy.headers.get("Content-Type")?.includes("html")) {
    await putPage(kept.cache, url.pathname + url.search, copy, user);
  }
}

async function notKept(user) {
  const found = await find(user, "/not-kept/");
  if (!found) return null;
  const { headers } = found.response;
  return new Response(found.response.body, { status: 503, statusText: "Not kept", headers });
}

// A kept page says at its top that it is one, and from when.
async function marked(response, path, why) {
  if (!response.headers.get("Content-Type")?.includes("html")) return response;
  if (ABOUT_THE_STORE.includes(path)) return response; // they speak of the store themselves
  const then = Number(response.headers.get(KEPT_AT));
  const date = new Intl.DateTimeFormat(self.LANGUAGE, {
    weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit",
  }).format(then);
  const at = `<time datetime="${new Date(then).toISOString()}">${date}</time>`;
  const age = filled(gettext("Stored {ago} ({at})."), { ago: ago(then), at });
  const notice =
    `<div class="messages" role="status"><div class="message message-warning" data-kept-notice>` +
    `<p><strong>${age}</strong> ${why} <a href="/kept/">${gettext("What this device holds")}</a></p></div></div>`;
  const html = (await response.text())
    .replace(/<html\b/, "<html data-from-store")
    .replace(/(<main\b[^>]*>)/, (main) => main + notice);
  return new Response(html, { status: 200, headers: response.headers });
}

// Names with a digest in them never change; others are asked for anew.
async function staticFile(request) {
  const cache = await caches.open(FILES);
  const held = await cache.match(request, { ignoreVary: true });
  if (held && /\.[0-9a-f]{12}\./.test(request.url)) return held;
  return fetch(request).catch((error) => {
    if (held) return held;
    throw error;
  });
}

// What is not stored, looked at in passing for who is signed in.
async function passed(event, url) {
  const answer = await fetch(event.request);
  event.waitUntil(me().then((user) => notice(user, null, url, answer)).catch(() => {}));
  return answer;
}

async function media(event, url) {
  const { request } = event;
  const user = await me();
  const found = user ? await find(user, request.url) : null;
  if (!found?.exact) return passed(event, url);
  const range = /^bytes=(\d+)-(\d*)$/.exec(request.headers.get("Range") ?? "");
  return range ? part(found.response, range) : found.response;
}

// Players of sound ask for a part; some refuse the whole.
async function part(response, [, first, last]) {
  const whole = await response.blob();
  const from = Number(first);
  const to = last ? Math.min(Number(last), whole.size - 1) : whole.size - 1;
  const headers = new Headers(response.headers);
  if (from > to) {
    headers.set("Content-Range", `bytes */${whole.size}`);
    return new Response(null, { status: 416, headers });
  }
  headers.set("Content-Range", `bytes ${from}-${to}/${whole.size}`);
  headers.set("Content-Length", String(to - from + 1));
  return new Response(whole.slice(from, to + 1), { status: 206, headers });
}

// Who is really here, and where they are members: what they must not have any more goes.
// null when the server cannot be reached.
async function settle() {
  const answer = await fetch("/offline/who/", { cache: "no-store" }).catch(() => null);
  if (!answer?.ok) return null;
  const found = await answer.json();
  const before = await me();
  if (!found.user) {
    await clearPages();
    await drop("about", "me");
  } else {
    if (found.user !== before) {
      await clearPages(found.user);
      await clearDrafts(found.user);
      await clearIncoming(found.user);
    }
    await put("about", { id: "me", user: found.user });
    for (const row of await all("kept")) {
      if (row.user === found.user && !found.productions.includes(row.production.id)) {
        await clearProduction(found.user, row.production.id);
      }
    }
  }
  await put("about", { id: "settled", at: Date.now() });
  await tell();
  return found;
}
