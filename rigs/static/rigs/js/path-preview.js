// The path is drawn while it is typed: the server reads the words and answers with the cables, the
// units it would make and the drawing. What was chosen there is sent along, so that it stays.
//
// <form data-path><textarea name="words"> <p role="status" data-path-said> <div data-path-preview>

const PAUSE = 450; // ms without a key before the server is asked

function attach(form) {
  const words = form.elements.words;
  const preview = form.querySelector("[data-path-preview]");
  const said = form.querySelector("[data-path-said]");
  let waiting = 0;
  let asked = new AbortController();

  async function show() {
    asked.abort();
    asked = new AbortController();
    const body = new FormData(form);
    body.delete("request_key"); // nothing is done, so nothing is remembered as done
    body.set("preview", "live");
    let answer = null;
    try {
      answer = await fetch(form.action, { method: "POST", body, signal: asked.signal });
      if (!answer.ok || answer.redirected) return;
      replace(await answer.text());
    } catch {
      // Without a network, or asked anew: the button and what was shown last stay.
    }
  }

  function replace(html) {
    const held = preview.contains(document.activeElement) ? document.activeElement.id : "";
    preview.innerHTML = html;
    if (held) document.getElementById(held)?.focus();
    const count = preview.querySelectorAll(".lineup-row").length;
    const wrong = preview.querySelectorAll(".field-errors li").length;
    said.textContent = wrong ? `${wrong} to mend` : count ? `${count} cables` : "";
  }

  const later = () => {
    clearTimeout(waiting);
    waiting = setTimeout(show, PAUSE);
  };
  words.addEventListener("input", later);
  preview.addEventListener("change", (event) => {
    if (event.target.matches("select")) later();
  });
  form.addEventListener("submit", () => {
    clearTimeout(waiting);
    asked.abort();
  });
  if (words.value && !preview.children.length) show();
}

document.querySelectorAll("[data-path]").forEach(attach);
