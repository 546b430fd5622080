// Sends a form with a file, shows how far it is, and can be stopped. Without this module the form
// sends itself.
//
// <form data-upload data-most-bytes="524288000" data-most-mb="500">
//   <input type="file"> … <div data-sending hidden><progress max="1"></progress><p data-said></p>
//   <button type="button" data-stop hidden>Stop the upload</button></div>
// </form>
// Each form that was opened is one request, however often it is sent: a line may break after the
// sound has arrived and before the answer has. The answer is {"location": address}, or the page
// again with its errors. A large file goes up in pieces first, and goes on where it stopped.
import { filled, gettext } from "../../core/js/language.js";
import "../../core/worker/pieces.js";

const MB = 1048576;
const STOPPED = gettext(
  "Stopped. Unless all of it had arrived before, nothing is saved. Sent again within a day, it goes on where it stopped.",
);
const UPLOAD_GONE = 410; // something that the form names was dropped: it goes up again
const AGAIN_MS = [1000, 4000, 10000]; // after a broken line, before it is sent once more
const NO_ANSWER = gettext(
  "The network went away before an answer came. What you chose and typed is still here: send it again. If it had arrived, nothing is kept twice.",
);

function say(form, words) {
  form.querySelector("[data-sending]").hidden = false;
  form.querySelector("[data-said]").textContent = words;
}

function busy(form, on) {
  for (const button of form.querySelectorAll("button:not([data-stop])")) button.disabled = on;
  form.querySelector("[data-stop]").hidden = !on;
  form.querySelector("progress").hidden = !on;
}

// The chosen file outlives the errors of other fields: nobody sends 200 MB to hear of a song.
function chosenAgain(files) {
  const field = document.querySelector("[data-upload] input[type=file]");
  if (field && field.getAttribute("aria-invalid") !== "true") field.files = files;
}

function showAgain(text, files) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const [there, here] = [page.querySelector("main"), document.querySelector("main")];
  if (!there) return false;
  here.replaceWith(document.adoptNode(there));
  document.title = page.title;
  chosenAgain(files);
  (document.querySelector("main [role=alert], main h1") ?? document.body).scrollIntoView();
  return true;
}

function ended(form, request, files) {
  if (request.status === 200 && request.getResponseHeader("Content-Type")?.includes("json")) {
    form.reset(); // nothing typed is lost by leaving
    location.assign(JSON.parse(request.responseText).location);
    return;
  }
  if (request.status === 200 && showAgain(request.responseText, files)) return;
  busy(form, false);
  say(form, gettext("It was not taken. Try once more; what you typed is still here."));
}

function progress(form, loaded, total) {
  const bar = form.querySelector("progress");
  bar.value = total ? loaded / total : 0;
  const part = Math.floor(bar.value * 100);
  const words = total < MB ? gettext("{part} % is sent.") : gettext("{part} % of {total} MB is sent.");
  const sent = filled(words, { part, total: Math.round(total / MB) });
  say(form, part < 100 ? sent : gettext("It is sent and being listened to …"));
}

function send(form, button, files) {
  const data = new FormData(form);
  if (button?.name) data.append(button.name, button.value);
  busy(form, true);
  say(form, gettext("Sending …"));
  attempt(form, button, data, files, 0);
}

// The worker takes what it cannot send either into what waits, if it is not too much for that.
function letWait(form, button) {
  if (!navigator.serviceWorker?.controller) return false;
  form.removeAttribute("data-upload");
  form.dataset.once = "";
  busy(form, false);
  form.requestSubmit(button);
  return true;
}

function over(form, words) {
  busy(form, false);
  say(form, words);
}

// Sent, or sent again in a moment. A line on which a piece arrived is tried from the beginning.
async function attempt(form, button, data, files, tries) {
  const stop = new AbortController();
  form.querySelector("[data-stop]").onclick = () => stop.abort();
  const told = (loaded, total) => progress(form, loaded, total);
  const arrived = () => (tries = 0);
  let request;
  try {
    request = await sentOnce(form, data, { signal: stop.signal, told, arrived });
  } catch {
    if (stop.signal.aborted) return over(form, STOPPED);
    return again(form, button, data, files, tries);
  }
  ended(form, request, files);
}

function again(form, button, data, files, tries) {
  if (tries >= AGAIN_MS.length) return letWait(form, button) || over(form, NO_ANSWER);
  say(form, gettext("The network went away. It is sent again in a moment …"));
  const timer = setTimeout(() => attempt(form, button, data, files, tries + 1), AGAIN_MS[tries]);
  form.querySelector("[data-stop]").onclick = () => {
    clearTimeout(timer);
    over(form, STOPPED);
  };
}

// The request that has ended. Rejects where there is no answer.
async function sentOnce(form, data, how) {
  const fields = [...data];
  const left = await self.inPieces(fields, form.action, {
    token: data.get("csrfmiddlewaretoken"), who: data.get("later_who"), ...how,
  });
  if (left === fields) return posted(form.action, data, how);
  const body = new FormData();
  for (const [name, value] of left) body.append(name, value);
  return posted(form.action, body, { signal: how.signal });
}

function posted(url, body, { signal, told }) {
  return new Promise((resolve, reject) => {
    if (signal.aborted) return reject();
    const request = new XMLHttpRequest();
    request.open("POST", url);
    request.setRequestHeader("Accept", "application/json");
    request.setRequestHeader("Prefer", "return=minimal"); // what is told is read on the next page
    request.upload.addEventListener("progress", ({ loaded, total }) => told?.(loaded, total));
    request.addEventListener("load", () => (request.status === UPLOAD_GONE ? reject() : resolve(request)));
    for (const name of ["error", "abort"]) request.addEventListener(name, reject);
    signal.addEventListener("abort", () => request.abort());
    request.send(body);
  });
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-upload]")) return;
  const { files } = form.querySelector("input[type=file]");
  if (!files.length) return; // the page says what is missing
  event.preventDefault();
  const { size } = files[0];
  if (size > Number(form.dataset.mostBytes)) {
    busy(form, false);
    const sizes = { size: Math.round(size / MB), most: form.dataset.mostMb };
    say(form, filled(gettext("The file has {size} MB; {most} MB is the most."), sizes));
    return;
  }
  // What is missing is said before anything is sent, in the browser's own words.
  if (form.reportValidity()) send(form, event.submitter, files);
});
