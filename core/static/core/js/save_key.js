// Ctrl+Enter (on a Mac, Command+Enter) presses the main button of the form that is typed in, from
// any field of it. Where a form has two main buttons the first gets the focus: which of them is
// meant, only the person knows.
//
// Says so beside the button of a form once it is typed into: asking which buttons can be seen lays a
// page out, so not of every form as the page opens. A style sheet shows it where there is a mouse,
// and so a keyboard.

const IS_MAC = /^(Mac|iP)/.test(navigator.platform);
let typedIn = null;

function mainButtons(form) {
  const buttons = [...form.elements].filter(
    (each) => each.type === "submit" && !each.disabled && each.checkVisibility(),
  );
  const main = buttons.filter((each) => each.matches(".button-primary, .button-danger"));
  return main.length ? main : buttons.slice(0, 1);
}

function formOf(target) {
  if (target.matches?.("button, summary, a[href]")) return null; // has a press of its own
  return target.form ?? target.closest?.("form") ?? (target === document.body ? typedIn : null);
}

document.addEventListener("input", (event) => { typedIn = event.target.form ?? typedIn; });

document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.repeat || event.isComposing || event.altKey || event.shiftKey) return;
  if (!(IS_MAC ? event.metaKey : event.ctrlKey)) return;
  const form = formOf(event.target);
  if (!form?.isConnected) return;
  const [first, ...others] = mainButtons(form);
  if (!first) return;
  event.preventDefault();
  if (others.length) first.focus();
  else first.click();
});

const told = new WeakSet();

function tell(form) {
  if (told.has(form)) return;
  told.add(form);
  const [first, ...others] = mainButtons(form);
  if (!first || others.length) return;
  first.setAttribute("aria-keyshortcuts", IS_MAC ? "Meta+Enter" : "Control+Enter");
  const hint = document.createElement("span");
  hint.className = "key-hint";
  hint.setAttribute("aria-hidden", "true"); // told by aria-keyshortcuts
  hint.append(Object.assign(document.createElement("kbd"), { textContent: IS_MAC ? "⌘ Enter" : "Ctrl + Enter" }));
  first.after(hint);
}

// Not when a button gets the focus: what is put beside it then would move it from under the pointer.
document.addEventListener("focusin", ({ target }) => {
  if (target.matches("button, [type=submit]")) return;
  const form = target.form ?? target.closest?.("form");
  if (form?.matches("[data-guard]")) tell(form);
});
if (document.activeElement?.form?.matches("[data-guard]")) tell(document.activeElement.form);
