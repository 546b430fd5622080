// Sends the files of a form in pieces, so that what is cut off goes on where it stopped: see
// core/uploads/. Part of the worker; pages import it for what it puts into `self`.
//
// const left = await inPieces(fields, url, { token, who, signal, told, arrived });
//
// fields: [[name, text or File], …]. Comes back with uploads named instead of files, or as it is
// where the files are small or the server takes them whole only. Rejects where the network or the
// server is gone; asked again later, with the same files, it goes on.
{
  const WHOLE_MOST = 512 * 1024; // of all files of a form; so much goes up within the form
  const [PIECE_FIRST, PIECE_MOST] = [256 * 1024, 1024 * 1024];
  const QUICK_MS = 2000; // a piece that took less may be followed by a larger one
  const PATIENCE_MS = 15000;
  const SLOWEST = 10; // bytes a millisecond
  const EDGE = 64 * 1024; // of each end of a file, to tell it by
  const IN_VAIN = 5; // answers in a row by which nothing has arrived
  const LATER = new Set([408, 429, 500, 502, 503, 504]);
  const STANDS_ELSEWHERE = new Set([400, 409, 410]); // ask how far it is
  const PLACE = /^\/p\/[0-9a-f-]{36}\//;
  const NAMED = "uploaded_file";
  const randomKeys = new WeakMap();

  const isFile = (value) => value instanceof File && Boolean(value.name || value.size);
  const sizeOf = (fields) => fields.reduce((sum, [, value]) => sum + (isFile(value) ? value.size : 0), 0);
  const isLarge = (fields) => sizeOf(fields) > WHOLE_MOST;
  const hex = (digest) => [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const base64 = (digest) => btoa(String.fromCharCode(...new Uint8Array(digest)));
  // As a form would name it (HTML, multipart/form-data encoding).
  const written = (name) => name.replace(/\r\n?|\n/g, "%0D%0A").replaceAll('"', "%22");
  const sha256 = async (blob) => crypto.subtle.digest("SHA-256", await blob.arrayBuffer());

  // The server takes this form whole or not at all.
  class Whole extends Error {}

  // Of the file itself, so that it is found again after a page or the worker has died. Where a
  // browser has no digests (addresses without HTTPS), as long as the page lives.
  async function keyOf(file, turn) {
    if (!crypto.subtle) {
      if (!randomKeys.has(file)) randomKeys.set(file, hex(crypto.getRandomValues(new Uint8Array(16))));
      return randomKeys.get(file);
    }
    const ends = [file.slice(0, EDGE), file.slice(-EDGE)];
    return hex(await sha256(new Blob([`${turn} ${file.size} ${file.name}\n`, ...ends])));
  }

  async function asked(address, method, { token, signal }, { body, headers = {}, bytes = 0 }) {
    const limit = new AbortController();
    const stop = () => limit.abort(signal.reason);
    if (signal?.aborted) stop();
    signal?.addEventListener("abort", stop);
    const timer = setTimeout(() => limit.abort(), PATIENCE_MS + bytes / SLOWEST);
    try {
      return await fetch(address, {
        method, body, redirect: "manual", credentials: "same-origin", signal: limit.signal,
        headers: { "X-CSRFToken": token, Accept: "application/json", ...headers },
      });
    } finally {
      clearTimeout(timer);
      signal?.removeEventListener("abort", stop);
    }
  }

  // The page may be older than the session.
  async function renewed(how) {
    const found = await fetch("/offline/who/", { cache: "no-store" }).then((answer) => answer.json());
    if (!found.user || (how.who && how.who !== found.user)) throw new Whole("somebody else is here");
    how.token = found.token;
  }

  async function ask(address, method, how, what) {
    let answer = await asked(address, method, how, what);
    if (answer.status === 403) {
      await renewed(how);
      answer = await asked(address, method, how, what);
    }
    if (LATER.has(answer.status)) throw new Error("not yet");
    if (answer.ok || (method === "PATCH" && STANDS_ELSEWHERE.has(answer.status))) return answer;
    throw new Whole(String(answer.status));
  }

  // What the server has of it. `checked` pieces are known to be of this very file.
  async function standing(upload, how) {
    const { file, address } = upload;
    const body = new URLSearchParams({ name: written(file.name), type: file.type, size: file.size });
    const { id, offset, pieces } = await (await ask(address, "POST", how, { body })).json();
    if (id !== upload.id) Object.assign(upload, { id, checked: 0, checkedTo: 0 });
    upload.offset = offset;
    if (!crypto.subtle) return true; // the key is of this file and no other
    for (const [size, digest] of pieces.slice(upload.checked)) {
      const mine = file.slice(upload.checkedTo, upload.checkedTo + size);
      if (hex(await sha256(mine)) !== digest) return false;
      upload.checked += 1;
      upload.checkedTo += size;
    }
    return true;
  }

  // The next piece. Whether it has arrived.
  async function brought(upload, how) {
    const { file, address, id, offset } = upload;
    const piece = file.slice(offset, offset + upload.most);
    const headers = { "Content-Type": "application/partial-upload", "Upload-Offset": String(offset), "If-Match": `"${id}"` };
    if (crypto.subtle) headers["Content-Digest"] = `sha-256=:${base64(await sha256(piece))}:`;
    const begun = Date.now();
    const answer = await ask(address, "PATCH", how, { body: piece, headers, bytes: piece.size });
    if (!answer.ok) return false;
    upload.offset += piece.size;
    upload.checked += 1;
    upload.checkedTo = upload.offset;
    how.arrived?.();
    upload.most = Date.now() - begun < QUICK_MS ? Math.min(upload.most * 2, PIECE_MOST) : PIECE_FIRST;
    return true;
  }

  async function send(file, place, how) {
    for (let turn = 0; turn < IN_VAIN; turn += 1) {
      const address = `${place}uploads/${await keyOf(file, turn)}/`;
      const upload = { file, address, id: null, offset: 0, checked: 0, checkedTo: 0, most: PIECE_FIRST };
      if (await sentAs(upload, how)) return upload.id;
      // Under that key another file is there that begins and ends like this one.
    }
    throw new Whole("no key is free");
  }

  async function sentAs(upload, how) {
    let inVain = 0;
    if (!(await standing(upload, how))) return false;
    while (upload.offset < upload.file.size) {
      how.told?.(how.sent + upload.offset, how.total);
      const before = upload.offset;
      if (!(await brought(upload, how)) && !(await standing(upload, how))) return false;
      inVain = upload.offset > before ? 0 : inVain + 1;
      if (inVain > IN_VAIN) throw new Whole("nothing arrives");
    }
    how.sent += upload.file.size;
    how.told?.(how.sent, how.total);
    return true;
  }

  async function inPieces(fields, url, options) {
    const [place] = PLACE.exec(new URL(url, location).pathname) ?? [];
    if (!place || !isLarge(fields)) return fields;
    const how = { ...options, sent: 0, total: sizeOf(fields) };
    const left = [];
    try {
      for (const [name, value] of fields) {
        if (!(value instanceof Blob)) left.push([name, value]);
        else if (isFile(value)) left.push([NAMED, `${name} ${await send(value, place, how)}`]);
      }
    } catch (error) {
      if (error instanceof Whole) return fields;
      throw error;
    }
    return left;
  }

  Object.assign(self, { inPieces, isLarge });
}
