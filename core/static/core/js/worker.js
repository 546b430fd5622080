// Speaks with the worker (core/static/core/worker/). Rejects where there is none.
//
// const items = await ask("waiting");

const PATH = "/sw.js";

async function register() {
  if (!("serviceWorker" in navigator)) throw new Error("This browser keeps nothing.");
  await navigator.serviceWorker.register(PATH, { scope: "/", updateViaCache: "none" });
  return navigator.serviceWorker.ready;
}

let registered;

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

// Calls back whenever the worker says that something changed.
export function onChange(act) {
  navigator.serviceWorker?.addEventListener("message", ({ data }) => data?.changed && act());
}
