// Passkeys (W3C Web Authentication). A form stays hidden where the browser has none.
//
// <form method="post" data-passkey="get" data-ask="address of what to ask for" hidden>…
//   <input type="hidden" name="credential"> <button>…</button> <p role="status" data-said></p>
// </form>
//
// “get” asks for a passkey, “make” makes one. The answer goes into the form, which is then sent as
// any other. data-by-itself: where the browser can, it offers passkeys in the field of the e-mail.

import { gettext } from "../js/language.js";

const BINARY_ASKED = [["challenge"], ["user", "id"]];
const GIVEN_UP = new Set(["NotAllowedError", "AbortError"]);
let waiting = null; // what the browser offers by itself, until a button is pressed

function bytes(text) {
  const binary = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  return Uint8Array.from(binary, (letter) => letter.charCodeAt(0));
}

function text(buffer) {
  const binary = String.fromCharCode(...new Uint8Array(buffer));
  return btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

// What the server says in JSON, as the browser takes it.
function readable(options) {
  for (const path of BINARY_ASKED) {
    const holder = path.length === 1 ? options : options[path[0]];
    const name = path.at(-1);
    if (holder?.[name]) holder[name] = bytes(holder[name]);
  }
  for (const list of [options.excludeCredentials, options.allowCredentials]) {
    for (const each of list ?? []) each.id = bytes(each.id);
  }
  return options;
}

// What the device answered, as JSON.
function written(credential) {
  const { id, rawId, type, response } = credential;
  const said = { clientDataJSON: text(response.clientDataJSON) };
  for (const name of ["attestationObject", "authenticatorData", "signature", "userHandle"]) {
    if (response[name]) said[name] = text(response[name]);
  }
  if (response.getTransports) said.transports = response.getTransports();
  return JSON.stringify({
    id,
    rawId: text(rawId),
    type,
    response: said,
    clientExtensionResults: credential.getClientExtensionResults(),
  });
}

async function ask(form, signal) {
  const token = form.elements.csrfmiddlewaretoken.value;
  const answer = await fetch(form.dataset.ask, {
    method: "POST",
    signal,
    headers: { "X-CSRFToken": token, Accept: "application/json" },
  });
  const said = await answer.json();
  if (said.go_to) location.assign(said.go_to);
  if (!answer.ok) throw new Error(said.told ?? gettext("The server did not answer. Try again."));
  return readable(said);
}

function send(form, credential) {
  form.elements.credential.value = written(credential);
  form.submit();
}

async function pressed(form) {
  const said = form.querySelector("[data-said]");
  said.textContent = "";
  waiting?.abort();
  try {
    const publicKey = await ask(form);
    const devices = navigator.credentials;
    const make = form.dataset.passkey === "make";
    send(form, await (make ? devices.create({ publicKey }) : devices.get({ publicKey })));
  } catch (error) {
    if (error.name === "InvalidStateError") {
      said.textContent = gettext("This device has a passkey of yours already.");
    } else {
      said.textContent = GIVEN_UP.has(error.name)
        ? gettext("No passkey was given. Try again, or log in with your password.")
        : error.message;
    }
  }
}

async function byItself(form) {
  const can = await PublicKeyCredential.isConditionalMediationAvailable?.();
  if (!can) return;
  waiting = new AbortController();
  const { signal } = waiting;
  try {
    const publicKey = await ask(form, signal);
    send(form, await navigator.credentials.get({ publicKey, mediation: "conditional", signal }));
  } catch (error) {
    // Nobody asked for it: the button and the password are there.
    if (!GIVEN_UP.has(error.name)) console.warn(error);
  }
}

// The question brings a session of its own. Answered late, it would take the place of the one that a
// password has just begun. Where a script takes the form over, as that of the colours, the page stays.
document.addEventListener("submit", (event) => event.defaultPrevented || waiting?.abort());

// Only where a page came by HTTPS, or from this machine.
if (window.PublicKeyCredential) {
  for (const form of document.querySelectorAll("form[data-passkey]")) {
    form.hidden = false;
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (form.reportValidity()) pressed(form);
    });
    if ("byItself" in form.dataset) byItself(form);
  }
  for (const note of document.querySelectorAll("[data-no-passkeys]")) note.hidden = true;
}
