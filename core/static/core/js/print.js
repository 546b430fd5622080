// On paper folded sections stand open. Engines with ::details-content do it by print.css; in others
// they are opened for as long as the page is being printed.

const isDone = () => CSS.supports("selector(::details-content)");
let opened = [];

window.addEventListener("beforeprint", () => {
  if (isDone()) return;
  opened = [...document.querySelectorAll("details:is(.disclosure, .fold):not([open])")];
  for (const each of opened) each.open = true;
});
window.addEventListener("afterprint", () => {
  for (const each of opened) each.open = false;
  opened = [];
});
