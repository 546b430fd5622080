// A box below each password that shows what is typed. It is hidden again before the form is sent, so
// that the browser's store of passwords knows the field.

import { gettext } from "../js/language.js";

for (const field of document.querySelectorAll("input[type=password]")) {
  const label = document.createElement("label");
  const box = document.createElement("input");
  box.type = "checkbox";
  const words = document.createElement("span");
  words.className = "soft";
  words.textContent = gettext("Show the password");
  label.append(box, " ", words);
  const place = document.createElement("div");
  place.className = "field-check";
  place.append(label);
  field.after(place);
  box.addEventListener("change", () => {
    field.type = box.checked ? "text" : "password";
  });
  field.form?.addEventListener("submit", () => {
    field.type = "password";
  });
}
