// What the worker remembers between its lives, in IndexedDB:
// about (who is signed in here), kept (what each kept page took along), queue (what waits), drafts,
// incoming (what a telephone shared).
const PLACES = ["about", "kept", "queue", "drafts", "incoming"];
const VERSION = 3; // of the places
let opened;

function database() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open("toneledger", VERSION);
    asked.onupgradeneeded = () => {
      const there = asked.result.objectStoreNames;
      for (const place of PLACES) {
        if (!there.contains(place)) asked.result.createObjectStore(place, { keyPath: "id" });
      }
    };
    asked.onerror = () => reject(asked.error);
    asked.onsuccess = () => {
      // The browser may close it, for instance when all data of the site are cleared.
      asked.result.onclose = () => (opened = undefined);
      asked.result.onversionchange = () => {
        asked.result.close();
        opened = undefined;
      };
      resolve(asked.result);
    };
  }).catch((error) => {
    opened = undefined;
    throw error;
  });
  return opened;
}

// Resolves when it is on the disk, not before: what waits must survive a flat battery.
async function within(place, mode, act) {
  const held = await database();
  return new Promise((resolve, reject) => {
    const step = held.transaction(place, mode, { durability: "strict" });
    const asked = act(step.objectStore(place));
    step.oncomplete = () => resolve(asked.result);
    step.onabort = () => reject(step.error);
  });
}

const write = (place, row) => within(place, "readwrite", (store) => store.put(row));
const all = async (place) => (await within(place, "readonly", (store) => store.getAll())).map(unpacked);
const one = async (place, id) => unpacked(await within(place, "readonly", (store) => store.get(id)));

// An engine may hold no files in a database that it forgets at the end (WebKit in a private window,
// which names the error in one way or another): their bytes then.
async function put(place, row) {
  try {
    return await write(place, row);
  } catch (error) {
    const hasFiles = row.fields?.some(([, value]) => value instanceof Blob);
    if (!hasFiles || isFull(error)) throw error;
    return write(place, { ...row, fields: await Promise.all(row.fields.map(packed)) });
  }
}

async function packed([name, value]) {
  if (!(value instanceof Blob)) return [name, value];
  return [name, { file: value.name ?? "", type: value.type, bytes: await value.arrayBuffer() }];
}

function unpacked(row) {
  if (!row?.fields) return row;
  const whole = (value) => (value?.bytes instanceof ArrayBuffer ? new File([value.bytes], value.file, { type: value.type }) : value);
  return { ...row, fields: row.fields.map(([name, value]) => [name, whole(value)]) };
}

const drop = (place, id) => within(place, "readwrite", (store) => store.delete(id));
const empty = (place) => within(place, "readwrite", (store) => store.clear());

// Who is signed in here, as far as is known. Nothing is served from the store to nobody.
async function me() {
  return (await one("about", "me"))?.user;
}

// In which language the server last answered a page of whoever is here.
async function languageHere() {
  return (await one("about", "language"))?.language ?? "";
}

// Caches. One for each person and production, so that neither sees another's.
const FILES = "files"; // style sheets, scripts and fonts: the same for everybody
const ownName = (user) => `own ${user}`;
const keptName = (user, production) => `kept ${user} ${production}`;

const isOfGuest = (name) => name.startsWith("guest "); // see guest.js: its end is the link's
const isOf = (user, name) => name === ownName(user) || name.startsWith(`kept ${user} `);

async function cachesOf(user) {
  return (await caches.keys()).filter((name) => isOf(user, name));
}


async function clearProduction(user, production) {
  for (const row of await all("kept")) {
    if (row.user === user && row.production.id === production) await drop("kept", row.id);
  }
  for (const { id, path } of await all("drafts")) if (path.includes(production)) await drop("drafts", id);
  await caches.delete(keptName(user, production));
}

// Everything that was kept for anybody but `user`; of nobody, all of it.
async function clearPages(user) {
  for (const row of await all("kept")) if (!user || row.user !== user) await drop("kept", row.id);
  for (const name of await caches.keys()) {
    if (name !== FILES && !isOfGuest(name) && !(user && isOf(user, name))) await caches.delete(name);
  }
}

async function clearAll() {
  for (const name of await caches.keys()) if (isOfGuest(name)) await caches.delete(name);
  await Promise.all([clearPages(), ...PLACES.map(empty)]);
}

// Tells open pages that something changed here.
async function tell(what = { changed: true }) {
  const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  for (const page of pages) page.postMessage(what);
}
