// Speaks with the worker (core/static/core/worker/). Rejects where there is none.
//
// const items = await ask("waiting");

const PATH = "/sw.js";
const PATIENCE_MS = 10000;
const PROMISE_MS = 1500;

async function register() {
  if (!("serviceWorker" in navigator)) throw new Error("no worker");
  await navigator.serviceWorker.register(PATH, { scope: "/", updateViaCache: "none" });
  return navigator.serviceWorker.ready;
}

let registered;

export async function isReady() {
  registered ??= register();
  await registered;
}

export async function ask(what, more = {}) {
  registered ??= register();
  const { active } = await registered;
  return new Promise((resolve, reject) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => {
      port1.close();
      if (data.error) reject(new Error(data.error));
      else resolve(data.found);
    };
    active.postMessage({ ask: what, ...more }, [port2]);
  });
}

// Asks the browser to hold on to what is stored here, since what is promised may be larger. One that
// asks its user (Firefox does) answers when they have, and they may never.
export function askToHold() {
  const late = new Promise((resolve) => setTimeout(resolve, PROMISE_MS));
  return Promise.race([navigator.storage?.persist?.().catch(() => {}), late]);
}

// Calls back whenever the worker says that something changed.
export function onChange(act) {
  navigator.serviceWorker?.addEventListener("message", ({ data }) => data?.changed && act());
}

// Calls back with { id, bytes, total } whenever more of the files of what waits has arrived.
export function onWent(act) {
  navigator.serviceWorker?.addEventListener("message", ({ data }) => data?.went && act(data.went));
}

// The first answer of the worker to a page that shows nothing without it. Where none comes, the page
// says so: see core/offline/_no_worker.html.
export async function answered(first) {
  const place = document.querySelector("[data-no-worker]");
  const say = () => {
    place.hidden = false;
    place.querySelector(window.isSecureContext ? "[data-insecure]" : "[data-lacking]").remove();
  };
  const timer = setTimeout(say, PATIENCE_MS);
  try {
    await first();
    place.hidden = true;
    return true;
  } catch {
    if (place.hidden) say();
    return false;
  } finally {
    clearTimeout(timer);
  }
}
