// What a telephone shared into the installed app, until its person puts it into a form: see
// core/js/incoming.js. Each thing is a row in `incoming`, of one person, for as long as a draft:
//
// { id, user, at, turn, kind: picture | sound | words, name, bytes, file, words }
// { id, user, at, turn, name, bytes, why: kind | large | empty | many | room, most, count }  not taken
//
// The browser posts it here with nothing to tell it from a form that another site sends without
// naming itself. So none of it is sent anywhere, its size has a limit, and nothing that is stored
// makes way for it.
const INCOMING = "/incoming/";
const SHARED = "/incoming/shared/"; // as the manifest says (core/telephone/manifest.py)
const INCOMING_BYTES = 200_000_000; // of all that waits for its place
const INCOMING_COUNT = 40;
const UNCLAIMED_MS = 60 * 60 * 1000; // shared while nobody is signed in: whoever logs in until then
// The fields that the manifest names.
const SHARED_FILES = "files";
const SHARED_WORDS = ["title", "text", "url"];

// Another site that names itself; the browser names none where its own telephone shares.
function isForeign({ headers }) {
  const origin = headers.get("Origin");
  return origin !== null && origin !== "null" && origin !== location.origin;
}

async function takeIncoming({ request }) {
  try {
    const fields = await request.formData();
    const user = (await me()) ?? "";
    await takeAll(user, fields);
    await tell();
    return Response.redirect(INCOMING, 303);
  } catch {
    return Response.redirect(`${INCOMING}?not_taken`, 303);
  }
}

async function takeAll(user, fields) {
  const at = Date.now();
  const row = (turn, more) => ({ id: crypto.randomUUID(), user, at, turn, ...more });
  const words = wordsOf(fields);
  // Words first: they are small.
  if (words) await put("incoming", row(0, { kind: "words", name: "", bytes: 0, words }));
  const files = fields.getAll(SHARED_FILES).filter((file) => file instanceof File && (file.name || file.size));
  for (const [turn, file] of files.entries()) await takeFile(file, (more) => row(turn + 1, more));
}

// Each said once: many share an address as text, too.
function wordsOf(fields) {
  const said = SHARED_WORDS.map((name) => String(fields.get(name) ?? "").trim()).filter(Boolean);
  return said.filter((each, at) => !said.some((other, there) => there !== at && other.includes(each) && (other !== each || there < at))).join("\n");
}

function kindOf({ name, type }) {
  const ends = (kind) => self.ENDINGS[kind].some((ending) => name.toLowerCase().endsWith(ending));
  if ((type.startsWith("image/") && !type.includes("svg")) || ends("picture")) return "picture";
  return type.startsWith("audio/") || ends("sound") ? "sound" : "";
}

async function takeFile(file, row) {
  const { name, size: bytes } = file;
  const kind = kindOf(file);
  const not = (why, more) => put("incoming", row({ name, bytes, why, ...more }));
  if (!kind) return not("kind");
  if (!bytes) return not("empty");
  if (bytes > self.MOST_BYTES[kind]) return not("large", { most: self.MOST_BYTES[kind] });
  const there = (await all("incoming")).filter((each) => each.file);
  const sum = there.reduce((total, each) => total + each.bytes, bytes);
  if (sum > INCOMING_BYTES || there.length >= INCOMING_COUNT) {
    return not("many", { most: INCOMING_BYTES, count: INCOMING_COUNT });
  }
  return put("incoming", row({ kind, name, bytes, file })).catch(() => not("room"));
}

// Everybody's but `user`'s, and what is too old, goes; what was nobody's yet is theirs.
async function clearIncoming(user) {
  for (const row of await all("incoming")) {
    const lasts = row.user ? DRAFT_LASTS_MS : UNCLAIMED_MS;
    if ((row.user && row.user !== user) || Date.now() - row.at > lasts) await drop("incoming", row.id);
    else if (!row.user && user) await put("incoming", { ...row, user });
  }
}

async function incomingOf(user) {
  await clearIncoming(user);
  return (await all("incoming")).filter((row) => row.user === user);
}

async function dropIncoming(user, ids) {
  for (const row of await incomingOf(user)) if (ids.includes(row.id)) await drop("incoming", row.id);
  await tell();
}

// Into the draft of the form at `place`, beside what it holds. `into` names the form's field for
// each kind. "put", "taken" where the field for one file has one, or "gone".
async function putIncoming({ user, ids, place, into }) {
  const rows = (await incomingOf(user)).filter((row) => ids.includes(row.id) && into[row.kind]);
  if (!rows.length) return "gone";
  const id = `${user} ${place}`;
  const before = await one("drafts", id);
  const draft = before ?? {
    id, user, place, path: place, token: crypto.randomUUID(), fields: [], names: [], texts: [], base: {}, sent: false,
  };
  const fields = [...draft.fields];
  for (const row of rows) {
    const name = into[row.kind];
    const at = fields.findIndex(([each]) => each === name);
    if (row.kind === "sound" && at >= 0) return "taken";
    if (row.kind === "words" && at >= 0) fields[at] = [name, [fields[at][1], row.words].filter(Boolean).join("\n")];
    else fields.push([name, row.file ?? row.words]);
  }
  const names = [...new Set([...draft.names, ...rows.map((row) => into[row.kind])])];
  const texts = [...new Set([...draft.texts, ...(rows.some(({ kind }) => kind === "words") ? [into.words] : [])])];
  const shared = [...new Set([...(draft.shared ?? []), ...rows.filter(({ file }) => file).map((row) => into[row.kind])])];
  // A page that is open with this form has not seen it until it names this turn (worker/drafts.js).
  const more = { shared, turn: crypto.randomUUID(), unseen: true, at: Date.now(), brought: before ? "more" : "only" };
  await put("drafts", { ...draft, fields, names, texts, ...more });
  for (const row of rows) await drop("incoming", row.id);
  await tell();
  return "put";
}
