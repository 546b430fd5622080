// On a kept page: sets what its address asks for, which the server would have set.
//
// <form data-prefill="input=inputs unit=units">…  ?input=… is picked in the field “inputs”
//   <p data-prefill-missing hidden>…</p>          shown where the form does not offer it

function pick(form, name, value) {
  for (const field of form.querySelectorAll(`[name="${name}"]`)) {
    if (field.value === value && field.matches("[type=checkbox], [type=radio]")) {
      field.checked = true;
      field.closest("details")?.setAttribute("open", "");
      return true;
    }
    if (!field.matches("select") || ![...field.options].some((each) => each.value === value)) continue;
    field.value = value;
    return true;
  }
  return false;
}

function prefill(form) {
  const asked = new URLSearchParams(location.search);
  for (const pair of form.dataset.prefill.split(" ")) {
    const [parameter, name] = pair.split("=");
    if (!asked.has(parameter) || pick(form, name, asked.get(parameter))) continue;
    for (const told of form.querySelectorAll("[data-prefill-missing]")) told.hidden = false;
  }
}

// What the server has filled in stands: on a form that came back it is what was typed.
if (document.documentElement.hasAttribute("data-from-store")) {
  document.querySelectorAll("form[data-prefill]").forEach(prefill);
}
