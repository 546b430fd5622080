// Warns before typed text is lost. A form that came back with errors counts as typed.
//
// <form method="post" data-guard>…</form>
// <form method="post" data-guard="typed">…</form>
//
// What was sent is also held in this tab until a page of this site answers: where the browser shows
// its own error page instead, and the form is opened anew, its words are put back.

const typed = new Set(document.querySelectorAll("form[data-guard=typed]"));

document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (form?.matches("[data-guard]")) typed.add(form);
});
document.addEventListener("submit", (event) => {
  if (!event.defaultPrevented) typed.delete(event.target);
});
document.addEventListener("reset", (event) => typed.delete(event.target));
window.addEventListener("beforeunload", (event) => {
  if ([...typed].some((form) => form.isConnected)) event.preventDefault();
});

const DRAFT = "draft of ";
const here = DRAFT + location.pathname + location.search;
const hasWords = (field) => field.name && field.matches("textarea, input:not([type]), input[type=text]");

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-guard]")) return;
  const words = [...form.elements].filter(hasWords).map(({ name, value }) => [name, value]);
  const place = [...document.forms].indexOf(form);
  // A tab without storage, or a full one: the browser itself still holds what was typed.
  try {
    sessionStorage.setItem(here, JSON.stringify({ place, words }));
  } catch {}
});

// Whoever comes to a page from the form has been answered: sent, or come back with errors.
function dropAnswered() {
  const [visit] = performance.getEntriesByType("navigation");
  if (visit?.type !== "navigate" || !document.referrer) return;
  const { origin, pathname, search } = new URL(document.referrer);
  if (origin === location.origin) sessionStorage.removeItem(DRAFT + pathname + search);
}

function putBack() {
  const { place, words } = JSON.parse(sessionStorage.getItem(here) ?? "{}");
  const form = words && document.forms[place];
  if (!form?.matches("[data-guard]")) return;
  let isChanged = false;
  for (const [name, value] of words) {
    const field = [...form.elements].find((each) => each.name === name && hasWords(each));
    if (!field || field.value === value) continue;
    field.value = value;
    isChanged = true;
  }
  if (!isChanged) return;
  typed.add(form);
  const said = document.createElement("p");
  said.className = "message message-warning";
  said.setAttribute("role", "status");
  said.textContent = "This was not answered when you sent it. Your words are put back: look at them, then send it again.";
  form.prepend(said);
}

try {
  dropAnswered();
  putBack();
} catch {}
