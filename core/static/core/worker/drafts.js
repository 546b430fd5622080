// What is being typed in a form and not sent yet, so that it outlives a flat battery. A draft is of
// one person and of the address of its form; it is dropped once the form is sent or waits, at
// logout, and after a week.
const DRAFT_LASTS_MS = 7 * 24 * 60 * 60 * 1000;

const draftId = (user, path) => `${user} ${path}`;

async function putDraft(user, path, fields) {
  if (!user) return;
  await put("drafts", { id: draftId(user, path), user, path, fields, at: Date.now() });
}

async function draftOf(user, path) {
  const draft = user && (await one("drafts", draftId(user, path)));
  if (!draft || Date.now() - draft.at < DRAFT_LASTS_MS) return draft;
  await drop("drafts", draft.id);
}

async function dropDraft(user, path) {
  if (user) await drop("drafts", draftId(user, path));
}

// Everybody's but `user`'s.
async function clearDrafts(user) {
  for (const draft of await all("drafts")) if (draft.user !== user) await drop("drafts", draft.id);
}
