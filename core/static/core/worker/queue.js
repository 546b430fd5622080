// What was written while the server was gone, and how it gets there: one by one, in order, each
// under a key of its own, so that the server carries it out once however often it is sent.
//
// An item is waiting, sending, sent, or needs (its author has to look at it).
const SEND_PATIENCE_MS = 15000;
const SLOWEST = 10; // bytes a millisecond: how slowly files may go up before it is broken off
const FILES_WAIT_BYTES = 60_000_000; // of all photos and sounds that wait, as /waiting/ says
const UPLOAD_GONE = 410; // something that the form names was dropped: it goes up again
const SENT_SHOWN_MS = 24 * 60 * 60 * 1000;
const FORM = "application/x-www-form-urlencoded";
const TOKEN = "csrfmiddlewaretoken";
const OURS = /^(later_|request_key$)/;
const NOT_WORDS = /^(|on|\d+|[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12})$/i; // choices and ids
const SECRET = /passw|token/i;
const WHY = {
  403: gettext("The server refused it. Your role may have changed."),
  404: gettext("What it belongs to is not there any more, or you are not in that production any more."),
  409: gettext("Somebody else changed the same thing meanwhile. Open it to see both."),
  422: gettext("It was sent before with other words. Open it to send these, too."),
};
const FORM_CAME_BACK = gettext("The form came back with something to put right.");

// A form on its way: sent now if that is possible, or put in the queue.
async function posted(event, url) {
  const { request } = event;
  const fields = await request.clone().formData();
  // Who wrote it is who the page was made for, even if their session has ended meanwhile.
  const [key, who] = [fields.get("later_key"), fields.get("later_who")];
  if (!key || !who) return sentOrShown(event, url, fields);
  const item = itemOf(key, who, url, fields);
  await takeOver(item, [key, fields.get("later_replaces")]);
  underWay.add(item.id);
  const isAside = await putAside(item).catch(() => false);
  try {
    const answer = await sendNow(item, fields.get(TOKEN));
    if (isAside && answer.status !== 401) await drop("queue", item.id).catch(() => {});
    if (answer.status === 401) return await enqueue(item, "/login/?next=/waiting/");
    if (answer.type === "opaqueredirect") {
      await sentInstead(fields.get("later_replaces"), key);
    }
    return fields.has("later_reopened") ? await reopened(answer, key) : answer;
  } catch (error) {
    if (fields.has("later_instead")) await dropWaiting(item);
    // Where nothing was typed one goes on at once: an input after the other, in the dark.
    return await enqueue(item, item.words ? "/waiting/" : item.from);
  } finally {
    underWay.delete(item.id);
    went.delete(item.id);
  }
}

// What `posted` is sending. It is not sent a second time meanwhile.
const underWay = new Set();

// A browser ends a worker that takes minutes over one request. What is large outlives it in the
// queue, and goes on from there.
async function putAside(item) {
  if (!isLarge(item.fields) || (await isTooMuch(item)) || (await one("queue", item.id))) return false;
  await put("queue", { ...item, state: "sending" });
  return true;
}

// A form that cannot wait, and the server is gone: what was typed is shown, to be copied.
async function sentOrShown(event, url, fields) {
  const answer = await fetch(event.request).catch(() => null);
  if (answer && !GONE.has(answer.status)) return answer;
  const words = [...fields].filter(
    ([name, value]) =>
      typeof value === "string" && !OURS.test(name) && !SECRET.test(name) && !NOT_WORDS.test(value.trim()),
  );
  const typed = words.map(([, value]) => value).join("\n");
  const item = { who: await me(), what: gettext("What you typed"), words: typed };
  return shownInstead(item, NOT_SENT, 503);
}

// The form that comes back stands for what was waiting: once it is sent, that is done with. Where
// several forms come back, the one marked data-again; else its author removes it by hand.
async function reopened(answer, key) {
  if (!answer.headers.get("Content-Type")?.includes("html")) return answer;
  const html = await answer.text();
  const again = html.match(/<form\b[^>]*\bdata-again\b[^>]*\bdata-later=/g);
  const forms = again ?? html.match(/<form\b[^>]*\bdata-later=/g) ?? [];
  const body = forms.length === 1 ? html.replace(forms[0], `${forms[0].slice(0, -11)}data-replaces="${key}" data-later=`) : html;
  const { status, headers } = answer;
  return new Response(withLetGo(body, key), { status, headers });
}

