// The worker's events. Pages ask it things by message; see core/static/core/js/worker.js.
const SETTLE_MS = 60 * 1000;

// Each answers with what the page gets back.
const ANSWERS = {
  // A page of somebody who is signed in was opened.
  async hello({ user, language }) {
    const known = await me();
    if (known !== user) {
      await clearPages(user);
      await clearDrafts(user);
      await clearIncoming(user);
      await put("about", { id: "me", user });
    }
    if (language) await put("about", { id: "language", language });
    await keepOwn(user).catch(() => {}); // without room everything else still works
    const last = (await one("about", "settled"))?.at ?? 0;
    const holds = (await all("kept")).length > 0;
    if (holds && Date.now() - last > SETTLE_MS) await settle();
    await flush();
    return {};
  },
  async keep({ list }) {
    const user = await me();
    return user ? keep(user, list) : null;
  },
  async keepAnew() {
    const user = await me();
    return user ? keepAnew(user) : null;
  },
  async kept() {
    const user = await me();
    return Promise.all((await all("kept")).filter((row) => row.user === user).map(checked));
  },
  async waiting() {
    const items = await waiting(await me());
    return items.map((item) => ({ ...item, went: went.get(item.id) ?? item.went }));
  },
  async flush() {
    return flush();
  },
  async token() {
    return settle();
  },
  // Of whom the page with the forms was made for, as what is written on it is. Others' are cleared.
  async drafts({ user }) {
    await clearDrafts(user);
    return all("drafts");
  },
  async putDraft({ draft }) {
    return putDraft(draft);
  },
  async dropDrafts(which) {
    return dropDrafts(which);
  },
  // Of whom the page was made for, as drafts are.
  async incoming({ user }) {
    return incomingOf(user);
  },
  async incomingCount({ user }) {
    return (await incomingOf(user)).filter(({ why }) => !why).length;
  },
  async putIncoming(what) {
    return putIncoming(what);
  },
  async dropIncoming({ user, ids }) {
    return dropIncoming(user, ids);
  },
  async dropItem({ id }) {
    return dropItem(await me(), id);
  },
  async keepGuest(what) {
    return serially(() => keepGuest(what));
  },
  async keepGuestAnew(what) {
    return serially(() => keepGuestAnew(what));
  },
  async dropKept({ id }) {
    return dropKept(await me(), id);
  },
};

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) =>
  event.waitUntil(Promise.all([self.clients.claim(), dropOver().catch(() => {})])),
);

self.addEventListener("message", (event) => {
  const { ask, ...more } = event.data;
  const answer = (found) => event.ports[0]?.postMessage(found);
  // A page of another version than this worker may ask what is not known here.
  const known = ANSWERS[ask] ?? (async () => Promise.reject(new Error(`${ask} is not known.`)));
  event.waitUntil(
    known(more).then(
      (found) => answer({ found }),
      (error) => answer({ error: String(error) }),
    ),
  );
});

self.addEventListener("sync", (event) => {
  const sent = flush().then((how) => {
    if (how === "gone") throw new Error("The server cannot be reached."); // the browser tries later
  });
  event.waitUntil(sent);
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  if (request.method === "POST" && request.mode === "navigate") return submitted(event, url);
  if (request.method !== "GET" || OWN_ADDRESSES.test(url.pathname)) return;
  if (request.headers.get("Accept")?.includes("text/event-stream")) return;
  if (request.mode === "navigate") event.waitUntil(dropOver().catch(() => {}));
  if (homeOf(url.pathname)) return event.respondWith(guestAnswer(event, url));
  if (request.mode === "navigate" && url.searchParams.has(LET_GO)) event.respondWith(letGo(url));
  else if (LEFT_ALONE.test(url.pathname)) event.respondWith(passed(event, url));
  else if (request.mode === "navigate" || isPart(request)) event.respondWith(page(event, url));
  else if (url.pathname.startsWith(self.STATIC)) event.respondWith(staticFile(request));
  else if (MEDIA.has(request.destination)) event.respondWith(media(event, url));
  else event.respondWith(passed(event, url));
});

// What core/js/parts.js asks for: a page of which it shows a part.
const isPart = (request) => request.headers.get("Accept") === "text/html";

function submitted(event, url) {
  const { request } = event;
  // Whoever leaves leaves nothing behind, whether or not the server hears of it.
  if (url.pathname === "/logout/") return event.waitUntil(clearAll());
  // Somebody else may be coming: until their first page says who, there is nobody.
  if (url.pathname === "/login/") return event.waitUntil(drop("about", "me"));
  // What another site posts there goes to the server, which takes nothing.
  if (url.pathname === SHARED) return isForeign(request) ? undefined : event.respondWith(takeIncoming(event));
  if (LEFT_ALONE.test(url.pathname) || OWN_ADDRESSES.test(url.pathname)) return;
  // A guest's answer goes up now or not at all; what they typed is not lost by that.
  if (homeOf(url.pathname)) return event.respondWith(guestSent(event, url));
  if (url.pathname === "/language/") return event.respondWith(chosen(event));
  event.respondWith(posted(event, url));
}

// A language can be chosen with the server alone. Without it one stays where one was.
async function chosen({ request }) {
  const fields = await request.clone().formData();
  const next = new URL(fields.get("next") || "/", location);
  const answer = await fetch(request).catch(() => null);
  const isGone = !answer || GONE.has(answer.status);
  return isGone && next.origin === location.origin ? Response.redirect(next.href, 303) : answer ?? Response.error();
}
