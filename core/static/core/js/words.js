// Names and words beside a text field that a tap writes into it, for thumbs that would rather not
// type: behind what stands on the line, with the separator between, or at its beginning.
//
// <div data-words="lines" hidden><button type="button" data-word="Left head" data-before=" > ">

const ANEW = ";"; // begins anew within a line

function lead(line, before) {
  const said = line.trimEnd();
  if (!said) return "";
  const separator = before.trim();
  if (said.endsWith(ANEW) || (separator && said.endsWith(separator))) {
    return line === said ? " " : "";
  }
  return line === said ? before : before.trimStart();
}

function put(field, word, before) {
  const { selectionStart: start, selectionEnd: end } = field;
  const ahead = field.value.slice(0, start);
  const line = ahead.slice(ahead.lastIndexOf("\n") + 1);
  field.setRangeText(lead(line, before) + word, start, end, "end");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function attach(box) {
  const field = box.closest("form").elements[box.dataset.words];
  box.hidden = false;
  // The cursor and the keyboard of a phone stay where one types.
  box.addEventListener("mousedown", (event) => event.preventDefault());
  box.addEventListener("click", (event) => {
    const button = event.target.closest("[data-word]");
    if (button) put(field, button.dataset.word, button.dataset.before);
  });
}

document.querySelectorAll("[data-words]").forEach(attach);
