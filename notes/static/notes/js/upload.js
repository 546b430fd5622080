// Sends a form with a file and shows how far it is. Without this module the form sends itself.
//
// <form data-upload data-most-bytes="524288000" data-most-mb="500">
//   <input type="file"> … <div data-sending hidden><progress max="1"></progress><p data-said></p></div>
// </form>
// The answer is {"next": address}, or the page again with its errors.

function say(form, words) {
  form.querySelector("[data-said]").textContent = words;
}

function busy(form, on) {
  form.querySelector("[data-sending]").hidden = false;
  for (const button of form.querySelectorAll("button")) button.disabled = on;
}

function showAgain(text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const [there, here] = [page.querySelector("main"), document.querySelector("main")];
  if (!there) return false;
  here.replaceWith(document.adoptNode(there));
  document.title = page.title;
  (document.querySelector("main [role=alert], main h1") ?? document.body).scrollIntoView();
  return true;
}

function ended(form, request) {
  if (request.status === 200 && request.getResponseHeader("Content-Type")?.includes("json")) {
    form.reset(); // nothing typed is lost by leaving
    location.assign(JSON.parse(request.responseText).next);
    return;
  }
  if (request.status !== 200 || !showAgain(request.responseText)) {
    busy(form, false);
    say(form, "It was not taken. Try once more; what you typed is still here.");
  }
}

function send(form, button) {
  const data = new FormData(form);
  if (button?.name) data.append(button.name, button.value);
  const bar = form.querySelector("progress");
  const request = new XMLHttpRequest();
  request.open("POST", form.action);
  request.setRequestHeader("Accept", "application/json");
  request.upload.addEventListener("progress", ({ loaded, total }) => {
    bar.value = total ? loaded / total : 0;
    const part = Math.round(bar.value * 100);
    say(form, part < 100 ? `${part} % is sent.` : "It is sent and being listened to …");
  });
  request.addEventListener("load", () => ended(form, request));
  request.addEventListener("error", () => {
    busy(form, false);
    say(form, "The network went away. What you typed is still here: send it again.");
  });
  busy(form, true);
  say(form, "Sending …");
  request.send(data);
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-upload]")) return;
  const file = form.querySelector("input[type=file]").files[0];
  if (!file) return; // the page says what is missing
  if (file.size > Number(form.dataset.mostBytes)) {
    event.preventDefault();
    form.querySelector("[data-sending]").hidden = false;
    say(form, `The file has ${Math.round(file.size / 1048576)} MB; ${form.dataset.mostMb} MB is the most.`);
    return;
  }
  event.preventDefault();
  send(form, event.submitter);
});
