// A menu made of <details>: closes on Escape, on a click elsewhere, and when focus leaves it.
//
// <details class="menu" data-menu>
//   <summary>More</summary>
//   <div class="menu-sheet">…</div>
// </details>

for (const menu of document.querySelectorAll("details[data-menu]")) {
  menu.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !menu.open) return;
    menu.open = false;
    menu.querySelector("summary").focus();
  });
  menu.addEventListener("focusout", (event) => {
    if (event.relatedTarget && !menu.contains(event.relatedTarget)) menu.open = false;
  });
  document.addEventListener("click", (event) => {
    if (!menu.contains(event.target)) menu.open = false;
  });
}
