// What is being typed in a form and not sent yet, so that it outlives a flat battery. A draft is of
// one person and of one form; it is dropped once the server has carried the form out or it waits, at
// logout, and after a week. core/static/core/js/draft-store.js says what it holds.
const DRAFT_LASTS_MS = 7 * 24 * 60 * 60 * 1000;

// Files that were not chosen anew (`held`) are those that are here: to bring them again at each pause
// in typing would copy them each time. "anew" where they are not here any more. What is larger than
// what may wait is not kept, so that the words are.
async function putDraft({ held = [], ...draft }) {
  if (!draft.user) return;
  const before = await one("drafts", draft.id);
  if (held.length && !before) return "anew";
  const there = before?.fields.filter(([name]) => held.includes(name)) ?? [];
  const brought = bytesOf(draft) > FILES_WAIT_BYTES ? draft.fields.filter(([, value]) => !(value instanceof Blob)) : draft.fields;
  const fields = [...brought, ...there];
  await withRoom(() => put("drafts", knows(draft, before) ? { ...draft, fields } : beside({ ...draft, fields }, before)));
}

// Whether the page that tells of a draft has shown what was shared into it last (worker/incoming.js):
// another window of the same form may have been open all the while.
const knows = ({ turn }, row) => !row?.turn || row.turn === turn;
const sharedOf = ({ fields, shared = [] }) => fields.filter(([name, value]) => shared.includes(name) && value instanceof Blob);

// What a window wrote, with the files that it knows nothing of. Its own go first where there is room
// for one.
function beside(draft, { turn, shared, ...row }) {
  const own = draft.fields.filter(([, value]) => value instanceof Blob);
  const more = sharedOf({ ...row, shared }).filter(([name, value]) => {
    const same = own.filter(([each]) => each === name);
    return value.type.startsWith("image/") ? !same.some(([, each]) => each.name === value.name && each.size === value.size) : !same.length;
  });
  const names = [...new Set([...draft.names, ...more.map(([name]) => name)])];
  return { ...draft, turn, shared, names, fields: [...draft.fields, ...more], brought: "more", unseen: true };
}

// `turn` is that of the page that throws drafts of these ids away. Files that no page has sent yet
// stay, as a draft of their own.
async function dropDrafts({ tokens = [], ids = [], turn }) {
  for (const row of await all("drafts")) {
    if (!tokens.includes(row.token) && !ids.includes(row.id)) continue;
    const isSeen = ids.includes(row.id) ? knows({ turn }, row) : !row.unseen;
    const fields = isSeen ? [] : sharedOf(row);
    if (!fields.length) await drop("drafts", row.id);
    else await put("drafts", { ...row, token: crypto.randomUUID(), fields, names: [...new Set(fields.map(([name]) => name))], texts: [], base: {}, sent: false, brought: "only" });
  }
}

// Everybody's but `user`'s, and what is too old.
async function clearDrafts(user) {
  for (const { id, user: whose, at } of await all("drafts")) {
    if (whose !== user || Date.now() - at > DRAFT_LASTS_MS) await drop("drafts", id);
  }
}
