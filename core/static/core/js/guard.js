// Warns before typed text is lost. A form that came back with errors counts as typed.
//
// <form method="post" data-guard>…</form>
// <form method="post" data-guard="typed">…</form>
//
// What is kept as a draft (draft.js) is not lost, so nobody is asked about it.

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
  if ([...typed].some((form) => form.isConnected && form.dataset.draft !== "ready")) event.preventDefault();
});
