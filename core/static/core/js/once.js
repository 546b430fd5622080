// Sends a form once, however often the button is pressed in the dark.
//
// <form method="post" data-once>…<button>Save</button></form>

function buttons(form) {
  return [...form.elements].filter((element) => element.type === "submit");
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-once]") || event.defaultPrevented) return;
  if (form.dataset.once === "sent") {
    event.preventDefault();
    return;
  }
  form.dataset.once = "sent";
  for (const button of buttons(form)) button.setAttribute("aria-disabled", "true");
});

// Back from the browser's page cache: the form may be sent again.
window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  for (const form of document.querySelectorAll("form[data-once=sent]")) {
    form.dataset.once = "";
    for (const button of buttons(form)) button.removeAttribute("aria-disabled");
  }
});