// What came back may also be let go, by a link that says which item. The page's own scripts have no
// part in it: what a page asks for while it is being left need not reach the worker.
const LET_GO = "let_go";

const withLetGo = (html, key) =>
  html.replace(/(<a\b[^>]*\bdata-let-go\b[^>]*\bhref=")([^"?#]*)/g, `$1$2?${LET_GO}=${key}`);

async function letGo(url) {
  await dropItem(await me(), url.searchParams.get(LET_GO));
  url.searchParams.delete(LET_GO);
  return Response.redirect(url.href, 303);
}

// Sent anew, it is still of when it was first written, and of the page it was written on.
async function takeOver(item, ids) {
  for (const id of ids) {
    const before = id && (await one("queue", id).catch(() => null));
    if (before) return Object.assign(item, { made_at: before.made_at, page: before.page });
  }
}

function itemOf(id, who, url, fields) {
  const own = [...fields].filter(([name]) => name !== TOKEN && !OURS.test(name));
  return {
    id, who, fields: own, url: url.pathname + url.search, made_at: Date.now(), state: "waiting",
    what: fields.get("later_what") || gettext("Something written"), words: fields.get("later_words") || "",
    from: fields.get("later_from") || "/", page: fields.get("later_page") || "", tries: 0, why: "",
    kind: own.some(([, value]) => value instanceof Blob) ? "files" : "form",
  };
}

async function sendNow(item, token) {
  let answer = await send(item, token, {});
  if (answer.status === 403) {
    // The form may be older than the session. Nothing was done, so it may go again.
    const found = await settle();
    if (found?.user !== item.who) throw new Error("somebody else is signed in");
    answer = await send(item, found.token, {});
  }
  if (isNotYet(answer)) throw new Error("not yet");
  return answer;
}

const isNotYet = (answer) =>
  GONE.has(answer.status) ||
  answer.status === 429 ||
  answer.status === UPLOAD_GONE ||
  (answer.status === 409 && answer.headers.has("Retry-After"));

// What of an item goes up, by its kind. A kind may be added; one that is not named is a form.
const BODIES = {
  form: (item) => ({ body: new URLSearchParams(item.fields), type: { "Content-Type": FORM } }),
  files: (item) => {
    const body = new FormData();
    for (const [name, value] of item.fields) body.append(name, value);
    return { body, type: {} }; // the browser names the type, with what parts it
  },
};

// Of its photos and sounds.
const bytesOf = (item) => item.fields.reduce((sum, [, value]) => sum + (value.size ?? 0), 0);

// When it was written and on which page: see core/moments.py.
function timesOf(item) {
  return {
    "Written-At": new Date(item.made_at).toISOString(),
    "Sent-At": new Date().toISOString(),
    ...(item.page ? { "Page-Made": item.page } : {}),
  };
}

// How far the files of each item are that goes up in pieces: [bytes that arrived, of how many].
const went = new Map();

// Kept with the item, too, for as long as it waits to go on.
function wentOn(item, bytes, total) {
  item.went = [bytes, total];
  went.set(item.id, item.went);
  tell({ went: { id: item.id, bytes, total } }).catch(() => {});
}

async function send(item, token, more) {
  const told = (bytes, total) => wentOn(item, bytes, total);
  const fields = await inPieces(item.fields, item.url, { token, who: item.who, told });
  const limit = new AbortController();
  const timer = setTimeout(() => limit.abort(), SEND_PATIENCE_MS + bytesOf(item) / SLOWEST);
  const { body, type } = (BODIES[item.kind] ?? BODIES.form)({ ...item, fields });
  try {
    return await fetch(item.url, {
      method: "POST", body, redirect: "manual", credentials: "same-origin", signal: limit.signal,
      headers: {
        ...type, ...timesOf(item), "Idempotency-Key": `"${item.id}"`, "X-CSRFToken": token, ...more,
      },
    });
  } finally {
    clearTimeout(timer);
  }
}

async function isTooMuch(item) {
  const others = (await all("queue").catch(() => [])).filter(({ id }) => id !== item.id);
  const bytes = bytesOf(item);
  return bytes > 0 && others.reduce((sum, each) => sum + bytesOf(each), bytes) > FILES_WAIT_BYTES;
}

async function enqueue(item, next) {
  if (await isTooMuch(item)) return shownInstead(item, TOO_MUCH, 507);
  const isAside = await withRoom(() => put("queue", item)).then(() => true, () => false);
  if (!isAside) return shownInstead(item, NO_ROOM, 507);
  const tokens = item.fields.filter(([name]) => name === "draft_id").map(([, token]) => token);
  await dropDrafts({ tokens }).catch(() => {});
  await tell();
  await self.registration.sync?.register("waiting").catch(() => {});
  return Response.redirect(next, 303);
}

const NO_ROOM = gettext(
  "<strong>This device has no room left.</strong> What you wrote could not be put aside, and the server cannot be reached. Copy the words, or go back to the form and keep it open until there is a network or room.",
);
const TOO_MUCH = filled(
  gettext("<strong>The server cannot be reached, and these files are too much to wait here.</strong> Photos and sounds of {most} MB in all may wait on this device. Go back to the form, and send it once there is a network or something else has gone up."),
  { most: FILES_WAIT_BYTES / 1e6 },
);
const NOT_SENT = gettext(
  "<strong>The server cannot be reached, and this form cannot wait.</strong> Go back: what you typed is still in the form, to be sent again. To be sure, copy it from here.",
);

const escaped = (text) =>
  text.replace(/[&<>"]/g, (sign) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[sign]);

// Told at once, with what was typed, before it is lost.
async function shownInstead(item, why, status) {
  const page = await find(item.who, "/waiting/").catch(() => null);
  const html = (await page?.response.text()) ?? `<!doctype html><html lang="${self.LANGUAGE}"><title>${gettext("Not sent")}</title><main></main></html>`;
  const told =
    `<div class="messages" role="alert"><div class="message message-error" data-no-room><p>${why}</p></div></div>` +
    `<p><strong>${escaped(item.what)}</strong></p><p class="waiting-words">${escaped(item.words)}</p>`;
  const headers = page?.response.headers ?? { "Content-Type": "text/html; charset=utf-8" };
  return new Response(html.replace(/(<main\b[^>]*>)/, (main) => main + told), { status, headers });
}

async function dropWaiting({ url, who, id }) {
  for (const item of await waiting(who)) {
    const isSame = item.url === url && item.id !== id && item.state === "waiting";
    if (isSame) await drop("queue", item.id);
  }
}

// Reopened and sent as another request: what was waiting has arrived.
async function sentInstead(replaced, key) {
  for (const id of [replaced, key]) {
    const item = id && (await one("queue", id));
    if (item) await mark(item, "sent");
  }
}

async function mark(item, state, more = {}) {
  if (state === "sent") Object.assign(item, { sent_at: Date.now(), fields: [], why: "", went: null });
  if (state !== "sending") went.delete(item.id);
  await put("queue", Object.assign(item, { state }, more));
  await tell();
}

// Those of one person, oldest first. What was sent is shown for a day.
async function waiting(user) {
  const items = [];
  for (const item of await all("queue")) {
    if (item.state === "sent" && Date.now() - item.sent_at > SENT_SHOWN_MS) {
      await drop("queue", item.id);
    } else if (item.who === user) {
      items.push(item);
    }
  }
  return items.sort((a, b) => a.made_at - b.made_at);
}

const isToBeSent = (item) => item.state === "waiting" || item.state === "sending";

let flushing = null;

// Send all that can be sent. Whoever asks meanwhile waits for the one that is under way.
function flush() {
  flushing ??= flushNow().finally(() => (flushing = null));
  return flushing;
}

async function flushNow() {
  if (!(await all("queue")).some(isToBeSent)) return "nothing";
  const found = await settle();
  if (!found) return "gone";
  if (!found.user) return "signed out";
  for (const item of (await waiting(found.user)).filter(isToBeSent)) {
    if (underWay.has(item.id)) continue;
    await mark(item, "sending", { tries: item.tries + 1 });
    const answer = await send(item, found.token, { Accept: "application/json" }).catch(() => null);
    if (!answer || isNotYet(answer)) {
      await mark(item, "waiting");
      return "gone";
    }
    if (answer.status === 401) {
      await mark(item, "waiting");
      return "signed out";
    }
    await heard(item, answer);
  }
  return "done";
}

async function heard(item, answer) {
  const isJson = answer.headers.get("Content-Type")?.includes("json");
  const said = isJson ? await answer.json().catch(() => ({})) : {};
  if (said.done) return mark(item, "sent", { location: said.location });
  const why = said.told?.join(" ") || WHY[answer.status] || FORM_CAME_BACK;
  return mark(item, "needs", { why });
}

async function dropItem(user, id) {
  const item = await one("queue", id);
  if (item?.who === user) await drop("queue", id);
  await tell();
}
