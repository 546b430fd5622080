// Where drafts lie on the device: with the worker where there is one (core/static/core/worker/drafts.js),
// else in the browser's storage for this site, without files. A draft is of one person and one form.
//
// { id, user, place, token, fields: [[name, value]…], names, texts, base, sent, at, brought, held }
//   brought: "only" where a telephone shared all of it, "more" where it did with what was typed
//   held: names of files that are there already
//   turn, shared: which sharing the page has shown last, and the fields of files that were shared; `unseen`
//     where a page wrote over it that had not shown the last one

import { ask } from "./worker.js";

const LASTS_MS = 7 * 24 * 60 * 60 * 1000;
const MARK = "draft ";

const own = {
  rows() {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith(MARK));
    return keys.map((key) => JSON.parse(localStorage.getItem(key)));
  },
  async put({ draft }) {
    const fields = draft.fields.filter(([, value]) => typeof value === "string");
    localStorage.setItem(MARK + draft.id, JSON.stringify({ ...draft, fields }));
  },
  async drop({ tokens = [], ids = [] }) {
    for (const { id, token } of this.rows()) {
      if (tokens.includes(token) || ids.includes(id)) localStorage.removeItem(MARK + id);
    }
  },
  // Others' drafts, and those that are too old.
  async tidy({ user }) {
    for (const row of this.rows()) {
      if (row.user !== user || Date.now() - row.at > LASTS_MS) localStorage.removeItem(MARK + row.id);
    }
  },
  leave() {
    for (const { id } of this.rows()) localStorage.removeItem(MARK + id);
  },
};

const PATIENCE_MS = 3000; // a worker that never gets ready counts as none
let isLate = false;

// What the worker answers; undefined where there is none.
async function worker(what, more) {
  if (isLate) return undefined;
  const late = new Promise((_, reject) => setTimeout(() => reject(new Error("no worker")), PATIENCE_MS));
  try {
    return (await Promise.race([ask(what, more), late])) ?? null;
  } catch {
    isLate = true;
    return undefined;
  }
}

// All drafts of that person by their ids, asked for once for all forms of a page. On the way, others'
// drafts and those that are too old are cleared.
export async function draftsOf(user) {
  const rows = (await worker("drafts", { user })) ?? [];
  await own.tidy({ user });
  return new Map([...own.rows(), ...rows].map((row) => [row.id, row]));
}

// "anew" where files that were not brought again (`draft.held`) are not there.
export async function putDraft(draft) {
  const answer = await worker("putDraft", { draft });
  if (answer === undefined) await own.put({ draft });
  return answer;
}

// Of both places: which of them it lay in may have changed since.
export async function dropDrafts(which) {
  await worker("dropDrafts", which);
  await own.drop(which);
}

export const leave = () => own.leave(); // the worker clears what it holds by itself
