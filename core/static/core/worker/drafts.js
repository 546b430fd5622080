// What is being typed in a form and not sent yet, so that it outlives a flat battery. A draft is of
// one person and of one form; it is dropped once the server has carried the form out or it waits, at
// logout, and after a week. core/static/core/js/draft-store.js says what it holds.
const DRAFT_LASTS_MS = 7 * 24 * 60 * 60 * 1000;

async function putDraft(draft) {
  if (draft.user) await put("drafts", draft);
}

async function dropDrafts({ tokens = [], ids = [] }) {
  for (const { id, token } of await all("drafts")) {
    if (tokens.includes(token) || ids.includes(id)) await drop("drafts", id);
  }
}

// Everybody's but `user`'s, and what is too old.
async function clearDrafts(user) {
  for (const { id, user: whose, at } of await all("drafts")) {
    if (whose !== user || Date.now() - at > DRAFT_LASTS_MS) await drop("drafts", id);
  }
}
