// Enter goes on to the next field instead of sending the form; after the last one comes the button.
//
// What is seldom needed has data-passed-over: Tab goes there, Enter does not.
//
// <form method="post" data-next-field><input name="a"><input name="b"><button>Save</button></form>

const WALKED =
  ":is(input:not([type=hidden], [type=checkbox], [type=radio]), select, textarea, button)" +
  ":not([data-passed-over])";

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
