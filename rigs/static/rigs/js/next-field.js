// Enter goes on to the next field instead of sending the form; after the last one comes the button.
//
// <form method="post" data-next-field><input name="a"><input name="b"><button>Save</button></form>

const WALKED = "input:not([type=hidden], [type=checkbox], [type=radio]), select, textarea, button";

document.addEventListener("keydown", (event) => {
  const field = event.target;
  if (event.key !== "Enter" || event.isComposing || event.ctrlKey || event.metaKey) return;
  if (!field.matches?.("[data-next-field] :is(input, select)")) return;
  const fields = [...field.form.querySelectorAll(WALKED)].filter((each) => each.checkVisibility());
  event.preventDefault();
  const next = fields[fields.indexOf(field) + 1];
  next?.focus();
  next?.select?.();
});
