// What is typed is read along: the server is asked after a rest, and its answer is shown below.
//
// <textarea data-read-into="preview">                      the form is sent, with preview=live
// <input data-read-into="read" data-read-at="/…/read/">    this field alone is asked about
// <p role="status" data-read-said>                         in the form: what the answer says of itself
//
// The answer may have an element with data-said="4 cables". What is chosen in it is sent along with
// the form, so that it stays.

const REST = 450; // ms without a key before the server is asked

function attach(field) {
  const { form } = field;
  const shown = document.getElementById(field.dataset.readInto);
  const said = form.querySelector("[data-read-said]");
  let waiting = 0;
  let asked = new AbortController();

  function ask(signal) {
    const { readAt } = field.dataset;
    if (readAt) return fetch(`${readAt}?${new URLSearchParams([[field.name, field.value]])}`, { signal });
    const body = new FormData(form);
    body.delete("request_key"); // nothing is done, so nothing is remembered as done
    body.set("preview", "live");
    return fetch(form.action, { method: "POST", body, signal });
  }

  async function show() {
    stop();
    asked = new AbortController();
    try {
      const answer = await ask(asked.signal);
      if (answer.ok && !answer.redirected) replace(await answer.text());
    } catch {
      // Without a network, or asked anew: the button and what was shown last stay.
    }
  }

  function replace(html) {
    const held = shown.contains(document.activeElement) ? document.activeElement.id : "";
    shown.innerHTML = html;
    if (held) document.getElementById(held)?.focus();
    if (said) said.textContent = shown.querySelector("[data-said]")?.dataset.said ?? "";
  }

  function stop() {
    clearTimeout(waiting);
    asked.abort();
  }

  const later = () => {
    clearTimeout(waiting);
    waiting = setTimeout(show, REST);
  };
  field.addEventListener("input", later);
  shown.addEventListener("change", (event) => {
    if (event.target.matches("select")) later();
  });
  form.addEventListener("submit", stop);
  if (field.value && !shown.childElementCount) show();
}

document.querySelectorAll("[data-read-into]").forEach(attach);
