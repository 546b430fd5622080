// Changes the colours at once instead of loading the page anew.
//
// <form method="post" action="/theme/" data-theme-switch>
//   <button name="theme" value="dark" aria-pressed="true">Dark</button>
//   <button name="theme" value="light" aria-pressed="false">Light</button>
// </form>

function paintBar() {
  const ground = getComputedStyle(document.body).backgroundColor;
  for (const meta of document.querySelectorAll("meta[name=theme-color]")) meta.content = ground;
}

function show(theme) {
  document.documentElement.dataset.theme = theme;
  for (const button of document.querySelectorAll("[data-theme-switch] [name=theme]")) {
    button.setAttribute("aria-pressed", String(button.value === theme));
  }
  paintBar();
}

// The device turns to its night colours while the page is open: the page does by itself, the bar not.
matchMedia("(prefers-color-scheme: light)").addEventListener("change", paintBar);

for (const form of document.querySelectorAll("form[data-theme-switch]")) {
  form.addEventListener("submit", async (event) => {
    const theme = event.submitter?.value;
    if (!theme) return;
    event.preventDefault();
    const body = new FormData(form);
    body.set("theme", theme);
    const before = document.documentElement.dataset.theme;
    show(theme);
    const headers = { "X-Requested-With": "fetch" };
    const answer = await fetch(form.action, { method: "POST", body, headers }).catch(() => null);
    if (!answer?.ok) show(before);
  });
}
