// Keeping: a page names a list, the list names pages, and pages show files. All of it is fetched.
const KEPT_AT = "X-Kept-At";
const FRESH_MS = 15 * 60 * 1000; // a page that is opened again sooner is not fetched anew
const PART = 206;
const AT_ONCE = 3; // requests: a telephone and a small server both have other things to do
const ABOUT_THE_STORE = ["/kept/", "/waiting/", "/not-kept/", "/incoming/"];
const OWN_PAGES = ["/", ...ABOUT_THE_STORE]; // with the address at which the installed app starts
// What a player only takes instead of another copy would be stored a second time.
const SHOWN =
  /<(?:link|img|image|use|script|audio|video|source)\b(?![^>]*\sdata-instead)[^>]*?\s(?:src|href)="([^"]+)"/g;
const IN_SHEET = /url\(\s*["']?([^"')]+)["']?\s*\)/g;
const IN_SCRIPT = /\b(?:from|import)\s*["'](\.{0,2}\/[\w./-]+)["']/g;
const MESSAGES = /<div class="messages"/g;

const isStatic = (url) => new URL(url, location).pathname.startsWith(self.STATIC);
const saysWho = (html, user) => html.includes(`<meta name="who" content="${user}">`);

function addresses(text, pattern, base) {
  const found = new Set();
  for (const [, written] of text.matchAll(pattern)) {
    const url = new URL(written.replaceAll("&amp;", "&"), new URL(base, location));
    url.hash = "";
    if (url.origin === location.origin) found.add(url.pathname + url.search);
  }
  return found;
}

async function inTurn(items, act) {
  const left = [...items];
  const one = async () => {
    while (left.length) await act(left.shift());
  };
  await Promise.all(Array.from({ length: AT_ONCE }, one));
}

// As it came, with the time. Its bytes are unpacked by now, whatever the header says.
function stamped(response, body) {
  const headers = new Headers(response.headers);
  for (const name of ["Content-Encoding", "Content-Length"]) headers.delete(name);
  headers.set(KEPT_AT, String(Date.now()));
  return new Response(body, { status: response.status, headers });
}

const isFull = (error) => error?.name === "QuotaExceededError";

async function putPage(cache, url, response, user) {
  const html = await response.text();
  if (!saysWho(html, user)) return null;
  // A message is for whoever saw it first.
  const body = new Blob([html.replaceAll(MESSAGES, '<div hidden class="messages"')]);
  await cache.put(url, stamped(response, body));
  return { bytes: body.size, shows: addresses(html, SHOWN, url) };
}

// Of a sound that was played the browser may hold a part, and hand that out (Firefox does): no cache
// of pages takes it, so it is asked for whole.
async function take(url) {
  const ask = (cache) => fetch(url, { credentials: "same-origin", cache }).catch(() => null);
  const found = await ask("default");
  const response = found?.status === PART ? await ask("reload") : found;
  return response?.ok && response.status !== PART && !response.redirected ? response : null;
}

// What was removed on request is kept no longer, though pages still show that it was there.
const isGone = (url, gone) => gone.some((part) => url.includes(part));

// One thing that is kept, being fetched. `row.held` ends up with the bytes of each address.
class Fetching {
  constructor(cache, row, user, before, gone = []) {
    Object.assign(this, { cache, row, user, before, gone, files: new Set(), statics: new Set() });
    this.used = 0;
    this.budget = row.budget ?? Infinity;
  }

  async page(url) {
    const response = await take(url);
    const put = response && putPage(this.cache, url, response, this.user);
    const found = put && (await put.catch((error) => this.refused(error)));
    if (!found) return this.row.missing.push(url);
    this.holds(url, found.bytes);
    for (const each of found.shows) (isStatic(each) ? this.statics : this.files).add(each);
  }

  // Addresses of files name their content: what is there need not be fetched again.
  async file(url) {
    if (isGone(url, this.gone)) return;
    if (url in this.before && (await this.cache.match(url))) {
      return this.holds(url, this.before[url]);
    }
    if (this.used >= this.budget) return this.beyond();
    const response = await take(url);
    if (!response) return this.row.missing.push(url);
    const body = await response.blob();
    if (this.used + body.size > this.budget) return this.beyond();
    const put = this.cache.put(url, stamped(response, body)).then(() => true);
    if (!(await put.catch((error) => this.refused(error)))) return this.row.missing.push(url);
    this.holds(url, body.size);
  }

  holds(url, bytes) {
    this.row.held[url] = bytes;
    this.used += bytes;
  }

  // Of what the list asks for, this would be more than it may take.
  beyond() {
    this.row.beyond += 1;
  }

  // The rest may still find room: a page is small, a sound is not.
  refused(error) {
    if (!isFull(error)) throw error;
    this.row.full = true;
    return null;
  }

  // What is read first, pictures and sounds after it.
  async run(pages, files) {
    await inTurn(pages, (url) => this.page(url));
    await keepStatics(this.statics, this.row.statics).catch((error) => this.refused(error));
    for (const url of files) this.files.add(url);
    await inTurn(this.files, (url) => this.file(url));
    this.row.complete = this.row.missing.length === 0 && !this.row.beyond;
    this.row.kept_at = Date.now();
    if ((await me()) === this.user) await put("kept", this.row);
  }
}

// Style sheets and scripts name others. `held` is filled with the bytes of each.
async function keepStatics(urls, held) {
  const cache = await caches.open(FILES);
  let next = [...urls];
  while (next.length) {
    const named = new Set();
    await inTurn(next, async (url) => {
      const response = (await cache.match(url)) ?? (await take(url));
      if (!response) return;
      const body = await response.blob();
      if (!response.headers.has(KEPT_AT)) await cache.put(url, stamped(response, body));
      held[url] = body.size;
      const pattern = url.split("?")[0].endsWith(".css") ? IN_SHEET : IN_SCRIPT;
      if (!/\.(css|js)(\?|$)/.test(url)) return;
      for (const each of addresses(await body.text(), pattern, url)) named.add(each);
    });
    next = [...named].filter((url) => isStatic(url) && !(url in held));
  }
}

// One after the other, so that none throws out what another has just brought.
let turn = Promise.resolve();

function serially(act) {
  const done = turn.then(act);
  turn = done.catch(() => {});
  return done;
}

// `list` is an address that names what to keep.
const keep = (user, list) => serially(() => keepNow(user, list).catch(noRoomAtAll));
const keepOwn = (user) => serially(() => keepOwnNow(user));

function noRoomAtAll(error) {
  if (!isFull(error)) throw error;
  return { complete: false, full: true };
}

// What is listed but not there any more: somebody made room.
async function checked(row) {
  const cache = await caches.open(keptName(row.user, row.production.id));
  const there = new Set((await cache.keys()).map(addressOf));
  const lost = Object.keys(row.held).filter((url) => !there.has(url));
  for (const url of lost) delete row.held[url];
  if (lost.length) Object.assign(row, { complete: false, full: true, missing: [...row.missing, ...lost] });
  return row;
}

function addressOf({ url }) {
  const { pathname, search } = new URL(url);
  return pathname + search;
}

async function keepNow(user, list) {
  const id = `${user} ${list}`;
  const found = await one("kept", id);
  const before = found && (await checked(found));
  const language = await languageHere();
  const isSpoken = before?.language === language;
  if (before?.complete && isSpoken && Date.now() - before.kept_at < FRESH_MS) return before;
  const answer = await take(list);
  const wanted = answer && (await answer.json());
  if (wanted?.user !== user) return before;
  const { title, page, production, contents, left_out, budget } = wanted;
  const row = {
    id, user, list, language, title, page, production, contents, left_out, budget,
    held: {}, statics: {}, missing: [], beyond: 0,
    begun_at: Date.now(), kept_at: before?.kept_at ?? Date.now(), complete: false,
  };
  // On record from the start, so that nothing lies here that is not listed.
  await put("kept", { ...row, held: before?.held ?? {} });
  const cache = await caches.open(keptName(user, production.id));
  const fetching = new Fetching(cache, row, user, before?.held ?? {}, wanted.gone);
  await fetching.run([page, ...wanted.pages], wanted.files);
  await sweep(user, production.id);
  await tell();
  return row;
}

// What was kept in another language than the one that is read here now.
async function keepAnew(user) {
  const language = await languageHere();
  for (const row of await all("kept")) {
    if (row.user === user && row.language !== language) await keep(user, row.list);
  }
}

// The pages that speak of the store itself are always there.
async function keepOwnNow(user) {
  const id = `${user} own`;
  const before = await one("about", id);
  const language = await languageHere();
  if (before?.language === language && Date.now() - before.kept_at < FRESH_MS) return;
  const row = { id, language, held: {}, statics: {}, missing: [] };
  const fetching = new Fetching(await caches.open(ownName(user)), row, user, {});
  await inTurn(OWN_PAGES, (url) => fetching.page(url));
  await keepStatics(fetching.statics, row.statics);
  if (row.missing.length || (await me()) !== user) return;
  await put("about", { ...row, kept_at: Date.now() });
}

// Throws out what nothing that is kept refers to any more.
async function sweep(user, production) {
  const rows = await all("kept");
  const own = (await all("about")).filter((row) => row.statics);
  const here = rows.filter((row) => row.user === user && row.production.id === production);
  await sweepCache(keptName(user, production), here.map((row) => row.held));
  await sweepCache(FILES, [...rows, ...own].map((row) => row.statics));
}

async function sweepCache(name, helds) {
  const cache = await caches.open(name);
  const wanted = new Set(helds.flatMap((held) => Object.keys(held)));
  for (const request of await cache.keys()) {
    if (!wanted.has(addressOf(request))) await cache.delete(request);
  }
}

// Words are worth more than what can be fetched again: sounds go first, then pictures.
// Whether anything has gone.
async function makeRoom() {
  for (const kind of ["audio/", "image/"]) if (await dropKind(kind)) return true;
  return false;
}

// `act` puts something away. Without room for it, room is made until there is none to make.
async function withRoom(act) {
  for (;;) {
    try {
      return await act();
    } catch (error) {
      if (!(await makeRoom())) throw error;
    }
  }
}

async function dropKind(kind) {
  let gone = false;
  for (const name of (await caches.keys()).filter((each) => each.startsWith("kept "))) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const held = await cache.match(request);
      if (held?.headers.get("Content-Type")?.startsWith(kind)) gone = await cache.delete(request);
    }
  }
  return gone;
}

async function dropKept(user, id) {
  const row = await one("kept", id);
  if (row?.user !== user) return;
  await drop("kept", id);
  await sweep(user, row.production.id);
  await tell();
}
